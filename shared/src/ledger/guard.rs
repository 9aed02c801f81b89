//! The flash under the map, with every erase made whole.
//!
//! A NOR page whose erase was cut short holds any bits: it may pass for blank, for full or for one of each, with rows
//! that lost single bits, and the map's library would take a page half gone for the good copy. So the first two pages
//! hold notes: before a page is erased its number is noted, afterwards the note is ticked off. A note without its
//! tick makes the next opening erase that page once more, before anybody reads it.
//!
//! The two note pages take turns: the other one is erased only when this one is full, and then counts only from its
//! first whole note on. A note has a count that only grows, so what an interrupted erase leaves of an old note page
//! never outranks the newest note.
//!
//! A note is 16 bytes: count (24 bits, little-endian) and page (8 bits), CRC-32 of these four bytes; then eight bytes
//! that become 0 when it is done.

use crc::{CRC_32_ISO_HDLC, Crc, NoTable};
use embedded_storage::nor_flash::{ErrorType, NorFlash, NorFlashError, NorFlashErrorKind};
use embedded_storage_async::nor_flash as asynchronous;

use super::LedgerError;

/// Bytes that are read and written at once: what 32-bit and 64-bit flash both allow, and one row's head.
pub(super) const WORD: usize = 8;
/// Pages of notes, before those of the map.
pub(super) const NOTE_PAGES: u8 = 2;
const NOTE: u32 = 16;
/// Stands for the page in a note: the whole ledger is begun anew.
const ALL_PAGES: u8 = 0xFE;
/// Stands for the page in a note: none. Of a ledger whose notes were lost.
const NO_PAGE: u8 = 0xFD;
/// The map needs one page to write to and one to keep free; one more keeps the free one from being the half of it.
const LEAST_PAGES: usize = 5;
const MOST_PAGES: usize = 250;
/// A note's count ends here. More erases than flash of this size stands.
const MOST_COUNT: u32 = 0x00FF_FFFE;

static CRC: Crc<u32, NoTable> = Crc::<u32, NoTable>::new(&CRC_32_ISO_HDLC);

/// CRC-32 of `bytes`, computed without a table: it is short, and seldom.
#[inline(never)]
pub(super) fn crc32(bytes: &[u8]) -> u32 {
    CRC.checksum(bytes)
}

/// The flash failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct FlashFault;

impl NorFlashError for FlashFault {
    fn kind(&self) -> NorFlashErrorKind {
        NorFlashErrorKind::Other
    }
}

impl From<FlashFault> for LedgerError {
    fn from(_: FlashFault) -> Self {
        Self::Flash
    }
}

/// What the notes said at the opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Notes {
    /// No note, and no byte written in the note pages but those of a first note that was cut short.
    Blank,
    /// No whole note, but something.
    Lost,
    /// The ledger was being begun.
    Beginning,
    /// An erase was cut short.
    Interrupted,
    /// Nothing was going on.
    Quiet,
}

/// Flash whose erases are whole after the next opening.
pub(super) struct Guard<F> {
    flash: F,
    pub(super) pages: u8,
    /// Where the next note goes.
    next: u32,
    count: u32,
    /// The page of the newest note, and where that note stands.
    pub(super) page: u8,
    at: u32,
    /// An erase that failed: to be done before anything else is written.
    pending: bool,
}

impl<F: NorFlash> Guard<F> {
    pub(super) const PAGE: u32 = {
        assert!(F::ERASE_SIZE >= 256 && F::ERASE_SIZE <= 0x1_0000 && F::ERASE_SIZE.is_multiple_of(16));
        assert!(WORD.is_multiple_of(F::WRITE_SIZE) && WORD.is_multiple_of(F::READ_SIZE));
        #[expect(clippy::cast_possible_truncation, reason = "bounded one line above")]
        {
            F::ERASE_SIZE as u32
        }
    };

    /// Reads the notes; writes nothing.
    pub(super) fn new(flash: F) -> Result<(Self, Notes), (LedgerError, F)> {
        let pages = flash.capacity().checked_div(F::ERASE_SIZE).unwrap_or_default();
        let Ok(count) = u8::try_from(pages) else { return Err((LedgerError::Unfit, flash)) };
        if !(LEAST_PAGES..=MOST_PAGES).contains(&pages) {
            return Err((LedgerError::Unfit, flash));
        }
        let mut guard = Self {
            flash,
            pages: count,
            // With no note yet: as if the second page were full, so that the first is erased and begun.
            next: Self::PAGE.saturating_mul(2),
            count: 0,
            page: NO_PAGE,
            at: 0,
            pending: false,
        };
        match guard.read_notes() {
            Ok(notes) => Ok((guard, notes)),
            Err(FlashFault) => Err((LedgerError::Flash, guard.flash)),
        }
    }

    pub(super) fn into_flash(self) -> F {
        self.flash
    }

    /// The map's part of the flash.
    pub(super) fn map_range(&self) -> core::ops::Range<u32> {
        Self::start(NOTE_PAGES)..Self::start(self.pages)
    }

    pub(super) fn start(page: u8) -> u32 {
        Self::PAGE.saturating_mul(u32::from(page))
    }

