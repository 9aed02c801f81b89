//! One job file, read whole: its header, its comments and its moves, and the records that stand beside it.

use std::io::{self, Read, Seek, SeekFrom};

use holdpoint_shared::checks::{NotAJob, not_a_job};
use holdpoint_shared::header::{HeaderOutcome, HintReader, Hints, JobHeader, read_header};
use holdpoint_shared::limits::{HEADER_WINDOW_BYTES, HINT_WINDOW_BYTES};
use holdpoint_shared::records::{Machine, Room};
use holdpoint_shared::survey::{Survey, Surveyor};

use crate::setup::Records;
use crate::shown::Shown;

/// Bytes read at once: enough that the system's calls cost nothing, and no more for a file of any size.
pub(crate) const CHUNK_BYTES: usize = 64 * 1024;

/// All that a job file says of itself.
#[derive(Debug)]
pub struct JobFile {
    /// Its header.
    pub header: HeaderOutcome,
    /// Its comments.
    pub hints: Hints,
    /// Its moves.
    pub survey: Box<Survey>,
    /// Its first bytes: all that the header may fill.
    pub head: Vec<u8>,
}

/// Bytes that are no text, of all, beyond which a file is no job: as check 11 has it.
const MOST_NON_TEXT_PERCENT: u64 = 10;

impl JobFile {
    /// The header, where it is a good one.
    #[must_use]
    pub const fn header(&self) -> Option<&JobHeader> {
        match &self.header {
            HeaderOutcome::Read { header, .. } => Some(header),
            HeaderOutcome::Absent | HeaderOutcome::Broken(_) => None,
        }
    }

    /// Why there is nothing to be said of it, and what to do; `None` = it is text.
    #[must_use]
    pub const fn unreadable(&self) -> Option<&'static str> {
        let reading = &self.survey.reading;
        if reading.bytes == 0 {
            return Some("is empty; copy the file again");
        }
        let odd = reading.non_text_bytes.saturating_mul(100);
        if odd > reading.bytes.saturating_mul(MOST_NON_TEXT_PERCENT) {
            return Some("is no plain text; save it as a plain text job, or copy it again");
        }
        None
    }

    /// Why it prints nothing; `None` = it does.
    #[must_use]
    pub fn prints_nothing(&self) -> Option<&'static str> {
        Some(match not_a_job(&self.survey)? {
            NotAJob::LaysNothing => "prints nothing: no move of it lays filament",
            NotAJob::OtherText => "is no job: more of its lines cannot be read than move",
        })
    }

    /// Reads a job from its first byte to its last, in memory that does not grow with it. `watch` hears how many bytes of how
    /// many are read.
    ///
    /// # Errors
    /// The system's own.
    pub fn read(
        from: &mut (impl Read + Seek),
        machine: &Machine,
        room: &Room,
        mut watch: impl FnMut(u64, u64),
    ) -> io::Result<Self> {
        let all = from.seek(SeekFrom::End(0))?;
        from.seek(SeekFrom::Start(0))?;
        let mut surveyor = Surveyor::new(machine);
        let mut head = Vec::with_capacity(HINT_WINDOW_BYTES);
        let mut chunk = vec![0; CHUNK_BYTES];
        loop {
            let read = read_some(from, &mut chunk)?;
            let Some(bytes) = chunk.get(..read).filter(|bytes| !bytes.is_empty()) else { break };
            let wanted = HINT_WINDOW_BYTES.saturating_sub(head.len());
            head.extend(bytes.iter().take(wanted));
            surveyor.feed(bytes);
            watch(surveyor.bytes(), all);
        }
        let survey = Box::new(surveyor.finish());
        let mut hints = HintReader::new(&room.hint_words);
        hints.feed(&head);
        if survey.reading.bytes > HINT_WINDOW_BYTES as u64 {
            // What the head's window already held is not read twice.
            let begin = survey.reading.bytes.saturating_sub(HINT_WINDOW_BYTES as u64).max(head.len() as u64);
            from.seek(SeekFrom::Start(begin))?;
            hints.start_tail();
            let mut tail = Vec::new();
            from.take(HINT_WINDOW_BYTES as u64).read_to_end(&mut tail)?;
            hints.feed(&tail);
        }
        head.truncate(HEADER_WINDOW_BYTES);
        let ends = survey.reading.bytes <= head.len() as u64;
        Ok(Self { header: read_header(&head, ends), hints: hints.finish(), survey, head })
    }
}

/// What is there next, up to a chunk; nothing at the end.
pub(crate) fn read_some(from: &mut impl Read, chunk: &mut [u8]) -> io::Result<usize> {
    loop {
        match from.read(chunk) {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            other => return other,
        }
    }
}

/// What the machine's values were taken from, in words for the report.
#[must_use]
pub fn machine_words(records: &Records) -> String {
    match &records.machine_from {
        Some(path) => format!("sheet {} ({})", records.setup.machine.tag, path.shown()),
        None => "no machine sheet: a common desktop machine's motion limits, 1.75 mm filament, no heaters; \
                 name one with --machine FILE"
            .to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;

    fn read(bytes: Vec<u8>) -> JobFile {
        JobFile::read(&mut Cursor::new(bytes), &Machine::default(), &Room::default(), |_, _| {}).unwrap()
    }

    #[test]
    fn comments_at_both_ends_are_found_and_those_between_are_not() {
        let filler = "G1 X1 Y1\n".repeat(20_000);
        let middle = "; filament type = ABS\n";
        let text = format!("; nozzle diameter = 0.6 mm\n{filler}{middle}{filler}; filament type = PETG\n");
        let job = read(text.clone().into_bytes());
        assert_eq!(job.hints.facts.bore_um, Some(600));
        assert_eq!(job.hints.facts.material.as_deref(), Some("PETG"));
        assert_eq!(job.hints.conflicts, 0);
        assert_eq!(job.survey.reading.bytes, text.len() as u64);
        assert_eq!(job.survey.reading.lines, 40_003);
        assert_eq!(job.head.len(), HEADER_WINDOW_BYTES);
    }

    #[test]
    fn a_file_shorter_than_the_windows_is_read_once() {
        let job = read(b"; filament type = PLA\n; filament type = PLA".to_vec());
        assert_eq!(job.hints.facts.material.as_deref(), Some("PLA"));
        assert_eq!(job.header, HeaderOutcome::Absent);
        let empty = read(Vec::new());
        assert_eq!((empty.survey.reading.bytes, empty.survey.reading.lines), (0, 0));
    }
}
