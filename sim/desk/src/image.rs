//! A disk image in memory, as the card in the device's slot.

use holdpoint_shared::limits::BLOCK_BYTES;
use holdpoint_shared::media::{BlockDevice, BlockErrorKind, BlockIndex};

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

/// A disk image as blocks of 512 bytes; a last part of a block is not reached.
#[derive(Debug)]
pub struct Image {
    bytes: Vec<u8>,
    writable: bool,
    counters: Counters,
}

impl Image {
    /// An image in memory, writable.
    #[must_use]
    pub fn from_bytes(bytes: Vec<u8>) -> Self {
        Self { bytes, writable: true, counters: Counters::default() }
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

    /// Its bytes as they are now.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Its bytes.
    #[must_use]
    pub fn into_bytes(self) -> Vec<u8> {
        self.bytes
    }
}

/// Where a run of blocks lies.
fn range(first: BlockIndex, length: usize) -> Option<std::ops::Range<usize>> {
    let start = usize::try_from(first.0).ok()?.checked_mul(BLOCK_BYTES)?;
    Some(start..start.checked_add(length)?)
}

impl BlockDevice for Image {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        (self.bytes.len() / BLOCK_BYTES) as u64
    }

    fn writable(&self) -> bool {
        self.writable
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        self.counters.reads += 1;
        self.counters.blocks_read += (blocks.len() / BLOCK_BYTES) as u64;
        let stored = range(first, blocks.len()).and_then(|range| self.bytes.get(range));
        blocks.copy_from_slice(stored.ok_or(BlockErrorKind::Failed)?);
        Ok(())
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        if !self.writable {
            return Err(BlockErrorKind::WriteProtected);
        }
        self.counters.writes += 1;
        self.counters.blocks_written += (blocks.len() / BLOCK_BYTES) as u64;
        let stored = range(first, blocks.len()).and_then(|range| self.bytes.get_mut(range));
        stored.ok_or(BlockErrorKind::Failed)?.copy_from_slice(blocks);
        Ok(())
    }

    fn flush(&mut self) -> Result<(), BlockErrorKind> {
        self.counters.flushes += 1;
        Ok(())
    }
}
