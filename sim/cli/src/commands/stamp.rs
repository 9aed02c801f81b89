//! `holdpoint stamp`: writes or renews a job's header from its moves, or says whether the two agree.

use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, Result, anyhow, bail};
use chrono::{DateTime, NaiveDate, NaiveDateTime};
use clap::Args;
use holdpoint_desk::amounts::{clock, decimals, grams};
use holdpoint_desk::job_file::JobFile;
use holdpoint_desk::setup::Records;
use holdpoint_desk::shown::{Shown, has_hidden};
use holdpoint_desk::stated;
use holdpoint_desk::verdict::EXIT_INPUT;
use holdpoint_shared::header::{HeaderOutcome, Hints, Source};
use same_file::Handle;

use crate::args::Settings;
use crate::atomic::{self, Existing};
use crate::clock::local_time;
use crate::job_header::{Stamp, Told};
use crate::job_input::{STANDARD_INPUT, open, records_for};
use crate::lock;
use crate::progress::Progress;
use crate::say::say_error;
use crate::usage::usage;

/// Exit code of `--check` when a header does not agree with its moves.
const EXIT_DIFFERS: u8 = 1;

/// What `stamp` takes.
#[derive(Debug, Args)]
#[command(after_help = "\
Exit codes:
  0  every file is stamped; of --check: every header agrees with its moves
  1  of --check: a header is missing, broken or does not agree
  3  a file could not be read or stamped; it is as it was

Examples:
  holdpoint stamp part.gcode                            in place, material from the old header or a comment
  holdpoint stamp part.gcode --material PETG --to stamped.gcode
  holdpoint stamp *.gcode --material PLA --for M2       a whole class, for machine M2
  holdpoint stamp --check *.gcode                       which headers are out of date?")]
pub struct StampArgs {
    /// Job files
    #[arg(required = true, value_name = "FILE")]
    pub paths: Vec<PathBuf>,
    /// Write the stamped job here and leave FILE as it is
    #[arg(long, value_name = "FILE")]
    pub to: Option<PathBuf>,
    /// Write nothing; say whether the header agrees with the moves
    #[arg(long, conflicts_with_all = ["to", "replace", "material", "colour", "diameter_um", "bore_um", "for_machine", "part", "author", "made"])]
    pub check: bool,
    /// Replace a header that cannot be read, or one that states more bytes than there are
    #[arg(long)]
    pub replace: bool,
    /// Material: an ISO 1043 symbol or a trade word [default: from the old header or a comment]
    #[arg(long, value_name = "NAME", value_parser = text::<32>, help_heading = HEADING)]
    pub material: Option<heapless::String<32>>,
    /// Colour as on the sticker
    #[arg(long, value_name = "NAME", value_parser = text::<40>, help_heading = HEADING)]
    pub colour: Option<heapless::String<40>>,
    /// Filament diameter in µm, such as 1750
    #[arg(long, value_name = "UM", value_parser = clap::value_parser!(u32).range(500..=5000), help_heading = HEADING)]
    pub diameter_um: Option<u32>,
    /// Nozzle bore in µm, such as 400
    #[arg(long, value_name = "UM", value_parser = clap::value_parser!(u32).range(100..=2000), help_heading = HEADING)]
    pub bore_um: Option<u32>,
    /// Tag of the machine that the job is for
    #[arg(long = "for", value_name = "TAG", value_parser = text::<16>, help_heading = HEADING)]
    pub for_machine: Option<heapless::String<16>>,
    /// The part's name
    #[arg(long, value_name = "NAME", value_parser = text::<40>, help_heading = HEADING)]
    pub part: Option<heapless::String<40>>,
    /// Who made it
    #[arg(long, value_name = "NAME", value_parser = text::<40>, help_heading = HEADING)]
    pub author: Option<heapless::String<40>>,
    /// When it was made, ISO 8601: a day, or a day and a time with or without its offset
    #[arg(long, value_name = "TIME", value_parser = made, help_heading = HEADING)]
    pub made: Option<heapless::String<32>>,
}

const HEADING: &str = "What only people know [default: from the old header]";

/// A text of at most `N` bytes, as a header holds it.
fn text<const N: usize>(text: &str) -> Result<heapless::String<N>, String> {
    if text.trim().is_empty() {
        return Err("it is empty".to_owned());
    }
    if has_hidden(text) {
        return Err("write one line without control characters".to_owned());
    }
    heapless::String::try_from(text).map_err(|_| format!("a header holds at most {N} bytes of it"))
}

