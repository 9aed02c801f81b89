//! A disk image in a file as the card in the device's slot.

use std::fs::{File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;

use anyhow::{Context, Result, bail};
use holdpoint_desk::shown::Shown;
use holdpoint_shared::limits::BLOCK_BYTES;
use holdpoint_shared::media::{BlockDevice, BlockErrorKind, BlockIndex};

use crate::lock;

/// An image file as blocks of 512 bytes; a last part of a block is not reached.
#[derive(Debug)]
pub struct ImageFile {
    file: File,
    blocks: u64,
    writable: bool,
}

impl ImageFile {
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
        Ok(Self { file, blocks, writable })
    }
}

fn seek(file: &mut File, first: BlockIndex) -> std::io::Result<u64> {
    file.seek(SeekFrom::Start(first.0.saturating_mul(BLOCK_BYTES as u64)))
}

impl BlockDevice for ImageFile {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.blocks
    }

    fn writable(&self) -> bool {
        self.writable
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        let file = &mut self.file;
        seek(file, first).and_then(|_| file.read_exact(blocks)).map_err(|_| BlockErrorKind::Failed)
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        if !self.writable {
            return Err(BlockErrorKind::WriteProtected);
        }
        let file = &mut self.file;
        seek(file, first).and_then(|_| file.write_all(blocks)).map_err(|_| BlockErrorKind::Failed)
    }

    fn flush(&mut self) -> Result<(), BlockErrorKind> {
        self.file.sync_data().map_err(|_| BlockErrorKind::Failed)
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
        let mut image = ImageFile::open(&path).unwrap();
        assert_eq!(
            (image.block_count(), image.writable()),
            (2, false),
            "1300 bytes are two blocks and a rest"
        );
        assert_eq!(image.write(BlockIndex(0), &[0; 512]), Err(BlockErrorKind::WriteProtected));
        let mut block = [0; 512];
        image.read(BlockIndex(1), &mut block).unwrap();
        assert_eq!(block, [7; 512]);
        let mut image = ImageFile::open_writable(&path).unwrap();
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
        let said = ImageFile::open(&path).unwrap_err().to_string();
        assert!(said.contains("small.img") && said.contains("511"), "{said}");
        let said = ImageFile::open(&folder.path().join("none.img")).unwrap_err().to_string();
        assert!(said.contains("none.img"), "{said}");
    }
}
