//! What the command line names: a card image, a folder of jobs or a single job file, told apart by content.

use std::fmt;
use std::fs::{self, File};
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use anyhow::{Result, bail};
use chrono::NaiveDateTime;
use holdpoint_shared::media::{
    EntryPlace, FileKind, JobFiles, MediaError, MediaFault, MountToken, Page, PageFrom, Volume, file_kind,
};

use crate::clock::utc_offset_min;
use crate::folder::{Folder, Walked, card_root};
use crate::image::Image;
use crate::listing::Listing;
use crate::memory_card::MemoryCard;
use crate::shown::Shown;

/// What a path holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SourceKind {
    /// A disk image of a card.
    Image,
    /// A folder, read as if it were a card.
    Folder,
    /// One job file.
    Job,
    /// A card in memory.
    Memory,
}

/// A card, folder or file that can be opened again and again, as a card is put in again and again.
#[derive(Debug)]
pub struct Source {
    path: PathBuf,
    kind: SourceKind,
    utc_offset_min: i32,
    token: MountToken,
    /// The card in memory, where it is one.
    card: Option<MemoryCard>,
}

/// The jobs of an opened [`Source`].
pub struct Files<'s>(Box<dyn Opened + 's>);

/// Jobs that can say more of their last fault than a card's slot can.
trait Opened: JobFiles {
    /// What the operating system said, with the file's name.
    fn problem(&self) -> Option<&str> {
        None
    }

    /// Whether it is a desktop's folder, of which a walk gives all jobs at once.
    fn is_folder(&self) -> bool {
        false
    }

    /// Of a folder: what the last walk over it found.
    fn walked(&self) -> Option<Walked> {
        None
    }
}

impl Opened for Volume<'_, Image> {}

impl Opened for Volume<'_, MemoryCard> {}

impl Opened for Folder {
    fn problem(&self) -> Option<&str> {
        self.problem()
    }

    fn is_folder(&self) -> bool {
        true
    }

    fn walked(&self) -> Option<Walked> {
        self.walked()
    }
}

impl Files<'_> {
    /// All jobs, newest first, and of a folder what others need to read it without walking it again.
    ///
    /// # Errors
    /// The card's fault that ended the listing.
    pub fn list(&mut self) -> Result<(Arc<Listing>, Option<Walked>), MediaError> {
        if self.0.is_folder() {
            self.start_listing(PageFrom::Newest);
            nb::block!(self.poll_listing(&mut Page::default()))?;
        }
        match self.0.walked() {
            Some(walked) => Ok((walked.listed.clone(), Some(walked))),
            None => Ok((Arc::new(Listing::of(self)?), None)),
        }
    }

    /// A fault of these jobs, which were opened from `path`, with its place and its remedy.
    #[must_use]
    pub fn describe(&self, path: &Path, fault: MediaError) -> anyhow::Error {
        match self.0.problem() {
            Some(problem) => unreadable(problem),
            None => describe(path, fault),
        }
    }
}

/// Whether a file that begins with this block can be a card: it has the signature of a boot sector or a partition table.
pub(crate) fn is_boot_block(head: &[u8]) -> bool {
    let (at, signature) = SIGNATURE;
    head.get(at..at + signature.len()) == Some(&signature[..])
}

/// Where the boot signature of a FAT or exFAT volume and of a partition table stands, and its two bytes.
const SIGNATURE: (usize, [u8; 2]) = (510, [0x55, 0xAA]);

impl Source {
    /// Looks at what a path holds. Files of a folder are dated as the computer's clock was set at `now`.
    ///
    /// # Errors
    /// When there is nothing, or it cannot be read.
    pub fn at(path: &Path, now: NaiveDateTime) -> Result<Self> {
        let kind = kind_of(path)?;
        let utc_offset_min = utc_offset_min(now);
        Ok(Self { path: path.to_owned(), kind, utc_offset_min, token: MountToken::new(), card: None })
    }

    /// A card in memory; `name` stands in messages.
    #[must_use]
    pub fn of_card(name: &str, card: MemoryCard) -> Self {
        let path = PathBuf::from(name);
        Self { path, kind: SourceKind::Memory, utc_offset_min: 0, token: MountToken::new(), card: Some(card) }
    }

    /// The card in memory, where it is one.
    #[must_use]
    pub const fn memory_card(&self) -> Option<&MemoryCard> {
        self.card.as_ref()
    }

