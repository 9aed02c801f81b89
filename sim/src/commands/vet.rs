//! `holdpoint vet`: a line a job, from the same core as the device's.

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Result;
use chrono::NaiveDateTime;
use clap::Args;
use holdpoint_shared::checks::Verdict;

use crate::args::Settings;
use crate::clock::local_time;
use crate::commands::checks::check_number;
use crate::progress::Progress;
use crate::report::{self, CardReport, Columns, Document, JobReport};
use crate::setup::Records;
use crate::source::Source;
use crate::{verdict, vetting};

/// Version of the JSON document's shape; a key more does not change it, a key less or another meaning does.
const DOCUMENT: u8 = 1;

/// What to do next about a job without any record.
const NO_RECORDS: &str = "MACHINE.JSN, SPOOL.JSN and ROOM.JSN are missing under HOLDPT/: copy sim/demo/HOLDPT, a full example, \
                          and fit it to your machine (see sim/guide/src/records.md)";

/// What `vet` takes.
#[derive(Debug, Args)]
#[command(after_help = "\
The JSON document (--json):
  vet      version of this shape, now 1
  now      local time that the ends were reckoned from
  verdict  the worst over all jobs: \"CLEAR\", \"LOOK\", \"HOLD\" or \"NO VERDICT\"
  cards    a list in the order of the command line, each with
    path   as named on the command line
    error  why it could not be read, or null
    jobs   newest first, each with folder, name, name_cut, size_bytes, saved, verdict, job_mark, spool_mark,
           material_row (\"room rules\" or \"material table\": whose windows and density the material is judged by),
           length_um, mass_mg, duration_s, ends_from, ends_to,
           header_error {line, column, what}, first_verdict (from the header alone, where the moves made it
           worse) and points [{check, level, signal, settled, what, remedy}], worst first; settled = the day on which
           a lead settled it, or null
  Times are local, ISO 8601; what is not known is null. The CSV's columns (--csv) bear these names.

Examples:
  holdpoint vet card.img                            a card image, with the records that it carries
  holdpoint vet jobs/ --spool s17.jsn --explain     a folder against a spool, with every remedy
  holdpoint vet card.img --explain=58               the points of check 58, with its rule and source
  holdpoint vet --json *.gcode > verdicts.json      single files, for another program
  holdpoint vet --csv card.img > verdicts.csv       a table for a spreadsheet
  holdpoint vet card.img --now 2026-11-25T16:30     as if it were half past four")]
pub struct VetArgs {
    /// Card images, folders of jobs, or job files
    #[arg(required = true, value_name = "CARD|FOLDER|FILE")]
    pub paths: Vec<PathBuf>,
    /// Print one JSON document
    #[arg(long, conflicts_with_all = ["csv", "explain"])]
    pub json: bool,
    /// Print CSV after RFC 4180
    #[arg(long, conflicts_with = "explain")]
    pub csv: bool,
    /// Print every point with its remedy below its job; with a check's number, the points of that check alone with
    /// their rule and its source (`holdpoint checks` lists the numbers)
    #[arg(long, value_name = "CHECK", num_args = 0..=1, require_equals = true, value_parser = check_number)]
    pub explain: Option<Option<u8>>,
}

/// Vets.
///
/// # Errors
/// When the output cannot be written. An input that cannot be read is reported on standard error, the others are
/// vetted all the same, and the exit code says it.
pub fn run(args: &VetArgs, settings: &Settings) -> Result<ExitCode> {
    let now = settings.now.unwrap_or_else(local_time);
    let progress = Progress::new("vetting");
    let mut document = Document { vet: DOCUMENT, now: Some(now), verdict: Verdict::Clear, cards: Vec::new() };
    let mut unrecorded = false;
    for path in &args.paths {
        let mut card = CardReport { path: path.display().to_string(), error: None, jobs: Vec::new() };
        if let Err(error) = vet_card(path, settings, now, &progress, &mut card.jobs, &mut unrecorded) {
            let line = format!("{error:#}");
            progress.hidden(|| eprintln!("holdpoint: {line}"));
            card.error = Some(line);
            document.verdict = Verdict::NoVerdict;
        }
        document.verdict = card.jobs.iter().map(|job| job.verdict).fold(document.verdict, Verdict::max);
        if !args.json && !args.csv {
            progress.hidden(|| print_text(&card, args))?;
        }
        document.cards.push(card);
    }
    progress.hidden(|| -> Result<()> {
        if args.json {
            let mut out = std::io::stdout().lock();
            serde_json::to_writer_pretty(&mut out, &document).map_err(std::io::Error::from)?;
            writeln!(out)?;
        } else if args.csv {
            report::write_csv(std::io::stdout().lock(), &document)?;
        } else if unrecorded {
            writeln!(anstream::stdout().lock(), "{NO_RECORDS}")?;
        }
        Ok(())
    })?;
    Ok(ExitCode::from(verdict::exit_code(document.verdict)))
}

fn vet_card(
    path: &Path,
    settings: &Settings,
    now: NaiveDateTime,
    progress: &Progress,
    jobs: &mut Vec<JobReport>,
    unrecorded: &mut bool,
) -> Result<()> {
    let mut source = Source::at(path, now)?;
    let records_at = source.records_at();
    let mut files = source.open()?;
    let Records { setup, faults, machine_from, spool_from, room_from } =
        Records::load(settings, Some(&mut files), &records_at)?;
    *unrecorded |= [machine_from, spool_from, room_from].iter().all(Option::is_none);
    progress.hidden(|| faults.iter().for_each(|fault| eprintln!("holdpoint: {fault}")));
    let entries = vetting::list(&mut files).map_err(|fault| files.describe(path, fault))?;
    if entries.is_empty() {
        return Err(vetting::no_jobs(path));
    }
    let count = entries.len();
    for (number, entry) in entries.into_iter().enumerate() {
        let name = entry.name.clone();
        progress.show(number, count, &name);
        let job = vetting::vet(&mut files, entry, &setup, now, |percent| {
            progress.show(number, count, &format!("{name} {percent} %"));
        });
        jobs.push(job.map_err(|fault| files.describe(path, fault))?);
    }
    Ok(())
}

fn print_text(card: &CardReport, args: &VetArgs) -> Result<()> {
    let mut out = anstream::stdout().lock();
    if args.paths.len() > 1 && !card.jobs.is_empty() {
        writeln!(out, "{}:", card.path)?;
    }
    let columns = Columns::of(&card.jobs);
    if std::io::stdout().is_terminal() && !card.jobs.is_empty() {
        report::write_heading(&mut out, columns)?;
    }
    for job in &card.jobs {
        report::write_line(&mut out, job, columns)?;
        if let Some(only) = args.explain {
            report::write_points(&mut out, job, only)?;
        }
    }
    Ok(())
}
