//! The core's vetting, driven to its end, as plain values to print.

use std::path::Path;

use holdpoint_shared::app::{Depth, Now, Report, Setup, Vetting};
use holdpoint_shared::checks::{Finding, Settlement, Verdict};
use holdpoint_shared::header::{HeaderError, HeaderOutcome, Source as FactSource};
use holdpoint_shared::media::{Entry, JobFiles, MediaError};
use holdpoint_shared::records::{Grade, Language};
use holdpoint_shared::time::{Instant, WallClock};
use holdpoint_shared::words::checks::{WordingPart, write_wording};
use holdpoint_shared::words::words;

use crate::report::{
    HeaderProblem, JobReport, MATERIAL_TABLE, OtherDuration, Point, ROOM_RULES, source_word,
};
use crate::shown::Shown;

/// What to say of a card with no jobs on it.
#[must_use]
pub fn no_jobs(path: &Path) -> anyhow::Error {
    anyhow::anyhow!(
        "{}: no jobs there; a job is a text file of motion words such as part.gcode, and a model must be sliced first",
        path.shown()
    )
}

/// Vets one job: the whole of it. `watch` hears how far it is, in percent, whenever that changes.
///
/// # Errors
/// That the card went; a job whose own bytes cannot be read gets NO VERDICT.
pub fn vet(
    files: &mut impl JobFiles,
    entry: Entry,
    setup: &Setup,
    now: WallClock,
    mut watch: impl FnMut(u8),
) -> Result<JobReport, MediaError> {
    let mut vetting = Vetting::new();
    vetting.start(&entry, Depth::Whole);
    // The report is of one moment: the time that its reading takes plays no part in it.
    let now = Now { instant: Instant::default(), wall: Some(now) };
    let mut percent = 0;
    while let Err(outcome) = vetting.poll(files, setup, now) {
        if let nb::Error::Other(fault) = outcome {
            return Err(fault);
        }
        if vetting.percent() != percent {
            percent = vetting.percent();
            watch(percent);
        }
    }
    Ok(told(vetting.entry(), vetting.report(), setup))
}

fn told(entry: &Entry, report: &Report, setup: &Setup) -> JobReport {
    let facts = &report.facts;
    let language = setup.room.language;
    let spool_grade = setup.spool_grade();
    let mark = |grade: Grade| grade.mark().to_string();
    // What could not be judged has no time and no end that anybody could plan by.
    let judged = report.verdict != Verdict::NoVerdict;
    let end = report.outlook.end.filter(|_| judged);
    JobReport {
        folder: entry.folder.to_string(),
        name: entry.name.to_string(),
        name_cut: entry.name_cut,
        size_bytes: entry.size_bytes,
        saved: entry.saved,
        verdict: report.verdict,
        job_mark: facts.grade.map(mark),
        spool_mark: spool_grade.map(mark),
        material_row: facts.grade.or(spool_grade).map(|grade| match setup.room.own(grade.base) {
            Some(_) => ROOM_RULES,
            None => MATERIAL_TABLE,
        }),
        length_um: facts.length.map(|length| length.value.0),
        mass_mg: report.outlook.need.map(|need| need.0),
        duration_s: facts.time.filter(|_| judged).map(|time| time.value.0),
        duration_from: facts.time.filter(|_| judged).map(|time| source_word(time.source)),
        other_durations: if judged { other_durations(report) } else { Vec::new() },
        ends_from: end.map(|(earliest, _)| earliest),
        ends_to: end.map(|(_, latest)| latest),
        header_error: match &report.header {
            HeaderOutcome::Broken(error) => Some(HeaderProblem {
                line: error.line,
                column: error.column,
                what: error.to_string(),
                said: header_fault(error, language),
            }),
            HeaderOutcome::Absent | HeaderOutcome::Read { .. } => None,
        },
        first_verdict: report.was(),
        points: report
            .findings
            .iter()
            .map(|finding| {
                let settled = report.findings.is_settled(finding).then(|| setup.settlement(finding.check));
                point(finding, language, settled.flatten())
            })
            .collect(),
        language,
    }
}

/// The printing times that the header and the comments state, where another source counts.
fn other_durations(report: &Report) -> Vec<OtherDuration> {
    let header = match &report.header {
        HeaderOutcome::Read { header, .. } => header.time,
        HeaderOutcome::Absent | HeaderOutcome::Broken(_) => None,
    };
    let counts = report.facts.time.map(|time| time.source);
    [(FactSource::Header, header), (FactSource::Comment, report.hints.facts.time)]
        .into_iter()
        .filter(|(source, _)| counts.is_some_and(|counts| counts != *source))
        .filter_map(|(source, time)| Some(OtherDuration { from: source_word(source), duration_s: time?.0 }))
        .collect()
}

/// What is wrong with a header, and where: in English a whole sentence with its remedy, else in the screens' words.
fn header_fault(error: &HeaderError, language: Language) -> String {
    let words = words(language);
    match language {
        Language::English => error.to_string(),
        Language::German => format!(
            "{}: {} {}, {} {}: {} {}",
            words.header_broken,
            words.line,
            error.line,
            words.column,
            error.column,
            words.header_error(&error.kind),
            error.key
        )
        .trim_end()
        .to_owned(),
    }
}

fn point(finding: &Finding, language: Language, settled: Option<&Settlement>) -> Point {
    let text = |part| {
        let mut text = String::new();
        // Writing to a String cannot fail.
        let _ = write_wording(finding, language, part, &mut text);
        text
    };
    Point {
        check: finding.check,
        level: finding.level.word(),
        signal: finding.signal,
        settled: settled.and_then(|settled| settled.day),
        what: text(WordingPart::Sentence),
        remedy: text(WordingPart::Remedy),
    }
}
