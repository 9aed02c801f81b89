//! The card slot, shared between the loop that watches it and the volume that reads through it.

use core::cell::RefCell;

use embedded_hal::delay::DelayNs;
use embedded_hal::spi::SpiDevice;
use holdpoint_shared::media::{
    BlockDevice, BlockErrorKind, BlockIndex, EntryPlace, JobFiles, MediaError, MountToken, Page, PageFrom,
    Volume, append_rows,
};

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

/// The card's files: read through its volume, rows appended beside it, for a third of the flash.
///
/// The volume knows nothing of what was appended: records are read once, before anything is.
#[derive(Debug)]
pub struct CardFiles<'s, C> {
    slot: &'s RefCell<C>,
    volume: Volume<'s, InSlot<'s, C>>,
}

impl<'s, C: CardSlot> CardFiles<'s, C> {
    /// Mounts the volume of the card in the slot.
    ///
    /// # Errors
    /// Those of [`Volume::mount`].
    pub fn mount(slot: &'s RefCell<C>, token: &'s mut MountToken) -> Result<Self, MediaError> {
        Ok(Self { slot, volume: Volume::mount(InSlot(slot), token)? })
    }
}

impl<C: CardSlot> JobFiles for CardFiles<'_, C> {
    fn start_listing(&mut self, from: PageFrom) {
        self.volume.start_listing(from);
    }

    fn poll_listing(&mut self, page: &mut Page) -> nb::Result<(), MediaError> {
        self.volume.poll_listing(page)
    }

    fn open(&mut self, place: EntryPlace) -> Result<u64, MediaError> {
        self.volume.open(place)
    }

    fn open_record(&mut self, name: &str) -> Result<u64, MediaError> {
        self.volume.open_record(name)
    }

    fn seek(&mut self, offset: u64) -> Result<(), MediaError> {
        self.volume.seek(offset)
    }

    fn poll_read(&mut self, buffer: &mut [u8]) -> nb::Result<usize, MediaError> {
        self.volume.poll_read(buffer)
    }

    fn append_record(&mut self, name: &str, header: &[u8], rows: &[u8]) -> Result<(), MediaError> {
        append_rows(InSlot(self.slot), name, header, rows)
    }
}
