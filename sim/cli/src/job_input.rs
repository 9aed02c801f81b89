//! Job files that the command line names, and their records.

use std::fs::File;
use std::io;
use std::path::Path;

use anyhow::{Context, Result, bail};
use chrono::NaiveDateTime;
use holdpoint_desk::setup::Records;
use holdpoint_desk::shown::Shown;

use crate::args::Settings;
use crate::folder::{Folder, card_root};
use crate::say::say_left_out;
use crate::source::{Source, SourceKind, open_file};

/// What stands for standard input on the command line.
pub const STANDARD_INPUT: &str = "-";

/// Opens a job file; `-` is standard input, which is laid down in a temporary file first.
///
/// # Errors
/// When it cannot be read or is no job file: the message names it and the way out.
pub fn open(path: &Path, now: NaiveDateTime) -> Result<File> {
    if path.as_os_str() == STANDARD_INPUT {
        let mut file = tempfile::tempfile()
            .context("standard input needs a temporary file; set TMPDIR to a folder that can be written")?;
        io::copy(&mut io::stdin().lock(), &mut file)
            .context("standard input: cannot be read to its end; name the file instead")?;
        return Ok(file);
    }
    let name = path.shown();
    match Source::at(path, now)?.kind() {
        SourceKind::Job => {}
        SourceKind::Folder => {
            bail!("{name}: is a folder; name the job files in it, such as {name}/*.gcode")
        }
        SourceKind::Image => bail!(
            "{name}: is no text of motion words; name a job file, or `holdpoint vet {name}` for a card's image"
        ),
    }
    open_file(path)
}

/// The records that the settings name, and the others from the nearest `HOLDPT` folder at or above the job's own,
/// as `vet` finds them on a card.
///
/// # Errors
/// When a record cannot be read or is malformed, with every fault.
pub fn records_for(path: &Path, settings: &Settings) -> Result<Records> {
    let overrides = settings.overrides()?;
    let records = match card_root(path) {
        Some(root) => {
            let mut folder = Folder::new(&root, 0)?;
            Records::load(&overrides, Some(&mut folder), &root)?
        }
        None => Records::load(&overrides, None::<&mut Folder>, path)?,
    };
    say_left_out(&records);
    records.whole()
}
