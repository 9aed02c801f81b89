//! A job's header, written anew from its moves; what only people know is kept.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};

use anyhow::{Context, Result, bail};
use heapless::String as Text;
use holdpoint_desk::job_file::JobFile;
use holdpoint_shared::app::Setup;
use holdpoint_shared::checks::JobFacts;
use holdpoint_shared::header::{HeaderOutcome, JobHeader, Source, header_place, read_header};
use holdpoint_shared::limits::{HEADER_WINDOW_BYTES, MATERIAL_BYTES, TAG_BYTES, TEXT_BYTES};
use holdpoint_shared::records::Grade;
use holdpoint_shared::units::{Seconds, filament_mass};

/// Bytes copied at once.
const CHUNK_BYTES: usize = 64 * 1024;

/// UTF-8's byte-order mark: it must stay the first bytes of its file.
const BYTE_ORDER_MARK: &[u8] = b"\xEF\xBB\xBF";

/// What a person states; it goes before what the file says.
#[derive(Clone, Debug, Default)]
pub struct Told {
    /// Material.
    pub material: Option<Text<MATERIAL_BYTES>>,
    /// Colour.
    pub colour: Option<Text<TEXT_BYTES>>,
    /// Filament diameter, µm.
    pub diameter_um: Option<u32>,
    /// Nozzle bore, µm.
    pub bore_um: Option<u32>,
    /// Tag of the machine that the job is for.
    pub machine: Option<Text<TAG_BYTES>>,
    /// The part's name.
    pub part: Option<Text<TEXT_BYTES>>,
    /// Who made it.
    pub author: Option<Text<TEXT_BYTES>>,
    /// When, ISO 8601.
    pub made: Option<Text<32>>,
}

/// A header for a job, ready to be written.
#[derive(Debug)]
pub struct Stamp {
    /// What it states.
    pub header: JobHeader,
    /// Where its material was read; `None` = a person said it.
    pub material_from: Option<Source>,
    /// The new bytes before the body.
    pub head: Vec<u8>,
    /// Where the body begins in the old file.
    pub body_at: u64,
    /// Whether the file had a header.
    pub renewed: bool,
    /// Whether the file says all that already.
    pub unchanged: bool,
}

impl Stamp {
    /// Makes the header of a surveyed job. `replace` allows a header that cannot be read, or one that states more bytes
    /// than there are, to be replaced.
    ///
    /// # Errors
    /// When the material is not known, the old header may not be replaced, or the new one would not be read back; the
    /// message says what to do, without the file's name.
    pub fn new(job: &JobFile, file: &mut File, setup: &Setup, told: &Told, replace: bool) -> Result<Self> {
        let (old, body_at, before) = old_header(job, replace)?;
        let (body_bytes, body_crc32) =
            body(file, body_at).context("cannot be read to its end; copy it again")?;
        if let Some(stated) = old.and_then(|old| old.body_bytes)
            && stated > body_bytes
            && !replace
        {
            bail!(
                "the header states {stated} bytes and {body_bytes} are there: was the file cut? copy it again, or stamp \
                 what is there with --replace"
            );
        }
        let (mut header, material_from) = facts(job, setup, told)?;
        header.made = told.made.clone().or_else(|| old.and_then(|old| old.made.clone()));
        header.body_bytes = Some(body_bytes);
        header.body_crc32 = Some(body_crc32);
        let head = head(&before, &header, line_end(&job.head))?;
        let unchanged = job.head.get(..head.len()) == Some(&head[..]) && head.len() as u64 == body_at;
        let renewed = job.header != HeaderOutcome::Absent;
        Ok(Self { header, material_from, head, body_at, renewed, unchanged })
    }

    /// Writes the job with its new header: the body byte for byte as it was.
    ///
    /// # Errors
    /// When the old file changed meanwhile, or the system's own.
    pub fn write(&self, from: &mut File, to: &mut File) -> Result<()> {
        to.write_all(&self.head)?;
        let copied = copy_body(from, self.body_at, Some(to))?;
        if (Some(copied.0), Some(copied.1)) != (self.header.body_bytes, self.header.body_crc32) {
            bail!("the file changed while it was stamped; nothing was written, stamp it again");
        }
        Ok(())
    }
}

/// The old header where it can be read, the place of the body, and what stands before the header.
fn old_header(job: &JobFile, replace: bool) -> Result<(Option<&JobHeader>, u64, Vec<u8>)> {
    let ends = job.survey.reading.bytes <= job.head.len() as u64;
    let place = header_place(&job.head, ends);
    match (&job.header, place) {
        (HeaderOutcome::Absent, _) => {
            let before = if job.head.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK } else { &[] };
            Ok((None, before.len() as u64, before.to_vec()))
        }
        (HeaderOutcome::Broken(error), _) if !replace => {
            bail!("{error}, with --replace, which loses what only the old header states")
        }
        (HeaderOutcome::Broken(error), None) => {
            bail!("{error}; where the header ends cannot be told, so it is not replaced")
        }
        (HeaderOutcome::Read { .. } | HeaderOutcome::Broken(_), Some(place)) => {
            let before = job.head.get(..place.start).unwrap_or_default().to_vec();
            Ok((job.header(), place.end as u64, before))
        }
        (HeaderOutcome::Read { .. }, None) => {
            bail!("the header's lines cannot be found again; stamp a fresh copy")
        }
    }
}

