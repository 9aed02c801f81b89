//! `holdpoint vet`: a line a job, from the same core as the device's.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Result;
use chrono::NaiveDateTime;
use clap::Args;
use holdpoint_desk::report::{self, CardReport, Document, Table};
use holdpoint_desk::setup::Records;
use holdpoint_desk::shown::Shown;
use holdpoint_desk::slot::Card;
use holdpoint_desk::{verdict, vetting};
use holdpoint_shared::checks::Verdict;
use holdpoint_shared::records::Language;
use unicode_width::UnicodeWidthStr;

use crate::args::Settings;
use crate::clock::local_time;
use crate::commands::checks::check_number;
use crate::parallel;
use crate::progress::Progress;
use crate::reader::Reader;
use crate::say::{say, say_left_out};
use crate::source::{Source, SourceKind};
use crate::usage::usage;

/// Version of the JSON document's shape; a key more does not change it, a key less or another meaning does.
const DOCUMENT: u8 = 1;

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
    left_out  what of it was not vetted (too deep, hidden, unreadable) with the first place, or null; then the verdict
           is NO VERDICT
    jobs   newest first, each with folder, name, name_cut, size_bytes, saved, verdict, job_mark, spool_mark,
           material_row (\"room rules\" or \"material table\": whose windows and density the material is judged by),
           length_um, mass_mg, duration_s, duration_from (\"moves\", \"header\" or \"comment\": whose
           time counts), other_durations [{from, duration_s}], ends_from, ends_to,
           header_error {line, column, what}, first_verdict (from the header alone, where the moves made it
           worse) and points [{check, level, signal, settled, what, remedy}], worst first; settled = the day on which
           a lead settled it, or null
  Times are local, ISO 8601. What is not known is null: a mark without a material, length and mass without
  filament, and of a job with NO VERDICT duration_s, duration_from, ends_from and ends_to. In the CSV (--csv),
  whose columns bear these names, null is an empty field.

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

/// What one path of the command line came to.
struct Vetted {
    card: CardReport,
    /// Faults of its records, a line each.
    faults: Vec<String>,
    /// No record was found.
    unrecorded: bool,
    /// What its reader reads.
    language: Language,
}

/// Vets.
///
/// # Errors
/// When the output cannot be written. An input that cannot be read is reported on standard error, the others are
/// vetted all the same, and the exit code says it.
pub fn run(args: &VetArgs, settings: &Settings) -> Result<ExitCode> {
    check_not_taken_for_a_path(args)?;
    let now = settings.now.unwrap_or_else(local_time);
    let progress = Progress::new("vetting");
    let mut document = Document { vet: DOCUMENT, now: Some(now), verdict: Verdict::Clear, cards: Vec::new() };
    let mut unrecorded = false;
    let mut printed = Ok(());
    let mut language = settings.lang.map(Language::from);
    let mut table = Table::new(args.paths.len() > 1);
    let mut take = |vetted: Vetted, names: Option<usize>| {
        let Vetted { card, faults, unrecorded: no_record, language: reads } = vetted;
        unrecorded |= no_record;
        language.get_or_insert(reads);
        progress.hidden(|| {
            faults.iter().for_each(|fault| say(fault));
            card.error.iter().chain(&card.left_out).for_each(|line| say(line));
        });
        if card.error.is_some() || card.left_out.is_some() {
            document.verdict = Verdict::NoVerdict;
        }
        document.verdict = card.jobs.iter().map(|job| job.verdict).fold(document.verdict, Verdict::max);
        if !args.json && !args.csv && printed.is_ok() {
            printed = progress.hidden(|| print_text(&mut table, &card, args, names));
        }
        document.cards.push(card);
    };
    let is_file = |path: &PathBuf| {
        !path.is_dir() && Source::at(path, now).is_ok_and(|source| source.kind() == SourceKind::Job)
    };
    // A folder or a card keeps all cores busy by itself; of files each core takes one.
    let mut rest = args.paths.as_slice();
    while let Some(first) = rest.first() {
        let files = rest.iter().take_while(|path| is_file(path)).count();
        if files < 2 {
            take(vet_path(first, settings, now, &progress), None);
            rest = &rest[1..];
            continue;
        }
        let (batch, after) = rest.split_at(files);
        let names = batch.iter().map(|path| path.shown().to_string().width()).max();
        parallel::in_order(
            files,
            Progress::quiet,
            |quiet, at| vet_path(&batch[at], settings, now, quiet),
            |done| progress.show(done, files, ""),
            |_, vetted| take(vetted, names),
        );
        rest = after;
    }
    printed?;
    progress.hidden(|| -> Result<()> {
        if args.json {
            let mut out = std::io::stdout().lock();
            serde_json::to_writer_pretty(&mut out, &document).map_err(std::io::Error::from)?;
            writeln!(out)?;
        } else if args.csv {
            report::write_csv(std::io::stdout().lock(), &document)?;
        } else if document.cards.iter().any(|card| !card.jobs.is_empty()) {
            let (mut out, language) = (anstream::stdout().lock(), language.unwrap_or_default());
            writeln!(out)?;
            if unrecorded {
                report::no_records(&mut out, language)?;
            }
            report::write_total(&mut out, &document.cards, language)?;
        }
        Ok(())
    })?;
    Ok(ExitCode::from(verdict::exit_code(document.verdict)))
}

/// `--explain 58` leaves the number as a path: the option has its value behind an equals sign, since it may have none.
fn check_not_taken_for_a_path(args: &VetArgs) -> Result<()> {
    let number =
        |path: &&PathBuf| path.to_str().is_some_and(|text| check_number(text).is_ok()) && !path.exists();
    match (args.explain, args.paths.iter().find(number)) {
        (Some(None), Some(path)) => {
            usage!("{0}: is no file; write --explain={0} for the points of check {0}", path.shown())
        }
        _ => Ok(()),
    }
}

fn vet_path(path: &Path, settings: &Settings, now: NaiveDateTime, progress: &Progress) -> Vetted {
    let card = CardReport { path: path.shown().to_string(), error: None, left_out: None, jobs: Vec::new() };
    let mut vetted = Vetted {
        card,
        faults: Vec::new(),
        unrecorded: false,
        language: settings.lang.map_or(Language::English, Into::into),
    };
    if let Err(error) = vet_card(path, settings, now, progress, &mut vetted) {
        vetted.card.error = Some(format!("{error:#}").shown().to_string());
    }
    vetted
}

fn vet_card(
    path: &Path,
    settings: &Settings,
    now: NaiveDateTime,
    progress: &Progress,
    vetted: &mut Vetted,
) -> Result<()> {
    let mut source = Source::at(path, now)?;
    let records_at = source.records_at();
    let mut files = source.open()?;
    let records = Records::load(&settings.overrides()?, Some(&mut files), &records_at)?;
    say_left_out(&records);
    let Records { setup, faults, machine_from, spool_from, room_from, .. } = records;
    vetted.language = setup.room.language;
    vetted.unrecorded = [machine_from, spool_from, room_from].iter().all(Option::is_none);
    vetted.faults = faults;
    let (listing, walked) = files.list().map_err(|fault| files.describe(path, fault))?;
    drop(files);
    vetted.card.left_out = report::left_out(&listing, path, setup.room.language);
    let entries = &listing.entries;
    let open = || Reader::open(path, (&listing, walked.as_deref()), now);
    match entries.as_slice() {
        [] => return Err(vetting::no_jobs(path)),
        [entry] => {
            let watch = |percent| progress.show(0, 1, &format!("{} {percent} %", entry.name));
            vetted.card.jobs.push(open()?.vet(entry.clone(), &setup, now, watch)?);
            return Ok(());
        }
        _ => {}
    }
    let mut first_fault = None;
    parallel::in_order(
        entries.len(),
        open,
        |reader, at| match reader {
            Ok(reader) => reader.vet(entries[at].clone(), &setup, now, |_| {}),
            Err(error) => Err(anyhow::anyhow!("{error:#}")),
        },
        |done| progress.show(done, entries.len(), entries.get(done).map_or("", |entry| &entry.name)),
        |_, job| match job {
            Ok(job) => vetted.card.jobs.push(job),
            Err(error) => first_fault = first_fault.take().or(Some(error)),
        },
    );
    first_fault.map_or(Ok(()), Err)
}

fn print_text(table: &mut Table, card: &CardReport, args: &VetArgs, names: Option<usize>) -> Result<()> {
    let mut out = anstream::stdout().lock();
    table.write_heading(&mut out, card, names)?;
    for job in &card.jobs {
        let name = if names.is_some() { card.path.clone() } else { job.path() };
        table.write_job(&mut out, &name, job)?;
        if args.explain != Some(None) {
            table.write_worst(&mut out, job)?;
        }
        table.write_notes(&mut out, job)?;
        if let Some(only) = args.explain {
            report::write_points(&mut out, job, only)?;
        }
    }
    Ok(())
}
