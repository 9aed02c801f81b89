//! A card image from a folder of the desktop.

use std::collections::HashSet;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use chrono::{DateTime, FixedOffset, NaiveDateTime, Utc};
use holdpoint_desk::card::{self, CardKind, CardOptions, Entry, Layout};
use holdpoint_desk::shown::Shown;
use tempfile::NamedTempFile;

use crate::atomic::{self, Existing};
use crate::output::{Form, Inputs};

/// How a folder becomes a card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Making {
    /// The card.
    pub card: CardOptions,
    /// Minutes east of UTC in which the files' times are written: a card keeps local time.
    pub utc_offset_min: i32,
    /// Whether an image that is already there may be replaced.
    pub replace: bool,
}

/// What was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardSummary {
    /// The kind of the volume.
    pub kind: CardKind,
    /// Bytes of the image.
    pub size_bytes: u64,
    /// Bytes of a cluster.
    pub cluster_bytes: u32,
    /// Files written.
    pub files: usize,
    /// Folders made.
    pub folders: usize,
    /// Bytes of all files.
    pub content_bytes: u64,
    /// Files and folders left out: names that begin with a dot.
    pub hidden: usize,
    /// The first of them, by its way from the card's root.
    pub first_hidden: Option<String>,
}

/// The largest file that FAT can hold: its length is kept in 32 bits.
const LARGEST_FILE: u64 = u32::MAX as u64;

/// Folders below the root at most: nothing deeper is ever searched for jobs, and links may lead in circles.
const DEEPEST: usize = 16;

/// Makes the card image `to` from the folder `from`.
///
/// The image is written beside `to` and takes its name when it is whole.
///
/// # Errors
/// When the folder is missing or cannot be read, a file's name or size is impossible on a card, the files do not
/// fit the size, the kind does not fit the size, or the image cannot be written. `to` is then as it was.
pub fn make_card(from: &Path, to: &Path, options: &Making) -> Result<CardSummary> {
    let found = fs::metadata(from).with_context(|| format!("cannot read the folder {}", from.shown()))?;
    ensure!(found.is_dir(), "{} is not a folder: a card is made from a folder of jobs", from.shown());
    refuse_existing(to, options)?;
    let seconds = options.utc_offset_min.checked_mul(60).and_then(FixedOffset::east_opt);
    let offset =
        seconds.with_context(|| format!("{} minutes from UTC is more than a day", options.utc_offset_min))?;
    let mut gathered =
        Gathered { offset: Some(offset), leave_out: fs::canonicalize(to).ok(), ..Gathered::default() };
    gathered.folder(from, "", 0)?;
    let Gathered { entries, paths, hidden, first_hidden, .. } = gathered;
    let open = |at: usize| paths.get(at).map_or_else(|| Err(io::ErrorKind::NotFound.into()), File::open);
    let made = write_card(&entries, open, to, options)?;
    Ok(CardSummary { hidden, first_hidden, ..made })
}

/// Writes the card image `to` of files that `open` opens.
///
/// # Errors
/// As [`make_card`].
pub fn write_card<R: io::Read>(
    entries: &[Entry],
    mut open: impl FnMut(usize) -> io::Result<R>,
    to: &Path,
    options: &Making,
) -> Result<CardSummary> {
    refuse_existing(to, options)?;
    let layout = Layout::plan(entries, &options.card)?;
    let mut kind = CardKind::Fat32;
    let fill = |image: &mut NamedTempFile| {
        let file = image.as_file_mut();
        file.set_len(layout.size_bytes)
            .with_context(|| format!("cannot make an image of {} bytes", layout.size_bytes))?;
        kind = card::write(file, entries, &layout, &mut open)?;
        Ok(())
    };
    if options.replace {
        Inputs::default().write(to, Form::Card, fill)?;
    } else {
        atomic::write(to, Existing::Kept, None, fill)?;
    }
    Ok(CardSummary {
        kind,
        size_bytes: layout.size_bytes,
        cluster_bytes: layout.cluster_bytes,
        files: entries.iter().filter(|entry| !entry.is_folder).count(),
        folders: entries.iter().filter(|entry| entry.is_folder).count(),
        content_bytes: entries.iter().map(|entry| entry.bytes).sum(),
        hidden: 0,
        first_hidden: None,
    })
}

