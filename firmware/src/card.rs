//! The card slot, shared between the loop that watches it and the volume that reads through it.

use core::cell::RefCell;

use embedded_hal::delay::DelayNs;
use embedded_hal::spi::SpiDevice;
use holdpoint_shared::media::{BlockDevice, BlockErrorKind, BlockIndex};

use crate::drivers::sd_card::{CardSpeed, Change, Slot};

/// A slot for cards.
pub trait CardSlot: BlockDevice<Error = BlockErrorKind> {
    /// Whether a card came or went since the last look. Microseconds while nothing changes.
    fn look(&mut self) -> Option<Change>;
}

impl<S: SpiDevice + CardSpeed, D: DelayNs> CardSlot for Slot<S, D> {
    fn look(&mut self) -> Option<Change> {
        Self::look(self)
    }
}

/// The card in the slot, as a mounted volume holds it.
///
/// Borrowed only within a call, and the loop makes one call after the other, so the borrows never meet.
#[derive(Debug)]
pub struct InSlot<'s, C>(pub &'s RefCell<C>);

impl<C: CardSlot> BlockDevice for InSlot<'_, C> {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.0.borrow().block_count()
    }

    fn writable(&self) -> bool {
        self.0.borrow().writable()
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        self.0.borrow_mut().read(first, blocks)
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        self.0.borrow_mut().write(first, blocks)
    }

    fn flush(&mut self) -> Result<(), BlockErrorKind> {
        self.0.borrow_mut().flush()
    }
}
