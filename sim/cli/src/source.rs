//! What the command line names: a card image, a folder of jobs or a single job file, told apart by content.

use std::fs::{self, File};
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};

use anyhow::{Result, bail};
use chrono::NaiveDateTime;
use holdpoint_desk::shown::Shown;
use holdpoint_desk::slot::{Card, Files, describe};
use holdpoint_shared::media::{FileKind, MediaError, MountToken, Volume, file_kind};

use crate::clock::utc_offset_min;
use crate::folder::{Folder, card_root};
use crate::image_file::ImageFile;

/// What a path holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SourceKind {
    /// A disk image of a card.
    Image,
    /// A folder, read as if it were a card.
    Folder,
    /// One job file.
    Job,
}

/// A card, folder or file that can be opened again and again, as a card is put in again and again.
#[derive(Debug)]
pub struct Source {
    path: PathBuf,
    kind: SourceKind,
    utc_offset_min: i32,
    token: MountToken,
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
        Ok(Self { path: path.to_owned(), kind, utc_offset_min, token: MountToken::new() })
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
            SourceKind::Folder => self.open(),
            SourceKind::Image => match Volume::mount(ImageFile::open_writable(&path)?, &mut self.token) {
                Ok(volume) => Ok(Files::new(volume)),
                Err(fault) => Err(describe(&path, fault)),
            },
        }
    }
}

impl Card for Source {
    fn mount(&mut self) -> Result<Result<Files<'_>, MediaError>> {
        Ok(match self.kind {
            SourceKind::Image => Volume::mount(ImageFile::open(&self.path)?, &mut self.token).map(Files::new),
            SourceKind::Folder => Ok(Files::new(Folder::new(&self.path, self.utc_offset_min)?)),
            SourceKind::Job => {
                Ok(Files::new(Folder::of_files(vec![self.path.clone()], self.utc_offset_min)?))
            }
        })
    }

    /// The card itself, or the folder at or above a job that holds them.
    fn records_at(&self) -> PathBuf {
        let root = (self.kind == SourceKind::Job).then(|| card_root(&self.path)).flatten();
        root.unwrap_or_else(|| self.path.clone())
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