/// A day or a time of ISO 8601, as a header holds it.
fn made(text: &str) -> Result<heapless::String<32>, String> {
    let is_day = NaiveDate::parse_from_str(text, "%Y-%m-%d").is_ok();
    let is_local = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S%.f"]
        .iter()
        .any(|form| NaiveDateTime::parse_from_str(text, form).is_ok());
    let is_offset = ["%Y-%m-%dT%H:%M%:z", "%Y-%m-%dT%H:%M:%S%.f%:z"]
        .iter()
        .any(|form| DateTime::parse_from_str(&text.replace('Z', "+00:00"), form).is_ok());
    if !(is_day || is_local || is_offset) {
        return Err("write a day or a time, such as 2026-11-25 or 2026-11-25T10:40:00+01:00".to_owned());
    }
    self::text(text)
}

/// Stamps or checks.
///
/// # Errors
/// When the output cannot be written. A file that cannot be stamped is reported on standard error and stays as it is,
/// the others are stamped all the same, and the exit code says it.
pub fn run(args: &StampArgs, settings: &Settings) -> Result<ExitCode> {
    if let (Some(to), true) = (&args.to, args.paths.len() > 1) {
        usage!("{}: --to takes one job; stamp the files one at a time", to.shown());
    }
    let now = settings.now.unwrap_or_else(local_time);
    let mut worst = 0;
    for path in &args.paths {
        let done = if args.check {
            check(path, settings, now)
        } else {
            stamp(path, args, settings, now).map(|()| 0)
        };
        worst = worst.max(done.unwrap_or_else(|error| {
            say_error(&error);
            EXIT_INPUT
        }));
    }
    Ok(ExitCode::from(worst))
}

fn read(path: &Path, settings: &Settings, now: NaiveDateTime) -> Result<(File, JobFile, Records)> {
    if path.as_os_str() == STANDARD_INPUT {
        bail!("standard input: a stamp needs a file; write it to one first");
    }
    let name = path.shown();
    let mut file = open(path, now)?;
    let records = records_for(path, settings)?;
    let progress = Progress::of_bytes("surveying");
    let setup = &records.setup;
    let job = JobFile::read(&mut file, &setup.machine, &setup.room, |done, all| {
        progress.show_bytes(done, all, &name.to_string())
    })
    .with_context(|| format!("{name}: cannot be read to its end; copy the file again"))?;
    if let Some(why) = job.unreadable() {
        bail!("{name}: {why}");
    }
    if let Some(why) = job.prints_nothing() {
        bail!("{name}: {why}; a header would promise a print, so name a whole job file");
    }
    Ok((file, job, records))
}

fn stamp(path: &Path, args: &StampArgs, settings: &Settings, now: NaiveDateTime) -> Result<()> {
    let name = path.shown();
    let (mut file, job, records) = read(path, settings, now)?;
    let told = Told {
        material: args.material.clone(),
        colour: args.colour.clone(),
        diameter_um: args.diameter_um,
        bore_um: args.bore_um,
        machine: args.for_machine.clone(),
        part: args.part.clone(),
        author: args.author.clone(),
        made: args.made.clone(),
    };
    let stamp = Stamp::new(&job, &mut file, &records.setup, &told, args.replace)
        .map_err(|error| anyhow!("{name}: {error:#}"))?;
    let permissions = file.metadata().with_context(|| format!("{name}: cannot be read"))?.permissions();
    match &args.to {
        Some(to) => {
            atomic::write(to, Existing::Kept, Some(permissions), |new| {
                stamp.write(&mut file, new.as_file_mut())
            })?;
        }
        None if stamp.unchanged => {}
        None if permissions.readonly() => {
            bail!("{name}: is write-protected; take the protection off, or stamp a copy with --to FILE")
        }
        None => {
            // A link stays a link: the file that it leads to is replaced.
            let place =
                dunce::canonicalize(path).with_context(|| format!("{name}: cannot be found again"))?;
            lock::exclusive(&file, path)?;
            alone(&file, &place).with_context(|| format!("{name}: is as it was"))?;
            let mut old = Some(file);
            atomic::write(&place, Existing::Replaced, Some(permissions), |new| {
                if let Some(file) = &mut old {
                    stamp.write(file, new.as_file_mut())?;
                    same_owner(file, new.as_file())?;
                }
                if cfg!(windows) {
                    // Windows replaces no file that is open; elsewhere it stays locked until it is replaced.
                    old = None;
                }
                Ok(())
            })
            .with_context(|| format!("{name}: is as it was"))?;
        }
    }
    report(path, args.to.as_deref(), &stamp, &job, &records)
}