    /// Its path, for messages.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// What it is.
    #[must_use]
    pub const fn kind(&self) -> SourceKind {
        self.kind
    }

    /// Where its records are looked for, for messages: the card itself, or the folder at or above a job that holds them.
    #[must_use]
    pub fn records_at(&self) -> PathBuf {
        let root = (self.kind == SourceKind::Job).then(|| card_root(&self.path)).flatten();
        root.unwrap_or_else(|| self.path.clone())
    }

    /// Opens it, as a card that is put in.
    ///
    /// # Errors
    /// When it cannot be read: the message names it and the remedy.
    pub fn open(&mut self) -> Result<Files<'_>> {
        let path = self.path.clone();
        match self.mount()? {
            Ok(files) => Ok(files),
            Err(fault) => Err(describe(&path, fault)),
        }
    }

    /// Opens it, so that a record can be appended to as well.
    ///
    /// # Errors
    /// When it cannot be read or not be written, or is a job file: a job has no folder of records of its own.
    pub fn open_writable(&mut self) -> Result<Files<'_>> {
        let path = self.path.clone();
        match self.kind {
            SourceKind::Job => anyhow::bail!("{}: is a job file; name its card or folder", path.shown()),
            SourceKind::Folder | SourceKind::Memory => self.open(),
            SourceKind::Image => match Volume::mount(Image::open_writable(&path)?, &mut self.token) {
                Ok(volume) => Ok(Files(Box::new(volume))),
                Err(fault) => Err(describe(&path, fault)),
            },
        }
    }

    /// Opens it, and hands on what is wrong with the card itself as the device's slot would.
    ///
    /// # Errors
    /// When there is nothing to be opened; within, the card's fault.
    pub fn mount(&mut self) -> Result<Result<Files<'_>, MediaError>> {
        let Self { path, kind, utc_offset_min, token, card } = self;
        if let Some(card) = card {
            return Ok(Volume::mount(card.clone(), token).map(|volume| Files(Box::new(volume))));
        }
        let files: Box<dyn Opened> = match kind {
            SourceKind::Image => match Volume::mount(Image::open(path)?, token) {
                Ok(volume) => Box::new(volume),
                Err(fault) => return Ok(Err(fault)),
            },
            SourceKind::Folder | SourceKind::Memory => Box::new(Folder::new(path, *utc_offset_min)?),
            SourceKind::Job => Box::new(Folder::of_files(vec![path.clone()], *utc_offset_min)?),
        };
        Ok(Ok(Files(files)))
    }
}

/// What the system said of a file, with what to do.
pub(crate) fn unreadable(problem: &str) -> anyhow::Error {
    anyhow::anyhow!("{problem}; may you read it? set its rights or leave it out")
}

/// A fault of the card at `path`, with its remedy.
pub(crate) fn describe(path: &Path, fault: MediaError) -> anyhow::Error {
    anyhow::anyhow!("{}: {fault}; {}", path.shown(), remedy(fault.fault))
}

/// What to do about it at a desk; the device's own screens have their words in the core.
const fn remedy(fault: MediaFault) -> &'static str {
    match fault {
        MediaFault::NoCard => "is the file empty? copy the image again",
        MediaFault::Blank => "make the image again once something is on the card",
        MediaFault::Foreign => "name a card image, a folder or a job file; a card wants FAT32 or exFAT",
        MediaFault::Truncated => "copy the whole card into the image again",
        MediaFault::Full => "delete what is not needed",
        MediaFault::ReadOnly => "move its switch, or write to a copy",
        MediaFault::OnlyRead => "write to a copy on FAT32",
        MediaFault::Gone | MediaFault::ReadFailed | MediaFault::WriteFailed => {
            "try again, then try another card"
        }
        MediaFault::NotFound => "was it moved meanwhile? try again",
        _ => "have a computer check the card, then copy the jobs onto it again",
    }
}

/// Opens a file for reading.
///
/// # Errors
/// When it cannot be read, or has no beginning and end of its own: a pipe would keep its reader waiting, and some devices
/// never end. A card reader's device has both.
pub fn open_file(path: &Path) -> Result<File> {
    let name = path.shown();
    let unreadable = |error: io::Error| {
        let remedy = match error.kind() {
            ErrorKind::PermissionDenied => "have its rights set so that you may read it",
            _ => "is the path right?",
        };
        anyhow::anyhow!("{name}: cannot be read: {error}; {remedy}")
    };
    let found = fs::metadata(path).map_err(unreadable)?.file_type();
    if !(found.is_file() || found.is_dir() || is_block_device(found)) {
        bail!("{name}: is a pipe or a device; copy what it gives into a file and name that");
    }
    File::open(path).map_err(unreadable)
}

