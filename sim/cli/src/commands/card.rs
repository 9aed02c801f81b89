//! Makes a card image from a folder, by the `fatfs` crate: another writer than the library that the core reads
//! with, so a card made here also tests the reading.

use std::collections::HashSet;
use std::fs::{self, File};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use anyhow::{Context, Result, bail, ensure};
use chrono::{DateTime, FixedOffset, Utc};
use fatfs::{FatType, FileSystem, FormatVolumeOptions, FsOptions};
use tempfile::NamedTempFile;

use crate::atomic::{self, Existing};
use crate::commands::card_layout::{self, Layout};
use crate::fat_folders::make_folders;
use crate::output::{Form, Inputs};
use crate::shown::Shown;
use crate::stamp::STAMP_CLOCK;

/// The kind of a card's volume.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CardKind {
    /// Fewer than 4,085 clusters.
    Fat12,
    /// Fewer than 65,525 clusters.
    Fat16,
    /// All others.
    Fat32,
}

impl CardKind {
    pub(super) const fn fat_type(self) -> FatType {
        match self {
            Self::Fat12 => FatType::Fat12,
            Self::Fat16 => FatType::Fat16,
            Self::Fat32 => FatType::Fat32,
        }
    }
}

/// What stands before the volume.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CardTable {
    /// Nothing: the volume begins at block 0.
    None,
    /// An MBR with one partition at 1 MiB, as cards are sold.
    #[default]
    Mbr,
}

/// How a card is made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CardOptions {
    /// The kind of the volume; chosen by its size if not given.
    pub kind: Option<CardKind>,
    /// What stands before it.
    pub table: CardTable,
    /// Bytes of the whole image; as the files need, and a quarter more, if not given.
    pub size_bytes: Option<u64>,
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

/// A file or folder to be written.
#[derive(Debug)]
pub(super) struct Source {
    path: PathBuf,
    /// The way from the card's root, with slashes.
    pub(super) name: String,
    pub(super) is_folder: bool,
    pub(super) bytes: u64,
    modified: Option<SystemTime>,
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
pub fn make_card(from: &Path, to: &Path, options: &CardOptions) -> Result<CardSummary> {
    let found = fs::metadata(from).with_context(|| format!("cannot read the folder {}", from.shown()))?;
    ensure!(found.is_dir(), "{} is not a folder: a card is made from a folder of jobs", from.shown());
    ensure!(
        options.replace || !to.exists(),
        "{} is already there: give another name, or ask to replace it",
        to.shown()
    );
    let seconds = options.utc_offset_min.checked_mul(60).and_then(FixedOffset::east_opt);
    let offset =
        seconds.with_context(|| format!("{} minutes from UTC is more than a day", options.utc_offset_min))?;
    let mut gathered =
        Gathered { sources: Vec::new(), hidden: 0, first_hidden: None, leave_out: fs::canonicalize(to).ok() };
    gathered.folder(from, "", 0)?;
    let layout = Layout::plan(&gathered.sources, options)?;

    let mut kind = CardKind::Fat32;
    let fill = |image: &mut NamedTempFile| {
        let file = image.as_file_mut();
        file.set_len(layout.size_bytes)
            .with_context(|| format!("cannot make an image of {} bytes", layout.size_bytes))?;
        kind = write_card(file, &gathered.sources, &layout, offset)?;
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
        files: gathered.sources.iter().filter(|source| !source.is_folder).count(),
        folders: gathered.sources.iter().filter(|source| source.is_folder).count(),
        content_bytes: gathered.sources.iter().map(|source| source.bytes).sum(),
        hidden: gathered.hidden,
        first_hidden: gathered.first_hidden,
    })
}

