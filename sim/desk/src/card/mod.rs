//! Makes a card image: formatted by the `fatfs` crate, filled by a writer of our own. Both are other ones than the library
//! that the core reads with, so a card made here also tests the reading.

mod layout;
mod names;
mod tree;

use std::io::{self, Cursor, Read, Seek, SeekFrom, Write};

use anyhow::{Context, Result};
use chrono::NaiveDateTime;
use fatfs::{FatType, FormatVolumeOptions};

use tree::Failed;

pub use layout::Layout;

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
    const fn fat_type(self) -> FatType {
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
}

/// A file or folder to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The way from the card's root, with slashes.
    pub name: String,
    /// Where it comes from, for messages.
    pub from: String,
    /// Whether it is a folder.
    pub is_folder: bool,
    /// Bytes of a file.
    pub bytes: u64,
    /// When it was saved, local time as the card keeps it.
    pub saved: Option<NaiveDateTime>,
}

/// A card in memory of these files.
///
/// # Errors
/// When they do not fit the options.
pub fn in_memory(files: &[(Entry, Vec<u8>)], options: &CardOptions) -> Result<Vec<u8>> {
    let entries: Vec<Entry> = files.iter().map(|(entry, _)| entry.clone()).collect();
    let layout = Layout::plan(&entries, options)?;
    let mut image = Cursor::new(vec![0; usize::try_from(layout.size_bytes)?]);
    write(&mut image, &entries, &layout, |at| Ok(files.get(at).map_or(&[][..], |(_, bytes)| bytes)))?;
    Ok(image.into_inner())
}

/// Writes table, volume and files into an image of `layout.size_bytes` zeros; `open` opens the file of an entry.
///
/// # Errors
/// When a file cannot be read, the image not be written, or the files do not fit.
pub fn write<R: Read>(
    image: &mut (impl Read + Write + Seek),
    sources: &[Entry],
    layout: &Layout,
    open: impl FnMut(usize) -> io::Result<R>,
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
    let kind = tree::write(&mut volume, sources, open).map_err(|Failed { at, error }| {
        let is_full = error.kind() == io::ErrorKind::WriteZero;
        let from = at.and_then(|at| sources.get(at));
        let what = from.map_or("cannot finish the volume".to_owned(), |source| {
            format!("cannot put {} on the card", source.from)
        });
        let problem = anyhow::Error::new(error).context(what);
        if is_full { problem.context(layout.too_small(sources)) } else { problem }
    })?;
    layout::write_table(image, layout, kind).context("cannot write the partition table")?;
    Ok(kind)
}

/// The volume's part of the image.
#[derive(Debug)]
struct Window<'a, I> {
    image: &'a mut I,
    start: u64,
    bytes: u64,
    position: u64,
}

impl<'a, I: Read + Write + Seek> Window<'a, I> {
    const fn new(image: &'a mut I, start: u64, bytes: u64) -> Self {
        Self { image, start, bytes, position: 0 }
    }

    /// How much of a buffer lies within the window, with the image at the right place.
    fn reach(&mut self, wanted: usize) -> io::Result<usize> {
        let left = usize::try_from(self.bytes.saturating_sub(self.position)).unwrap_or(usize::MAX);
        self.image.seek(SeekFrom::Start(self.start + self.position))?;
        Ok(wanted.min(left))
    }
}

impl<I: Read + Write + Seek> Read for Window<'_, I> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let reach = self.reach(buffer.len())?;
        let read = self.image.read(&mut buffer[..reach])?;
        self.position += read as u64;
        Ok(read)
    }
}

impl<I: Read + Write + Seek> Write for Window<'_, I> {
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

impl<I: Read + Write + Seek> Seek for Window<'_, I> {
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