#[cfg(unix)]
fn is_block_device(found: fs::FileType) -> bool {
    std::os::unix::fs::FileTypeExt::is_block_device(&found)
}

#[cfg(not(unix))]
fn is_block_device(_: fs::FileType) -> bool {
    false
}

fn kind_of(path: &Path) -> Result<SourceKind> {
    // Not every system opens a folder as a file.
    if path.is_dir() {
        return Ok(SourceKind::Folder);
    }
    let mut file = open_file(path)?;
    let unreadable =
        |error: io::Error| anyhow::anyhow!("{}: cannot be read: {error}; copy it again", path.shown());
    let mut head = Vec::new();
    file.by_ref().take(512).read_to_end(&mut head).map_err(unreadable)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    Ok(kind_by_content(&head, &name))
}

/// A file with a boot signature is a card; one that begins with text is a job; of anything else the name decides,
/// since a damaged job must not be taken for a damaged card.
fn kind_by_content(head: &[u8], name: &str) -> SourceKind {
    let is_control = |byte: &u8| matches!(byte, 0x00..=0x08 | 0x0E..=0x1F | 0x7F);
    let ascii = head.iter().filter(|byte| byte.is_ascii()).count();
    // The last character may be cut. Comments in an older code page stand between words, which are ASCII; erased flash
    // is all FF.
    let is_utf8 = std::str::from_utf8(head).map_or_else(|error| error.error_len().is_none(), |_| true);
    let is_text = (is_utf8 && ascii > 0 || ascii * 2 > head.len()) && !head.iter().any(is_control);
    if is_boot_block(head) {
        SourceKind::Image
    } else if is_text || file_kind(name.chars()) == FileKind::Job {
        SourceKind::Job
    } else {
        SourceKind::Image
    }
}

impl fmt::Debug for Files<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Files").finish_non_exhaustive()
    }
}

impl JobFiles for Files<'_> {
    fn start_listing(&mut self, from: PageFrom) {
        self.0.start_listing(from);
    }

    fn poll_listing(&mut self, page: &mut Page) -> nb::Result<(), MediaError> {
        self.0.poll_listing(page)
    }

    fn open(&mut self, place: EntryPlace) -> Result<u64, MediaError> {
        self.0.open(place)
    }

    fn open_record(&mut self, name: &str) -> Result<u64, MediaError> {
        self.0.open_record(name)
    }

    fn seek(&mut self, offset: u64) -> Result<(), MediaError> {
        self.0.seek(offset)
    }

    fn poll_read(&mut self, buffer: &mut [u8]) -> nb::Result<usize, MediaError> {
        self.0.poll_read(buffer)
    }

    fn append_record(&mut self, name: &str, header: &[u8], rows: &[u8]) -> Result<(), MediaError> {
        self.0.append_record(name, header, rows)
    }
}

#[cfg(test)]
mod tests {
    use super::{SourceKind, kind_by_content};

    #[test]
    fn content_decides_before_the_name() {
        let mut boot = [0_u8; 512];
        boot[510..].copy_from_slice(&[0x55, 0xAA]);
        assert_eq!(kind_by_content(&boot, "odd.gcode"), SourceKind::Image);
        assert_eq!(kind_by_content(b"; job-header 1\r\n", "card.img"), SourceKind::Job);
        assert_eq!(kind_by_content("\u{feff}; größer\n".as_bytes(), "x"), SourceKind::Job);
        assert_eq!(kind_by_content(b"; gr\xF6\xDFer\n", "x"), SourceKind::Job);
        assert_eq!(kind_by_content(&[0; 512], "card.img"), SourceKind::Image);
        assert_eq!(kind_by_content(&[0xFF; 512], "card.img"), SourceKind::Image);
        assert_eq!(kind_by_content(&[0xEB], "card.img"), SourceKind::Image);
        assert_eq!(kind_by_content(&[0; 512], "PART.GCO"), SourceKind::Job);
        assert_eq!(kind_by_content(&[], "card.img"), SourceKind::Image);
    }
}
