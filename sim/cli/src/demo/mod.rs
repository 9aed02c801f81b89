//! The demo card: an afternoon in the workshop of Lindenhof, a neighbourhood house of our own invention.
//!
//! Its job files are made here, the same bytes every time, so that no large file has to be kept; the card around
//! them is made by the `card` command's own code and read like any other card.

mod book;
mod jobs;
mod shapes;
mod writer;

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use holdpoint_shared::daybook::{EVENTS_FILE, ROWS_FILE};

use crate::clock::utc_offset_min;
use crate::commands::card::{CardKind, CardOptions, make_card};
use crate::shown::Shown;
use crate::temporary::Temporary;

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

/// The demo card, which goes when this does.
#[derive(Debug)]
pub struct DemoCard {
    _folder: Temporary,
    image: PathBuf,
}

impl DemoCard {
    /// Makes the card in the system's folder for temporary files.
    ///
    /// # Errors
    /// When it cannot be written there.
    pub fn make() -> Result<Self> {
        let folder = Temporary::new()?;
        let files = folder.path().join("card");
        write_files(&files)?;
        let image = folder.path().join("demo.img");
        let options = CardOptions {
            kind: Some(CardKind::Fat32),
            utc_offset_min: utc_offset_min(clock()),
            ..CardOptions::default()
        };
        make_card(&files, &image, &options)?;
        Ok(Self { _folder: folder, image })
    }

    /// The card's image.
    #[must_use]
    pub fn image(&self) -> &Path {
        &self.image
    }
}

/// Writes the demo's files into a folder, which is made.
///
/// # Errors
/// When they cannot be written.
pub fn write_files(folder: &Path) -> Result<()> {
    for (name, bytes) in RECORDS {
        write(&folder.join("HOLDPT").join(name), bytes, clock())?;
    }
    write(&folder.join("HOLDPT").join(ROWS_FILE), &book::rows(), clock())?;
    write(&folder.join("HOLDPT").join(EVENTS_FILE), &book::events(), clock())?;
    for job in jobs::all() {
        write(&folder.join(job.path), &job.bytes, job.saved)?;
    }
    Ok(())
}

fn write(path: &Path, bytes: &[u8], saved: NaiveDateTime) -> Result<()> {
    let failed = || format!("{}: the demo's file cannot be written; is there space left?", path.shown());
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).with_context(failed)?;
    }
    fs::write(path, bytes).with_context(failed)?;
    let time = (saved - TimeDelta::minutes(utc_offset_min(clock()).into())).and_utc();
    File::options()
        .write(true)
        .open(path)
        .and_then(|file| file.set_modified(time.into()))
        .with_context(failed)
}
