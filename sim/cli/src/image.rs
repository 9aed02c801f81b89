//! A disk image, in a file or in memory, as the card in the device's slot.

use std::fs::{File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;

use anyhow::{Context, Result, bail};
use holdpoint_shared::limits::BLOCK_BYTES;
use holdpoint_shared::media::{BlockDevice, BlockErrorKind, BlockIndex};

use crate::lock;
use crate::shown::Shown;

/// What was asked of a device so far.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counters {
    /// Calls to read.
    pub reads: u64,
    /// Blocks read.
    pub blocks_read: u64,
    /// Calls to write.
    pub writes: u64,
    /// Blocks written.
    pub blocks_written: u64,
    /// Calls to flush.
    pub flushes: u64,
}

#[derive(Debug)]
enum Store {
    File(File),
    Bytes(Vec<u8>),
}

/// A disk image as blocks of 512 bytes; a last part of a block is not reached.
#[derive(Debug)]
pub struct Image {
    store: Store,
    blocks: u64,
    writable: bool,
    counters: Counters,
}

impl Image {
    /// Opens an image file (or a card reader's device) for reading only.
    ///
    /// # Errors
    /// When it cannot be opened, or holds less than one block.
    pub fn open(path: &Path) -> Result<Self> {
        let file =
            File::open(path).with_context(|| format!("cannot open the card image {}", path.shown()))?;
        Self::from_file(file, path, false)
    }

    /// Opens an image file for reading and writing, for this program alone.
    ///
    /// # Errors
    /// When it cannot be opened for writing, another program writes to it, or holds less than one block.
    pub fn open_writable(path: &Path) -> Result<Self> {
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .open(path)
            .with_context(|| format!("cannot open the card image {} for writing", path.shown()))?;
        lock::exclusive(&file, path)?;
        Self::from_file(file, path, true)
    }

    fn from_file(mut file: File, path: &Path, writable: bool) -> Result<Self> {
        // A card reader's device has no length but by its end.
        let bytes = file
            .seek(SeekFrom::End(0))
            .with_context(|| format!("cannot read {} as a card image", path.shown()))?;
        let blocks = bytes / BLOCK_BYTES as u64;
        if blocks == 0 {
            bail!(
                "{}: is no card image: {bytes} bytes are less than one block of {BLOCK_BYTES}; copy the image again",
                path.shown()
            );
        }
        Ok(Self { store: Store::File(file), blocks, writable, counters: Counters::default() })
    }

    /// An image in memory, writable.
    #[must_use]
    pub fn from_bytes(bytes: Vec<u8>) -> Self {
        let blocks = (bytes.len() / BLOCK_BYTES) as u64;
        Self { store: Store::Bytes(bytes), blocks, writable: true, counters: Counters::default() }
    }

    /// The same image, write-protected.
    #[must_use]
    pub fn protected(mut self) -> Self {
        self.writable = false;
        self
    }

    /// What was asked of the image so far.
    #[must_use]
    pub const fn counters(&self) -> Counters {
        self.counters
    }

    /// The bytes of an image in memory as they are now; empty for one in a file.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        match &self.store {
            Store::Bytes(bytes) => bytes,
            Store::File(_) => &[],
        }
    }

    /// The bytes of an image in memory; empty for one in a file.
    #[must_use]
    pub fn into_bytes(self) -> Vec<u8> {
        match self.store {
            Store::Bytes(bytes) => bytes,
            Store::File(_) => Vec::new(),
        }
    }
}

/// Where a run of blocks lies in an image in memory.
fn range(first: BlockIndex, length: usize) -> Option<std::ops::Range<usize>> {
    let start = usize::try_from(first.0).ok()?.checked_mul(BLOCK_BYTES)?;
    Some(start..start.checked_add(length)?)
}

fn seek(file: &mut File, first: BlockIndex) -> std::io::Result<u64> {
    file.seek(SeekFrom::Start(first.0.saturating_mul(BLOCK_BYTES as u64)))
}

impl BlockDevice for Image {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.blocks
    }

    fn writable(&self) -> bool {
        self.writable
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        self.counters.reads += 1;
        self.counters.blocks_read += (blocks.len() / BLOCK_BYTES) as u64;
        match &mut self.store {
            Store::File(file) => {
                seek(file, first).and_then(|_| file.read_exact(blocks)).map_err(|_| BlockErrorKind::Failed)
            }
            Store::Bytes(bytes) => {
                let stored = range(first, blocks.len()).and_then(|range| bytes.get(range));
                blocks.copy_from_slice(stored.ok_or(BlockErrorKind::Failed)?);
                Ok(())
            }
        }
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        if !self.writable {
            return Err(BlockErrorKind::WriteProtected);
        }
        self.counters.writes += 1;
        self.counters.blocks_written += (blocks.len() / BLOCK_BYTES) as u64;
        match &mut self.store {
            Store::File(file) => {
                seek(file, first).and_then(|_| file.write_all(blocks)).map_err(|_| BlockErrorKind::Failed)
            }
            Store::Bytes(bytes) => {
                let stored = range(first, blocks.len()).and_then(|range| bytes.get_mut(range));
                stored.ok_or(BlockErrorKind::Failed)?.copy_from_slice(blocks);
                Ok(())
            }
        }
    }

    fn flush(&mut self) -> Result<(), BlockErrorKind> {
        self.counters.flushes += 1;
        match &mut self.store {
            Store::File(file) => file.sync_data().map_err(|_| BlockErrorKind::Failed),
            Store::Bytes(_) => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_image_file_is_read_only_unless_asked() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("card.img");
        std::fs::write(&path, vec![7; 1_300]).unwrap();
        let mut image = Image::open(&path).unwrap();
        assert_eq!(
            (image.block_count(), image.writable()),
            (2, false),
            "1300 bytes are two blocks and a rest"
        );
        assert_eq!(image.write(BlockIndex(0), &[0; 512]), Err(BlockErrorKind::WriteProtected));
        let mut block = [0; 512];
        image.read(BlockIndex(1), &mut block).unwrap();
        assert_eq!(block, [7; 512]);
        assert_eq!(image.counters(), Counters { reads: 1, blocks_read: 1, ..Counters::default() });
        let mut image = Image::open_writable(&path).unwrap();
        image.write(BlockIndex(1), &[9; 512]).unwrap();
        drop(image);
        let bytes = std::fs::read(&path).unwrap();
        assert_eq!((bytes.len(), bytes[511], bytes[512], bytes[1_024]), (1_300, 7, 9, 7));
    }

    #[test]
    fn what_is_no_image_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("small.img");
        std::fs::write(&path, [0; 511]).unwrap();
        let said = Image::open(&path).unwrap_err().to_string();
        assert!(said.contains("small.img") && said.contains("511"), "{said}");
        let said = Image::open(&folder.path().join("none.img")).unwrap_err().to_string();
        assert!(said.contains("none.img"), "{said}");
    }
}