/// Makes sure that to replace the file at `place` changes nothing else: it is still the file that was read, and has no
/// second name that would go on leading to the old one.
fn alone(file: &File, place: &Path) -> Result<()> {
    let read = Handle::from_file(file.try_clone()?)?;
    if Handle::from_path(place)? != read {
        bail!("another program replaced it meanwhile; stamp it again");
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let names = file.metadata()?.nlink();
        if names > 1 {
            bail!(
                "the file has {names} names (hard links), and only one of them would be stamped; stamp a copy with --to FILE"
            );
        }
    }
    Ok(())
}

/// Gives a new file the owner of the old one.
#[cfg(unix)]
fn same_owner(old: &File, new: &File) -> Result<()> {
    use std::os::unix::fs::{MetadataExt, fchown};
    let (old, owner) = (old.metadata()?, new.metadata()?);
    if (old.uid(), old.gid()) == (owner.uid(), owner.gid()) {
        return Ok(());
    }
    fchown(new, Some(old.uid()), Some(old.gid())).context(
        "the file is somebody else's, and a stamped one would be yours; stamp a copy with --to FILE",
    )?;
    // A change of owner takes some rights away.
    Ok(new.set_permissions(old.permissions())?)
}

/// Elsewhere a file's owner comes with its folder.
#[cfg(not(unix))]
fn same_owner(_: &File, _: &File) -> Result<()> {
    Ok(())
}

fn report(path: &Path, to: Option<&Path>, stamp: &Stamp, job: &JobFile, records: &Records) -> Result<()> {
    let header = &stamp.header;
    let mut out = std::io::stdout().lock();
    let done = match (to, stamp.unchanged, stamp.renewed) {
        (None, true, _) => "header says all this already, left as it is",
        (_, _, true) => "header renewed",
        (_, _, false) => "header written",
    };
    let from = match stamp.material_from {
        Some(Source::Comment) => " (from a comment)",
        Some(Source::Header) | Some(Source::Moves) | None => "",
    };
    let length_mm = header.length.map_or(0, |length| length.0.saturating_add(999).div_euclid(1000));
    let mass = header.mass.map_or("mass not known".to_owned(), |mass| format!("{} g", grams(mass.0)));
    let time = header.time.map_or(0, |time| time.0);
    let material = header.material.as_deref().unwrap_or_default();
    writeln!(
        out,
        "{}: {done}: {material}{from}, {length_mm} mm, {mass}, ≈ {}",
        to.unwrap_or(path).shown(),
        clock(time)
    )?;
    let mut note = |text: &str| writeln!(out, "  {text}");
    if header.mass.is_none() {
        note(
            "the density of this material is not known; give a spool ticket with density_mg_cm3 (--spool FILE)",
        )?;
    }
    if records.machine_from.is_none() {
        note("no machine sheet: time by a common machine's limits; name yours with --machine FILE")?;
    } else if !job.survey.time.heat_wait_known {
        note("the machine sheet states no heaters: waits for heat are not in the time")?;
    }
    let tail = &job.survey.tail;
    let hot = job.survey.heat.nozzle_end.0 > 0 || job.survey.heat.bed_end.0 > 0;
    if tail.last_move_lays && !tail.end_word && hot {
        note("the job ends while it lays a bead, with its heaters on: is the file whole?")?;
    }
    let layer = header.layer_um.map_or("-".to_owned(), |um| decimals(um.into(), 3));
    let heat =
        |target: Option<holdpoint_shared::units::Celsius>| target.map_or("-".to_owned(), |c| c.to_string());
    note(&format!("layer {layer} mm, nozzle {}, bed {}", heat(header.nozzle_c), heat(header.bed_c)))?;
    Ok(())
}

fn check(path: &Path, settings: &Settings, now: NaiveDateTime) -> Result<u8> {
    let name = path.shown();
    let (_, job, records) = read(path, settings, now)?;
    let mut out = std::io::stdout().lock();
    match &job.header {
        HeaderOutcome::Absent => {
            writeln!(out, "{name}: no header; `holdpoint stamp` writes one")?;
            return Ok(EXIT_DIFFERS);
        }
        HeaderOutcome::Broken(error) => {
            writeln!(out, "{name}: {error}")?;
            return Ok(EXIT_DIFFERS);
        }
        HeaderOutcome::Read { .. } => {}
    }
    let rows = stated::rows(job.header(), &Hints::default(), &job.survey, records.setup.machine.filament_um);
    let differing: Vec<_> = rows.iter().filter(|row| row.differs).collect();
    if differing.is_empty() {
        writeln!(out, "{name}: header agrees with the moves")?;
        return Ok(0);
    }
    for row in differing {
        let said = |amount: &Option<stated::Amount>| {
            amount.as_ref().map_or("nothing".to_owned(), ToString::to_string)
        };
        writeln!(out, "{name}: {}: header {}, moves {}", row.words, said(&row.header), said(&row.moves))?;
    }
    Ok(EXIT_DIFFERS)
}
