//! The demo card: an afternoon in the workshop of Lindenhof, a neighbourhood house of our own invention.
//!
//! Its job files are made here, the same bytes every time, so that no large file has to be kept; the card around
//! them is made by the `card` command's own code and read like any other card.

mod book;
mod jobs;
mod shapes;
mod writer;

use std::collections::BTreeSet;
use std::path::Path;

use anyhow::Result;
use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use holdpoint_shared::daybook::{EVENTS_FILE, ROWS_FILE};
use holdpoint_shared::media::RECORDS_FOLDER;

use crate::card::{self, CardKind, CardOptions, Entry};
use crate::script::Script;

/// The records on the demo card.
const RECORDS: [(&str, &[u8]); 3] = [
    ("MACHINE.JSN", include_bytes!("../../../demo/HOLDPT/MACHINE.JSN")),
    ("SPOOL.JSN", include_bytes!("../../../demo/HOLDPT/SPOOL.JSN")),
    ("ROOM.JSN", include_bytes!("../../../demo/HOLDPT/ROOM.JSN")),
];

/// The moment at which the demo plays, unless `--now` says another: a Wednesday, 14:42.
#[must_use]
pub fn clock() -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 11, 25).unwrap_or_default().and_time(NaiveTime::MIN)
        + TimeDelta::minutes(14 * 60 + 42)
}

/// The demo's files and folders, in the order in which a card keeps them.
#[must_use]
pub fn files() -> Vec<(Entry, Vec<u8>)> {
    let mut files: Vec<(String, NaiveDateTime, Vec<u8>)> = Vec::new();
    for (name, bytes) in RECORDS {
        files.push((name.to_owned(), clock(), bytes.to_vec()));
    }
    files.push((ROWS_FILE.to_owned(), clock(), book::rows()));
    files.push((EVENTS_FILE.to_owned(), clock(), book::events()));
    for (name, _, _) in &mut files {
        *name = format!("{RECORDS_FOLDER}/{name}");
    }
    files.extend(jobs::all().into_iter().map(|job| (job.path.to_owned(), job.saved, job.bytes)));
    let folders: BTreeSet<String> =
        files.iter().filter_map(|(name, _, _)| Some(name.split_once('/')?.0.to_owned())).collect();
    let entry = |name: &str, is_folder, bytes: usize, saved| Entry {
        name: name.to_owned(),
        from: name.to_owned(),
        is_folder,
        bytes: bytes as u64,
        saved,
    };
    let folders = folders.iter().map(|name| (entry(name, true, 0, None), Vec::new()));
    let mut all: Vec<(Entry, Vec<u8>)> = folders
        .chain(
            files
                .into_iter()
                .map(|(name, saved, bytes)| (entry(&name, false, bytes.len(), Some(saved)), bytes)),
        )
        .collect();
    all.sort_by(|(a, _), (b, _)| a.name.split('/').cmp(b.name.split('/')));
    all
}

/// The demo card's image.
///
/// # Errors
/// Never, as a test holds.
pub fn image() -> Result<Vec<u8>> {
    card::in_memory(&files(), &CardOptions { kind: Some(CardKind::Fat32), ..CardOptions::default() })
}

/// The demo's night.
///
/// # Errors
/// Never, as a test holds.
pub fn night() -> Result<Script> {
    Script::parse(Path::new("night.txt"), include_str!("../../../demo/night.txt"))
}
