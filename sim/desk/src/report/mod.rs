//! What was found about a job, as text, JSON and CSV.

mod text;
mod words;

use std::io::Write;

use chrono::{NaiveDate, NaiveDateTime};
use holdpoint_shared::checks::{Signal, Verdict};
use holdpoint_shared::daybook::defused;
use holdpoint_shared::header::Source;
use holdpoint_shared::records::Language;
use serde::{Serialize, Serializer};

use crate::verdict;

pub use text::{Table, WIDTH, left_out, no_records, write_points, write_total};

/// Source of a material's numbers: a row of the room's own.
pub const ROOM_RULES: &str = "room rules";
/// The built-in table.
pub const MATERIAL_TABLE: &str = "material table";

/// A job and its verdict, in the units of the keys' names.
#[derive(Clone, Debug, Serialize)]
pub struct JobReport {
    /// Folder on the card, empty for its root.
    pub folder: String,
    /// File name, cut where the core cuts it.
    pub name: String,
    /// Whether more of the name was cut off.
    pub name_cut: bool,
    /// Bytes of the file.
    pub size_bytes: u64,
    /// Local time of its last change.
    #[serde(serialize_with = "iso")]
    pub saved: Option<NaiveDateTime>,
    /// The verdict.
    #[serde(serialize_with = "verdict_word")]
    pub verdict: Verdict,
    /// Mark of the job's material.
    pub job_mark: Option<String>,
    /// Mark of the spool's material.
    pub spool_mark: Option<String>,
    /// Whose row the job's material is judged by: "room rules" or "material table"; null = no material is known.
    pub material_row: Option<&'static str>,
    /// Filament needed, µm.
    pub length_um: Option<i64>,
    /// Filament needed, mg.
    pub mass_mg: Option<i64>,
    /// Printing time, s: of the best source.
    pub duration_s: Option<u32>,
    /// That source: "moves", "header" or "comment".
    pub duration_from: Option<&'static str>,
    /// What the other sources say of it.
    pub other_durations: Vec<OtherDuration>,
    /// Earliest local time at which it ends when it is started now.
    #[serde(serialize_with = "iso")]
    pub ends_from: Option<NaiveDateTime>,
    /// Latest.
    #[serde(serialize_with = "iso")]
    pub ends_to: Option<NaiveDateTime>,
    /// What is wrong with the job header.
    pub header_error: Option<HeaderProblem>,
    /// The verdict from the header alone, where the moves made it worse.
    #[serde(serialize_with = "verdict_or_null")]
    pub first_verdict: Option<Verdict>,
    /// What was found, worst first, settled ones last.
    pub points: Vec<Point>,
    /// Of what a reader sees; the keys and words of JSON and CSV are the same in every language.
    #[serde(skip)]
    pub language: Language,
}

/// A printing time that is not the one that counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct OtherDuration {
    /// Where it stands: "header" or "comment".
    pub from: &'static str,
    /// Time, s.
    pub duration_s: u32,
}

/// A source in a word.
#[must_use]
pub const fn source_word(source: Source) -> &'static str {
    match source {
        Source::Moves => "moves",
        Source::Header => "header",
        Source::Comment => "comment",
    }
}

/// Where a header is broken.
#[derive(Clone, Debug, Serialize)]
pub struct HeaderProblem {
    /// Line of the file, from 1.
    pub line: u32,
    /// Column in bytes, from 1.
    pub column: u32,
    /// What is wrong there, and what to do.
    pub what: String,
    /// The same for a reader, in the language of the verdicts.
    #[serde(skip)]
    pub said: String,
}

/// One point: a result of a check.
#[derive(Clone, Debug, Serialize)]
pub struct Point {
    /// Number in the catalogue.
    pub check: u8,
    /// NOTE, LOOK or HOLD.
    pub level: &'static str,
    /// NOTICE, CAUTION or WARNING.
    #[serde(serialize_with = "signal_word")]
    pub signal: Signal,
    /// The day it was settled for this spool or machine: then it no longer weighs.
    pub settled: Option<NaiveDate>,
    /// What was found, with its numbers.
    pub what: String,
    /// What to do.
    pub remedy: String,
}

/// The jobs of one card, folder or file.
#[derive(Clone, Debug, Serialize)]
pub struct CardReport {
    /// As it was named on the command line.
    pub path: String,
    /// Why it could not be read; then the jobs that were read before stand.
    pub error: Option<String>,
    /// What of it was not vetted, and where the first of that lies.
    pub left_out: Option<String>,
    /// Its jobs, newest first.
    pub jobs: Vec<JobReport>,
}