fn refuse_existing(to: &Path, options: &Making) -> Result<()> {
    ensure!(
        options.replace || !to.exists(),
        "{} is already there: give another name, or ask to replace it",
        to.shown()
    );
    Ok(())
}

#[derive(Default)]
struct Gathered {
    entries: Vec<Entry>,
    /// Where each of them is.
    paths: Vec<PathBuf>,
    offset: Option<FixedOffset>,
    hidden: usize,
    first_hidden: Option<String>,
    /// The image of an earlier run, when it lies in the folder itself.
    leave_out: Option<PathBuf>,
}

impl Gathered {
    fn folder(&mut self, path: &Path, inner: &str, depth: usize) -> Result<()> {
        ensure!(depth <= DEEPEST, "{} is more than {DEEPEST} folders deep", path.shown());
        let read = fs::read_dir(path).and_then(Iterator::collect::<io::Result<Vec<_>>>);
        let mut entries = read.with_context(|| format!("cannot read the folder {}", path.shown()))?;
        // The same folder gives the same card on every file system.
        entries.sort_by_key(fs::DirEntry::file_name);
        let mut taken = HashSet::new();
        for entry in entries {
            let path = entry.path();
            let name = entry.file_name();
            let Some(name) = name.to_str() else {
                bail!("the name of {} is not UTF-8: rename it", path.shown());
            };
            if name.starts_with('.') {
                self.hidden += 1;
                let slash = if inner.is_empty() { "" } else { "/" };
                self.first_hidden.get_or_insert_with(|| format!("{inner}{slash}{name}"));
                continue;
            }
            if self.leave_out.is_some() && fs::canonicalize(&path).ok() == self.leave_out {
                continue;
            }
            check_name(name, &path)?;
            ensure!(
                taken.insert(name.to_uppercase()),
                "{} differs from another name in its folder only by capitals, which a card cannot hold: rename it",
                path.shown()
            );
            let found = fs::metadata(&path).with_context(|| format!("cannot read {}", path.shown()))?;
            let name = if inner.is_empty() { name.to_owned() } else { format!("{inner}/{name}") };
            let bytes = if found.is_dir() { 0 } else { found.len() };
            ensure!(
                bytes <= LARGEST_FILE,
                "{} has {bytes} bytes: a file on a FAT card has at most {LARGEST_FILE}",
                path.shown()
            );
            let local = |offset| {
                Some(DateTime::<Utc>::from(found.modified().ok()?).with_timezone(offset).naive_local())
            };
            let saved: Option<NaiveDateTime> = self.offset.as_ref().and_then(local);
            self.entries.push(Entry {
                name: name.clone(),
                from: path.shown().to_string(),
                is_folder: found.is_dir(),
                bytes,
                saved,
            });
            self.paths.push(path.clone());
            if found.is_dir() {
                self.folder(&path, &name, depth + 1)?;
            }
        }
        Ok(())
    }
}

/// What a long name cannot hold (Microsoft's FAT overview 1.03, long names).
fn check_name(name: &str, path: &Path) -> Result<()> {
    if let Some(character) = name.chars().find(|c| c.is_control() || "\"*/:<>?\\|".contains(*c)) {
        bail!("{} has {character:?} in its name, which a card cannot hold: rename it", path.shown());
    }
    ensure!(
        !name.ends_with(['.', ' ']),
        "{} ends with a dot or a blank, which a card cannot hold: rename it",
        path.shown()
    );
    ensure!(
        name.encode_utf16().count() <= 255,
        "the name of {} is longer than the 255 characters that a card can hold",
        path.shown()
    );
    Ok(())
}
