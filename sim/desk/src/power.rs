//! The supply of a device: it can be cut at any single write, and then neither flash nor card answers any more.

use std::cell::Cell;
use std::rc::Rc;

/// What flash and card hang on. Clones are the same supply.
#[derive(Clone, Debug, Default)]
pub struct Power(Rc<State>);

#[derive(Debug, Default)]
struct State {
    off: Cell<bool>,
    writes: Cell<u64>,
    cut_at: Cell<Option<u64>>,
}

/// What becomes of a write.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WriteFate {
    /// It is done.
    Whole,
    /// The power goes in the middle of it.
    Torn,
    /// There is no power.
    Nothing,
}

impl Power {
    /// A supply that is on.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Cuts it in the write after so many others, from now on.
    pub fn cut_after(&self, writes: u64) {
        self.0.cut_at.set(Some(self.0.writes.get() + writes));
    }

    /// Cuts it now.
    pub fn cut(&self) {
        self.0.off.set(true);
    }

    /// It is back, and stays.
    pub fn restore(&self) {
        self.0.off.set(false);
        self.0.cut_at.set(None);
    }

    /// Whether it is off.
    #[must_use]
    pub fn is_off(&self) -> bool {
        self.0.off.get()
    }

    /// Writes to flash and card so far; an erased page counts as one.
    #[must_use]
    pub fn writes(&self) -> u64 {
        self.0.writes.get()
    }

    /// A write begins.
    pub fn write(&self) -> WriteFate {
        if self.is_off() {
            return WriteFate::Nothing;
        }
        let before = self.0.writes.get();
        self.0.writes.set(before + 1);
        if self.0.cut_at.get() == Some(before) {
            self.cut();
            return WriteFate::Torn;
        }
        WriteFate::Whole
    }
}