/// What the new header states, body apart, and where its material comes from.
fn facts(job: &JobFile, setup: &Setup, told: &Told) -> Result<(JobHeader, Option<Source>)> {
    let survey = &*job.survey;
    let facts = JobFacts::merge(job.header(), Some(&job.hints), Some(survey));
    let material_from =
        if told.material.is_some() { None } else { facts.material.as_ref().map(|m| m.source) };
    let Some(material) = told.material.clone().or(facts.material.map(|stated| stated.value)) else {
        bail!(
            "no material is stated, neither in a header nor in a comment; name it with --material, such as \
             --material PLA"
        );
    };
    let diameter_um = told.diameter_um.or(facts.diameter_um.map(|stated| stated.value));
    let needed = survey.filament.needed();
    let grade = Grade::parse(&material);
    // The ticket's own density where the ticket is of this material.
    let ticket =
        setup.spool.as_ref().filter(|spool| grade.is_some() && Grade::parse(&spool.material) == grade);
    let density =
        ticket.and_then(|spool| spool.density_mg_cm3).or(grade.and_then(|grade| grade.density_mg_cm3()));
    let diameter = diameter_um.unwrap_or(setup.machine.filament_um);
    let header = JobHeader {
        material: Some(material),
        colour: told.colour.clone().or(facts.colour.map(|stated| stated.value)),
        diameter_um,
        bore_um: told.bore_um.or(facts.bore_um.map(|stated| stated.value)),
        nozzle_c: facts.nozzle_c.map(|stated| stated.value),
        nozzle_first_c: facts.nozzle_first_c.map(|stated| stated.value),
        bed_c: facts.bed_c.map(|stated| stated.value),
        bed_first_c: facts.bed_first_c.map(|stated| stated.value),
        length: Some(needed),
        mass: density.map(|density| filament_mass(needed, diameter, density)),
        time: Some(Seconds(survey.time.total_s)),
        layer_um: facts.layer_um.map(|stated| stated.value),
        first_layer_um: facts.first_layer_um.map(|stated| stated.value),
        machine: told.machine.clone().or(facts.machine.map(|stated| stated.value)),
        part: told.part.clone().or(facts.part.map(|stated| stated.value)),
        author: told.author.clone().or(facts.author.map(|stated| stated.value)),
        ..JobHeader::default()
    };
    Ok((header, material_from))
}

/// The bytes before the body: what stood before the header, and the header in the file's own line ends.
fn head(before: &[u8], header: &JobHeader, line_end: &str) -> Result<Vec<u8>> {
    let mut text = String::new();
    header.write(&mut text)?;
    let mut head = before.to_vec();
    head.extend_from_slice(text.replace('\n', line_end).as_bytes());
    // What the device could not read back is never written.
    match read_header(&head, true) {
        HeaderOutcome::Broken(error) => bail!("the new header could not be read back: {error}"),
        HeaderOutcome::Read { body_at, .. } if body_at as usize == head.len() => Ok(head),
        HeaderOutcome::Read { .. } | HeaderOutcome::Absent => bail!(
            "the header does not fit into the first {HEADER_WINDOW_BYTES} bytes; move the comments above it below it"
        ),
    }
}

/// The line end that the file's first line has.
fn line_end(head: &[u8]) -> &'static str {
    let first = head.iter().position(|byte| *byte == b'\n');
    match first.and_then(|at| head.get(at.checked_sub(1)?)) {
        Some(b'\r') => "\r\n",
        _ => "\n",
    }
}

/// Length and CRC-32 (ISO-HDLC) of all bytes from `at` on.
fn body(file: &mut File, at: u64) -> Result<(u64, u32)> {
    copy_body(file, at, None)
}

fn copy_body(from: &mut File, at: u64, mut to: Option<&mut File>) -> Result<(u64, u32)> {
    from.seek(SeekFrom::Start(at))?;
    let mut hasher = crc32fast::Hasher::new();
    let mut chunk = vec![0; CHUNK_BYTES];
    let mut bytes = 0;
    loop {
        let read = match from.read(&mut chunk) {
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
            other => other?,
        };
        let Some(part) = chunk.get(..read).filter(|part| !part.is_empty()) else { break };
        hasher.update(part);
        bytes += read as u64;
        if let Some(to) = to.as_deref_mut() {
            to.write_all(part)?;
        }
    }
    Ok((bytes, hasher.finalize()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_line_tells_the_line_end() {
        assert_eq!(line_end(b"G28\r\nG1\n"), "\r\n");
        assert_eq!(line_end(b"G28\nG1\r\n"), "\n");
        assert_eq!(line_end(b"\n"), "\n");
        assert_eq!(line_end(b""), "\n");
    }

    #[test]
    fn a_header_pushed_out_of_its_window_is_refused() {
        let header = JobHeader { material: Some("PLA".try_into().unwrap()), ..JobHeader::default() };
        let comments = vec![b';'; HEADER_WINDOW_BYTES - 20];
        let before = [&comments[..], b"\n"].concat();
        assert!(head(&before, &header, "\n").unwrap_err().to_string().contains("4096"));
        assert!(head(b"; above\n", &header, "\n").is_ok());
    }
}
