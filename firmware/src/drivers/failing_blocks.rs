//! Blocks that cannot be read, for tests: the emulator itself hands out stale data as good where its card's file fails.

use holdpoint_shared::media::{BlockDevice, BlockErrorKind, BlockIndex};

use super::sd_card::{BLOCK_BYTES, Change};
use crate::card::CardSlot;

/// A block that begins so is one that cannot be read.
pub const MARK: &[u8] = b";UNREADABLE BLOCK";

/// A card slot whose marked blocks fail.
#[derive(Debug)]
pub struct FailingBlocks<C>(pub C);

impl<C: CardSlot> BlockDevice for FailingBlocks<C> {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.0.block_count()
    }

    fn writable(&self) -> bool {
        self.0.writable()
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        self.0.read(first, blocks)?;
        let fails = blocks.chunks(BLOCK_BYTES).any(|block| block.starts_with(MARK));
        if fails { Err(BlockErrorKind::Failed) } else { Ok(()) }
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        self.0.write(first, blocks)
    }

    fn flush(&mut self) -> Result<(), BlockErrorKind> {
        self.0.flush()
    }
}

impl<C: CardSlot> CardSlot for FailingBlocks<C> {
    fn look(&mut self) -> Option<Change> {
        self.0.look()
    }
}
