//! The flash's cells: read, written, erased, and asked whether they are blank.

use embedded_storage::nor_flash::NorFlash;

use super::LedgerError;

/// Bytes that are read and written at once: what 32-bit and 64-bit flash both allow.
pub(super) const WORD: usize = 8;
/// The same, for places.
pub(super) const STEP: u32 = 8;
/// One page is written, two are kept free, and two hold what is moved.
const LEAST_PAGES: usize = 5;
/// Pages at most.
pub(super) const MOST_PAGES: usize = 64;
/// Places are counted in words, in 16 bits.
const MOST_BYTES: usize = 0xFFFF * WORD;

/// The flash failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct FlashFault;

impl From<FlashFault> for LedgerError {
    fn from(_: FlashFault) -> Self {
        Self::Flash
    }
}

/// Flash by its pages.
pub(super) struct FlashCells<F> {
    flash: F,
    pub(super) pages: u8,
}

impl<F: NorFlash> FlashCells<F> {
    pub(super) const PAGE: u32 = {
        assert!(F::ERASE_SIZE >= 256 && F::ERASE_SIZE <= 0x1_0000 && F::ERASE_SIZE.is_multiple_of(16));
        assert!(WORD.is_multiple_of(F::WRITE_SIZE) && WORD.is_multiple_of(F::READ_SIZE));
        #[expect(clippy::cast_possible_truncation, reason = "bounded one line above")]
        {
            F::ERASE_SIZE as u32
        }
    };

    pub(super) fn new(flash: F) -> Result<Self, (LedgerError, F)> {
        let bytes = flash.capacity();
        let pages = bytes.checked_div(F::ERASE_SIZE).unwrap_or_default();
        match u8::try_from(pages) {
            Ok(count) if (LEAST_PAGES..=MOST_PAGES).contains(&pages) && bytes <= MOST_BYTES => {
                Ok(Self { flash, pages: count })
            }
            _ => Err((LedgerError::Unfit, flash)),
        }
    }

    pub(super) fn into_flash(self) -> F {
        self.flash
    }

    pub(super) fn start(page: u8) -> u32 {
        Self::PAGE.saturating_mul(u32::from(page))
    }

    pub(super) fn end(page: u8) -> u32 {
        Self::start(page).saturating_add(Self::PAGE)
    }

    #[inline(never)]
    pub(super) fn fetch(&mut self, at: u32, into: &mut [u8]) -> Result<(), FlashFault> {
        self.flash.read(at, into).map_err(|_| FlashFault)
    }

    /// Writes, and says whether the cells took it.
    #[inline(never)]
    pub(super) fn store(&mut self, at: u32, bytes: &[u8]) -> Result<bool, FlashFault> {
        self.flash.write(at, bytes).map_err(|_| FlashFault)?;
        let mut from = at;
        for part in bytes.chunks(WORD) {
            let mut read = [0; WORD];
            self.fetch(from, &mut read)?;
            if !read.starts_with(part) {
                return Ok(false);
            }
            from = from.saturating_add(STEP);
        }
        Ok(true)
    }

    /// Erases a page, and says whether it is blank now.
    #[inline(never)]
    pub(super) fn erase(&mut self, page: u8) -> Result<bool, FlashFault> {
        self.flash.erase(Self::start(page), Self::end(page)).map_err(|_| FlashFault)?;
        self.is_blank(page)
    }

    pub(super) fn is_blank(&mut self, page: u8) -> Result<bool, FlashFault> {
        Ok(self.written_to(Self::start(page), Self::end(page))? == Self::start(page))
    }

    /// Where the last word ends that is not blank between two places; the first place when all are.
    #[inline(never)]
    pub(super) fn written_to(&mut self, from: u32, to: u32) -> Result<u32, FlashFault> {
        let mut end = to;
        while end > from {
            let at = end.saturating_sub(STEP);
            let mut bytes = [0; WORD];
            self.fetch(at, &mut bytes)?;
            if bytes != [0xFF; WORD] {
                break;
            }
            end = at;
        }
        Ok(end)
    }
}
