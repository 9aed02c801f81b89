//! NOR flash as chips behave: writing clears bits and never sets one, erasing sets all bits of a page, and a power
//! cut in the middle leaves the byte being written half written and the page being erased with any bits.

use embedded_storage::nor_flash::{ErrorType, NorFlash, NorFlashError, NorFlashErrorKind, ReadNorFlash};

/// How a page looks whose erase was cut short.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HalfErased {
    /// Any bits at all.
    AnyBits,
    /// Some of the bits set that were not.
    SomeSet,
    /// Its front blank, its back as before.
    Front,
    /// Its back blank, its front as before.
    Back,
    /// Its ends as before and blank between them: what looks sound and is not.
    Hollow,
    /// All bits clear: chips that even out the charge before they erase.
    AllClear,
}

impl HalfErased {
    /// Every kind.
    pub const ALL: [Self; 6] =
        [Self::AnyBits, Self::SomeSet, Self::Front, Self::Back, Self::Hollow, Self::AllClear];
}

/// The power is off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PowerCut;

impl NorFlashError for PowerCut {
    fn kind(&self) -> NorFlashErrorKind {
        NorFlashErrorKind::Other
    }
}

/// A chip with pages of `PAGE` bytes and words of `WORD` bytes.
#[derive(Clone, Debug)]
pub struct Nor<const PAGE: usize, const WORD: usize> {
    /// What the cells hold.
    pub cells: Vec<u8>,
    /// Erases of each page.
    pub erases: Vec<u32>,
    /// Bytes written.
    pub written: u64,
    /// Steps until the power is cut: one a byte written, two a page erased, one after each call.
    pub fuel: Option<u64>,
    /// Steps done.
    pub steps: u64,
    /// What a cut erase leaves.
    pub half_erased: HalfErased,
    /// Bits that a write asked to set: a program that relies on that is wrong.
    pub bits_not_set: u64,
    /// Cells that no longer take a write, by address.
    pub worn: Option<usize>,
    dead: bool,
    random: u64,
}

impl<const PAGE: usize, const WORD: usize> Nor<PAGE, WORD> {
    /// A chip as it comes: all bits set.
    #[must_use]
    pub fn blank(pages: usize) -> Self {
        Self {
            cells: vec![0xFF; pages * PAGE],
            erases: vec![0; pages],
            written: 0,
            fuel: None,
            steps: 0,
            half_erased: HalfErased::AnyBits,
            bits_not_set: 0,
            worn: None,
            dead: false,
            random: 0x9E37_79B9_7F4A_7C15,
        }
    }

    /// The power is on again, with `fuel` steps until it is cut.
    #[must_use]
    pub fn powered(mut self, fuel: Option<u64>) -> Self {
        (self.dead, self.fuel, self.steps) = (false, fuel, 0);
        self
    }

    /// The same chip with other chances: what a cut leaves.
    #[must_use]
    pub fn seeded(mut self, seed: u64) -> Self {
        self.random = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
        self
    }

    /// Whether the power was cut.
    #[must_use]
    pub fn is_dead(&self) -> bool {
        self.dead
    }

    /// Marsaglia's xorshift64 (Journal of Statistical Software 8(14), 2003).
    fn chance(&mut self) -> u8 {
        self.random ^= self.random << 13;
        self.random ^= self.random >> 7;
        self.random ^= self.random << 17;
        (self.random >> 24) as u8
    }

    /// One step; `false` when the power is cut at it.
    fn step(&mut self) -> bool {
        self.steps += 1;
        match &mut self.fuel {
            Some(0) => {
                self.dead = true;
                false
            }
            Some(fuel) => {
                *fuel -= 1;
                true
            }
            None => true,
        }
    }

    fn leave_half_erased(&mut self, page: usize) {
        for at in 0..PAGE {
            let old = self.cells[page * PAGE + at];
            let chance = self.chance();
            self.cells[page * PAGE + at] = match self.half_erased {
                HalfErased::AnyBits => chance,
                HalfErased::SomeSet => old | chance,
                HalfErased::Front if at < PAGE / 2 => 0xFF,
                HalfErased::Back if at >= PAGE / 2 => 0xFF,
                HalfErased::Hollow if (16..PAGE - 16).contains(&at) => 0xFF,
                HalfErased::Front | HalfErased::Back | HalfErased::Hollow => old,
                HalfErased::AllClear => 0,
            };
        }
    }
}

impl<const PAGE: usize, const WORD: usize> ErrorType for Nor<PAGE, WORD> {
    type Error = PowerCut;
}

impl<const PAGE: usize, const WORD: usize> ReadNorFlash for Nor<PAGE, WORD> {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), PowerCut> {
        if self.dead {
            return Err(PowerCut);
        }
        bytes.copy_from_slice(&self.cells[offset as usize..][..bytes.len()]);
        Ok(())
    }

    fn capacity(&self) -> usize {
        self.cells.len()
    }
}

impl<const PAGE: usize, const WORD: usize> NorFlash for Nor<PAGE, WORD> {
    const WRITE_SIZE: usize = WORD;
    const ERASE_SIZE: usize = PAGE;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), PowerCut> {
        let (from, to) = (from as usize, to as usize);
        assert!(from.is_multiple_of(PAGE) && to.is_multiple_of(PAGE) && from <= to, "whole pages");
        for page in from / PAGE..to / PAGE {
            if self.dead || !self.step() {
                return Err(PowerCut);
            }
            self.erases[page] += 1;
            if !self.step() {
                self.leave_half_erased(page);
                return Err(PowerCut);
            }
            self.cells[page * PAGE..][..PAGE].fill(0xFF);
        }
        if self.step() { Ok(()) } else { Err(PowerCut) }
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), PowerCut> {
        let start = offset as usize;
        assert!(start.is_multiple_of(WORD) && bytes.len().is_multiple_of(WORD), "whole words");
        assert!(start / PAGE == (start + bytes.len() - 1) / PAGE, "within a page");
        if self.dead {
            return Err(PowerCut);
        }
        for (at, byte) in (start..).zip(bytes) {
            let old = self.cells[at];
            if !self.step() {
                let chance = self.chance();
                self.cells[at] = old & (byte | chance);
                return Err(PowerCut);
            }
            self.bits_not_set += u64::from((!old & byte).count_ones());
            self.written += 1;
            if self.worn != Some(at) {
                self.cells[at] = old & byte;
            }
        }
        if self.step() { Ok(()) } else { Err(PowerCut) }
    }
}