struct Gathered {
    sources: Vec<Source>,
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
            self.sources.push(Source {
                path: path.clone(),
                name: name.clone(),
                is_folder: found.is_dir(),
                bytes,
                modified: found.modified().ok(),
            });
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
    if let Some(character) = name.chars().find(|character| character.len_utf16() > 1) {
        bail!(
            "{} has {character:?} in its name, which this writer of cards cannot store: rename it",
            path.shown()
        );
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

/// Writes table, volume and files.
fn write_card(
    image: &mut File,
    sources: &[Source],
    layout: &Layout,
    offset: FixedOffset,
) -> Result<CardKind> {
    image.seek(SeekFrom::Start(0))?;
    let mut volume = Window::new(image, layout.volume_start, layout.volume_bytes);
    let format = FormatVolumeOptions::new()
        .fat_type(layout.kind.fat_type())
        .bytes_per_cluster(layout.cluster_bytes)
        .max_root_dir_entries(layout.root_entries)
        .total_sectors(layout.sectors());
    fatfs::format_volume(&mut volume, format).with_context(|| {
        format!("cannot make a {:?} volume of {} bytes", layout.kind, layout.volume_bytes)
    })?;
    STAMP_CLOCK.set(None);
    let folders: Vec<String> =
        sources.iter().filter(|source| source.is_folder).map(|source| source.name.clone()).collect();
    make_folders(&mut volume, &folders).map_err(|error| {
        anyhow::Error::new(error)
            .context("cannot make the folders on the card")
            .context(layout.too_small(sources))
    })?;
    volume.seek(SeekFrom::Start(0))?;
    let options = FsOptions::new().time_provider(&STAMP_CLOCK);
    let card = FileSystem::new(&mut volume, options).context("cannot open the volume just made")?;
    for source in sources.iter().filter(|source| !source.is_folder) {
        write_source(&card, source, offset).map_err(|error| {
            let full = error.kind() == io::ErrorKind::Other || error.kind() == io::ErrorKind::WriteZero;
            let problem =
                anyhow::Error::new(error).context(format!("cannot put {} on the card", source.path.shown()));
            if full { problem.context(layout.too_small(sources)) } else { problem }
        })?;
    }
    let kind = match card.fat_type() {
        FatType::Fat12 => CardKind::Fat12,
        FatType::Fat16 => CardKind::Fat16,
        FatType::Fat32 => CardKind::Fat32,
    };
    card.unmount().context("cannot finish the volume")?;
    card_layout::write_table(image, layout, kind).context("cannot write the partition table")?;
    Ok(kind)
}

fn write_source(card: &FileSystem<&mut Window<'_>>, source: &Source, offset: FixedOffset) -> io::Result<()> {
    STAMP_CLOCK
        .set(source.modified.map(|time| DateTime::<Utc>::from(time).with_timezone(&offset).naive_local()));
    let mut from = File::open(&source.path)?;
    let mut to = card.root_dir().create_file(&source.name)?;
    io::copy(&mut from, &mut to)?;
    to.flush()
}

/// The volume's part of the image.
#[derive(Debug)]
struct Window<'a> {
    image: &'a mut File,
    start: u64,
    bytes: u64,
    position: u64,
}

impl<'a> Window<'a> {
    const fn new(image: &'a mut File, start: u64, bytes: u64) -> Self {
        Self { image, start, bytes, position: 0 }
    }

    /// How much of a buffer lies within the window, with the image at the right place.
    fn reach(&mut self, wanted: usize) -> io::Result<usize> {
        let left = usize::try_from(self.bytes.saturating_sub(self.position)).unwrap_or(usize::MAX);
        self.image.seek(SeekFrom::Start(self.start + self.position))?;
        Ok(wanted.min(left))
    }
}

impl Read for Window<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let reach = self.reach(buffer.len())?;
        let read = self.image.read(&mut buffer[..reach])?;
        self.position += read as u64;
        Ok(read)
    }
}

impl Write for Window<'_> {
    fn write(&mut self, buffer: &[u8]) -> io::Result<usize> {
        let reach = self.reach(buffer.len())?;
        let written = self.image.write(&buffer[..reach])?;
        self.position += written as u64;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.image.flush()
    }
}

impl Seek for Window<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let position = match to {
            SeekFrom::Start(at) => Some(at),
            SeekFrom::Current(by) => self.position.checked_add_signed(by),
            SeekFrom::End(by) => self.bytes.checked_add_signed(by),
        };
        self.position = position.ok_or(io::ErrorKind::InvalidInput)?;
        Ok(self.position)
    }
}