    fn read_notes(&mut self) -> Result<Notes, FlashFault> {
        let (mut notes, mut anything, mut blank) = (None, false, true);
        for page in 0..NOTE_PAGES {
            let end = Self::start(page).saturating_add(Self::PAGE);
            let (mut at, mut after, mut here) = (Self::start(page), Self::start(page), false);
            while at < end {
                let mut bytes = [0; NOTE as usize];
                self.fetch(at, &mut bytes)?;
                let [c0, c1, c2, target, k0, k1, k2, k3, done @ ..] = bytes;
                let count = u32::from_le_bytes([c0, c1, c2, 0]);
                let slot = at;
                at = at.saturating_add(NOTE);
                if bytes == [0xFF; NOTE as usize] {
                    continue;
                }
                (after, blank) = (at, false);
                // The very first note, torn as it was written, is still nothing.
                anything |= slot > 0 || done != [0xFF; 8];
                let sound =
                    (NOTE_PAGES..self.pages).contains(&target) || matches!(target, ALL_PAGES | NO_PAGE);
                if !sound
                    || !(1..=MOST_COUNT).contains(&count)
                    || crc32(&[c0, c1, c2, target]) != u32::from_le_bytes([k0, k1, k2, k3])
                    || count <= self.count
                {
                    continue;
                }
                (self.count, self.page, self.at, here) = (count, target, slot, true);
                notes = Some(match (done == [0; 8] || target == NO_PAGE, target) {
                    (true, _) => Notes::Quiet,
                    (false, ALL_PAGES) => Notes::Beginning,
                    (false, _) => Notes::Interrupted,
                });
            }
            if here {
                self.next = after;
            }
        }
        if blank {
            // Nothing to erase before the first note: cut short, that erase could leave what looks like something.
            self.next = 0;
        }
        Ok(notes.unwrap_or(if anything { Notes::Lost } else { Notes::Blank }))
    }

    /// Writes that `page` is going to be erased.
    fn note(&mut self, page: u8) -> Result<(), FlashFault> {
        if self.next != 0 && self.next.checked_rem(Self::PAGE) == Some(0) {
            // This page is full, and the newest note in it; the other page holds older ones.
            let other = if self.next == Self::PAGE { Self::PAGE } else { 0 };
            self.flash.erase(other, other.saturating_add(Self::PAGE)).map_err(|_| FlashFault)?;
            self.next = other;
        }
        let at = self.next;
        self.next = at.saturating_add(NOTE);
        self.count = self.count.saturating_add(1);
        let [c0, c1, c2, _] = self.count.to_le_bytes();
        let [k0, k1, k2, k3] = crc32(&[c0, c1, c2, page]).to_le_bytes();
        self.store(at, &[c0, c1, c2, page, k0, k1, k2, k3])?;
        (self.page, self.at) = (page, at);
        Ok(())
    }

    fn tick_off(&mut self) -> Result<(), FlashFault> {
        self.store(self.at.saturating_add(8), &[0; WORD])?;
        self.pending = false;
        Ok(())
    }

    #[inline(never)]
    pub(super) fn erase_page(&mut self, page: u8) -> Result<(), FlashFault> {
        self.note(page)?;
        self.pending = true;
        self.finish()
    }

    /// Does the erase of the newest note.
    fn finish(&mut self) -> Result<(), FlashFault> {
        let start = Self::start(self.page);
        self.flash.erase(start, start.saturating_add(Self::PAGE)).map_err(|_| FlashFault)?;
        self.tick_off()
    }

    /// Erases once more the page whose erase was cut short.
    pub(super) fn resume(&mut self) -> Result<(), FlashFault> {
        // A tick that was cut short may not be written over: a new note.
        self.erase_page(self.page)
    }

    /// Erases all of the map; until [`Guard::begun`] the ledger counts as blank.
    pub(super) fn begin(&mut self) -> Result<(), FlashFault> {
        self.note(ALL_PAGES)?;
        let range = self.map_range();
        self.flash.erase(range.start, range.end).map_err(|_| FlashFault)
    }

    /// The ledger is there.
    pub(super) fn begun(&mut self) -> Result<(), FlashFault> {
        self.tick_off()
    }

    /// Begins the notes anew over a map whose notes were lost.
    pub(super) fn renew_notes(&mut self) -> Result<(), FlashFault> {
        self.note(NO_PAGE)
    }

    /// Whether no byte of the map's pages was ever written.
    pub(super) fn is_blank(&mut self) -> Result<bool, FlashFault> {
        let range = self.map_range();
        let mut at = range.start;
        while at < range.end {
            let mut bytes = [0; NOTE as usize];
            self.fetch(at, &mut bytes)?;
            if bytes != [0xFF; NOTE as usize] {
                return Ok(false);
            }
            at = at.saturating_add(NOTE);
        }
        Ok(true)
    }

    #[inline(never)]
    pub(super) fn fetch(&mut self, at: u32, into: &mut [u8]) -> Result<(), FlashFault> {
        self.flash.read(at, into).map_err(|_| FlashFault)
    }

    #[inline(never)]
    pub(super) fn store(&mut self, at: u32, bytes: &[u8]) -> Result<(), FlashFault> {
        self.flash.write(at, bytes).map_err(|_| FlashFault)
    }
}

impl<F> ErrorType for Guard<F> {
    type Error = FlashFault;
}

impl<F: NorFlash> asynchronous::ReadNorFlash for Guard<F> {
    const READ_SIZE: usize = WORD;

    async fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), FlashFault> {
        self.fetch(offset, bytes)
    }

    fn capacity(&self) -> usize {
        self.flash.capacity()
    }
}

impl<F: NorFlash> asynchronous::NorFlash for Guard<F> {
    const WRITE_SIZE: usize = WORD;
    const ERASE_SIZE: usize = F::ERASE_SIZE;

    async fn erase(&mut self, from: u32, to: u32) -> Result<(), FlashFault> {
        if self.pending {
            self.resume()?;
        }
        let mut at = from;
        while at < to {
            let page = at.checked_div(Self::PAGE).and_then(|page| u8::try_from(page).ok());
            self.erase_page(page.ok_or(FlashFault)?)?;
            at = at.saturating_add(Self::PAGE);
        }
        Ok(())
    }

    async fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), FlashFault> {
        if self.pending {
            self.resume()?;
        }
        self.store(offset, bytes)
    }
}