/// Everything that one `vet` found: the JSON document.
#[derive(Clone, Debug, Serialize)]
pub struct Document {
    /// Version of this document's shape.
    pub vet: u8,
    /// Local time that the ends were reckoned from.
    #[serde(serialize_with = "iso")]
    pub now: Option<NaiveDateTime>,
    /// The worst over all jobs.
    #[serde(serialize_with = "verdict_word")]
    pub verdict: Verdict,
    /// The cards in the order of the command line.
    pub cards: Vec<CardReport>,
}

fn signal_word<S: Serializer>(signal: &Signal, serializer: S) -> Result<S::Ok, S::Error> {
    verdict::signal_word(*signal).serialize(serializer)
}

fn verdict_word<S: Serializer>(verdict: &Verdict, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(verdict::word(*verdict))
}

#[expect(clippy::ref_option, reason = "serde hands over a reference to the field")]
fn verdict_or_null<S: Serializer>(verdict: &Option<Verdict>, serializer: S) -> Result<S::Ok, S::Error> {
    verdict.map(verdict::word).serialize(serializer)
}

#[expect(clippy::ref_option, reason = "serde hands over a reference to the field")]
fn iso<S: Serializer>(time: &Option<NaiveDateTime>, serializer: S) -> Result<S::Ok, S::Error> {
    time.map(iso_text).serialize(serializer)
}

fn iso_text(time: NaiveDateTime) -> String {
    time.format("%Y-%m-%dT%H:%M:%S").to_string()
}

impl JobReport {
    /// Folder and name.
    #[must_use]
    pub fn path(&self) -> String {
        let cut = if self.name_cut { "…" } else { "" };
        match self.folder.as_str() {
            "" => format!("{}{cut}", self.name),
            folder => format!("{}/{}{cut}", folder.trim_end_matches('/'), self.name),
        }
    }
}

/// A row of the CSV form.
#[derive(Debug, Serialize)]
struct Row {
    card: String,
    folder: String,
    name: String,
    size_bytes: Option<u64>,
    saved: Option<String>,
    verdict: &'static str,
    job_mark: Option<String>,
    spool_mark: Option<String>,
    length_um: Option<i64>,
    mass_mg: Option<i64>,
    duration_s: Option<u32>,
    ends_from: Option<String>,
    ends_to: Option<String>,
    first_verdict: Option<&'static str>,
    points: usize,
    settled: usize,
    worst_check: Option<u8>,
    worst_level: Option<&'static str>,
    worst_point: Option<String>,
    error: Option<String>,
}

/// A text in its cell: none that a spreadsheet would take for a formula.
fn cell(text: &str) -> String {
    defused(text).collect()
}

/// All jobs as CSV after RFC 4180, a heading first; a card that could not be read, or not whole, has a row that says so.
/// Texts that a spreadsheet would take for a formula are defused as in the day book.
///
/// # Errors
/// When `out` cannot be written.
pub fn write_csv(out: impl Write, document: &Document) -> anyhow::Result<()> {
    let mut rows = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out);
    for card in &document.cards {
        for job in &card.jobs {
            let worst = job.points.iter().find(|point| point.settled.is_none());
            rows.serialize(Row {
                card: cell(&card.path),
                folder: cell(&job.folder),
                name: cell(&job.name),
                size_bytes: Some(job.size_bytes),
                saved: job.saved.map(iso_text),
                verdict: verdict::word(job.verdict),
                job_mark: job.job_mark.as_deref().map(cell),
                spool_mark: job.spool_mark.as_deref().map(cell),
                length_um: job.length_um,
                mass_mg: job.mass_mg,
                duration_s: job.duration_s,
                ends_from: job.ends_from.map(iso_text),
                ends_to: job.ends_to.map(iso_text),
                first_verdict: job.first_verdict.map(verdict::word),
                points: job.points.len(),
                settled: job.points.iter().filter(|point| point.settled.is_some()).count(),
                worst_check: worst.map(|point| point.check),
                worst_level: worst.map(|point| point.level),
                worst_point: worst.map(|point| cell(&point.what)),
                error: None,
            })?;
        }
        for error in card.error.iter().chain(&card.left_out) {
            rows.serialize(Row {
                card: cell(&card.path),
                folder: String::new(),
                name: String::new(),
                size_bytes: None,
                saved: None,
                verdict: verdict::word(Verdict::NoVerdict),
                job_mark: None,
                spool_mark: None,
                length_um: None,
                mass_mg: None,
                duration_s: None,
                ends_from: None,
                ends_to: None,
                first_verdict: None,
                points: 0,
                settled: 0,
                worst_check: None,
                worst_level: None,
                worst_point: None,
                error: Some(cell(error)),
            })?;
        }
    }
    rows.flush()?;
    Ok(())
}
