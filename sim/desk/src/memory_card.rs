//! A memory card that several hold at once, as a card is: the slot it is in, and whoever looks at it later.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use holdpoint_shared::limits::BLOCK_BYTES;
use holdpoint_shared::media::{BlockDevice, BlockError, BlockErrorKind, BlockIndex};

use crate::image::Image;
use crate::power::{Power, WriteFate};

/// A card in memory. Clones are the same card.
#[derive(Clone, Debug)]
pub struct MemoryCard(Rc<State>);

#[derive(Debug)]
struct State {
    image: RefCell<Image>,
    power: RefCell<Power>,
    present: Cell<bool>,
    protected: Cell<bool>,
    worn: Cell<Option<BlockIndex>>,
}

impl MemoryCard {
    /// A card of these bytes that hangs on a device's supply.
    #[must_use]
    pub fn new(bytes: Vec<u8>, power: Power) -> Self {
        Self(Rc::new(State {
            image: RefCell::new(Image::from_bytes(bytes)),
            power: RefCell::new(power),
            present: Cell::new(true),
            protected: Cell::new(false),
            worn: Cell::new(None),
        }))
    }

    /// Hangs it on another device's supply.
    pub fn hang_on(&self, power: Power) {
        *self.0.power.borrow_mut() = power;
    }

    /// Puts it into a slot, or takes it out: a card that is out answers nothing.
    pub fn set_present(&self, present: bool) {
        self.0.present.set(present);
    }

    /// Moves its switch.
    pub fn protect(&self, protected: bool) {
        self.0.protected.set(protected);
    }

    /// Wears a block out: it can no longer be read.
    pub fn wear_out(&self, block: BlockIndex) {
        self.0.worn.set(Some(block));
    }

    /// Its bytes as they are now.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        self.0.image.borrow().bytes().to_vec()
    }

    /// Puts other bytes on it, as a computer does.
    pub fn replace(&self, bytes: Vec<u8>) {
        *self.0.image.borrow_mut() = Image::from_bytes(bytes);
    }

    fn answers(&self) -> Result<(), BlockErrorKind> {
        if self.0.present.get() && !self.0.power.borrow().is_off() {
            Ok(())
        } else {
            Err(BlockErrorKind::Gone)
        }
    }
}

impl BlockDevice for MemoryCard {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.0.image.borrow().block_count()
    }

    fn writable(&self) -> bool {
        !self.0.protected.get()
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        self.answers()?;
        let read = first.0..first.0.saturating_add((blocks.len() / BLOCK_BYTES) as u64);
        if self.0.worn.get().is_some_and(|worn| read.contains(&worn.0)) {
            return Err(BlockErrorKind::Failed);
        }
        self.0.image.borrow_mut().read(first, blocks).map_err(|error| error.kind())
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        self.answers()?;
        if self.0.protected.get() {
            return Err(BlockErrorKind::WriteProtected);
        }
        for (number, block) in (first.0..).zip(blocks.chunks(BLOCK_BYTES)) {
            // A card writes a block whole or not at all.
            if self.0.power.borrow().write() != WriteFate::Whole {
                return Err(BlockErrorKind::Gone);
            }
            self.0.image.borrow_mut().write(BlockIndex(number), block).map_err(|error| error.kind())?;
        }
        Ok(())
    }

    fn flush(&mut self) -> Result<(), BlockErrorKind> {
        self.answers()
    }
}
