//! The one place of this board that touches hardware.

/// A 32-bit register of the chip, by its address.
#[derive(Clone, Copy, Debug)]
pub(super) struct Register(usize);

impl Register {
    /// The register at `offset` of the block at `base`; both stand in the chip's data sheet.
    pub(super) const fn at(base: usize, offset: usize) -> Self {
        Self(base + offset)
    }

    #[inline(always)]
    pub(super) fn read(self) -> u32 {
        // SAFETY: every address made in this board's files is an aligned peripheral register of the LM3S6965,
        // which is memory of no Rust object; reading one has no effect on memory.
        unsafe { (self.0 as *const u32).read_volatile() }
    }

    #[inline(always)]
    pub(super) fn write(self, value: u32) {
        // SAFETY: as in `read`; none of the registers used starts a transfer into memory.
        unsafe { (self.0 as *mut u32).write_volatile(value) }
    }

    #[inline(always)]
    pub(super) fn set_bits(self, bits: u32) {
        self.write(self.read() | bits);
    }

    #[inline(always)]
    pub(super) fn clear_bits(self, bits: u32) {
        self.write(self.read() & !bits);
    }
}
