//! The one way of bytes to and from the flash: a value under a key.
//!
//! A log over pages that take turns. Rows are only ever added; the newest of a key counts. When the page is full the
//! next blank one is begun; when too few are blank, what still counts in the oldest is written anew and that page is
//! erased. Before an erase a slot says so: cut short, it is done again at the next opening, before anybody reads it.

use embedded_storage::nor_flash::NorFlash;
use heapless::Vec;

use crate::limits::LEDGER_VALUE_BYTES;

use super::LedgerError;
use super::cells::{FlashCells, FlashFault, MOST_PAGES, STEP};
use super::checksum::{Sum, check, turn_bit};
use super::layout::{
    HEAD, PageHead, ROW_BYTES, ROW_HEAD, SLOT, SLOTS_KEPT, Slot, row_bytes, row_crc, row_size,
};
use super::losses::Losses;
use super::places::{NOWHERE, Places, ValuePlace};

/// Tries at writing a value that does not read back.
const TRIES: u8 = 3;
/// Pages that stay blank: one to write on in, one more for what cuts left in it.
const SPARE: u8 = 2;
/// Rows of which a bit was turned back, to be written anew at the opening.
const MENDED: usize = 16;
/// Of a page that does not take writes or erases: never used again before the next opening.
const WORN: u32 = u32::MAX;

/// A row that was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Read {
    pub(super) count: u8,
    /// A bit was turned back.
    pub(super) mended: bool,
}

/// The log, and the ledger's only buffer.
pub(super) struct Store<F: NorFlash> {
    pub(super) cells: FlashCells<F>,
    /// The order of each page; 0 = blank, or to be erased before it is used.
    orders: [u32; MOST_PAGES],
    pub(super) places: Places,
    /// The page that is being written, and the count of the next row in it.
    pub(super) page: u8,
    pub(super) count: u32,
    /// Where that row goes.
    pub(super) at: u32,
    /// Slots in use.
    pub(super) slots: u32,
    pub(super) losses: Losses,
    /// Something was lost that is not in the flash's own list yet.
    pub(super) unsettled: bool,
    /// Rows that this was, and whether nobody knows the key of one.
    pub(super) lost_rows: u16,
    pub(super) lost_unknown: bool,
    /// It is being written there.
    pub(super) settling: bool,
    /// What was lost before this row is in the flash's list.
    pub(super) losses_known: u32,
    /// Rows that may have been newer run numbers.
    pub(super) lost_runs: u16,
    pub(super) mended: Vec<ValuePlace, MENDED>,
    /// A row's head, and its value.
    pub(super) buffer: [u8; ROW_BYTES],
}

impl<F: NorFlash> Store<F> {
    fn over(flash: F) -> Result<Self, (LedgerError, F)> {
        Ok(Self {
            cells: FlashCells::new(flash)?,
            orders: [0; MOST_PAGES],
            places: Places::default(),
            page: 0,
            count: 1,
            at: 0,
            slots: 0,
            losses: Losses::default(),
            unsettled: false,
            lost_rows: 0,
            lost_unknown: false,
            settling: false,
            losses_known: 0,
            lost_runs: 0,
            mended: Vec::new(),
            buffer: [0; ROW_BYTES],
        })
    }

    /// The ledger, and whether something was finished that a power cut had interrupted.
    pub(super) fn open(flash: F) -> Result<(Self, bool), (LedgerError, F)> {
        let mut store = Self::over(flash)?;
        match store.scan() {
            Ok(finished) => {
                // What cannot be repaired now is reported now, and repaired at the next opening.
                let _ = store.put_in_order();
                Ok((store, finished))
            }
            Err(error) => Err((error, store.into_flash())),
        }
    }

    /// An empty ledger.
    pub(super) fn format(flash: F) -> Result<Self, (LedgerError, F)> {
        let mut store = Self::over(flash)?;
        match store.begin() {
            Ok(()) => Ok(store),
            Err(error) => Err((error, store.into_flash())),
        }
    }

    fn begin(&mut self) -> Result<(), LedgerError> {
        for page in 0..self.cells.pages {
            if !self.cells.is_blank(page)? {
                self.cells.erase(page)?;
            }
        }
        // Found by the next page's search: the first.
        self.page = self.cells.pages.saturating_sub(1);
        self.begin_page(1)
    }

    /// Finishes what a cut interrupted, writes anew what lost a bit, and keeps what was lost.
    fn put_in_order(&mut self) -> Result<(), LedgerError> {
        self.settle()?;
        for place in core::mem::take(&mut self.mended) {
            if self.places.get(place.key) == Some(place) {
                self.rewrite(place.key)?;
            }
        }
        self.keep_spare()
    }

    pub(super) fn into_flash(self) -> F {
        self.cells.into_flash()
    }

    /// Bytes of rows that surely fit, whatever their order: spare pages stay blank, and each page may end with as
    /// much unused as the longest row needs.
    pub(super) fn room_bytes(&self) -> u32 {
        let pages = u32::from(self.cells.pages).saturating_sub(SPARE.into());
        let lost = row_bytes(LEDGER_VALUE_BYTES)
            .saturating_add(2 * HEAD)
            .saturating_add(SLOTS_KEPT.saturating_mul(SLOT));
        pages.saturating_mul(FlashCells::<F>::PAGE.saturating_sub(lost))
    }

    /// The value under `key`, until the next call.
    #[inline(never)]
    pub(super) fn get(&mut self, key: u16) -> Result<Option<&[u8]>, LedgerError> {
        let Some(ValuePlace { at, length, .. }) = self.places.get(key) else { return Ok(None) };
        match self.read_row(u32::from(at).saturating_mul(STEP), key, length)? {
            Some(_) => Ok(self.buffer.get(ROW_HEAD..ROW_HEAD.saturating_add(length.into()))),
            None => Err(LedgerError::Damaged),
        }
    }

    /// Keeps `value` under `key`: after this it is there, before and in between the old one. A value that is there
    /// already costs no write.
    #[inline(never)]
    pub(super) fn put(&mut self, key: u16, value: &[u8]) -> Result<(), LedgerError> {
        if value.len() > LEDGER_VALUE_BYTES {
            return Err(LedgerError::TooLong);
        }
        match self.get(key) {
            Ok(Some(there)) if there == value => return Ok(()),
            // What cannot be read any more is written over.
            Ok(_) | Err(LedgerError::Damaged) => {}
            Err(error) => return Err(error),
        }
        let length = u8::try_from(value.len()).map_err(|_| LedgerError::TooLong)?;
        for _ in 0..=self.cells.pages {
            if let Some(into) = self.buffer.get_mut(ROW_HEAD..ROW_HEAD.saturating_add(value.len())) {
                into.copy_from_slice(value);
            }
            if self.write_row(key, length)? {
                return Ok(());
            }
            self.turn()?;
        }
        Err(LedgerError::Full)
    }

    /// Takes the value under `key` away.
    #[inline(never)]
    pub(super) fn remove(&mut self, key: u16) -> Result<(), LedgerError> {
        if self.places.get(key).is_none() && !self.places.is_doubtful(key) {
            return Ok(());
        }
        for _ in 0..TRIES {
            if !self.has_room(0) {
                self.turn()?;
            }
            let [count, ..] = self.count.to_le_bytes();
            self.count = self.count.saturating_add(1);
            self.places.remove(key);
            if self.write_slot(Slot::Removed { key, count })? {
                return Ok(());
            }
        }
        Err(LedgerError::Flash)
    }

    /// Writes the value under `key` once more, as it can be read.
    pub(super) fn rewrite(&mut self, key: u16) -> Result<(), LedgerError> {
        for _ in 0..=self.cells.pages {
            let Some(ValuePlace { at, length, .. }) = self.places.get(key) else { return Ok(()) };
            if self.read_row(u32::from(at).saturating_mul(STEP), key, length)?.is_none() {
                return Err(LedgerError::Damaged);
            }
            if self.write_row(key, length)? {
                return Ok(());
            }
            self.turn()?;
        }
        Err(LedgerError::Full)
    }

    /// Reads a row of which key and length are known into the buffer, one flipped bit turned back; `None` when more
    /// is wrong with it.
    #[inline(never)]
    pub(super) fn read_row(&mut self, at: u32, key: u16, length: u8) -> Result<Option<Read>, FlashFault> {
        let size = usize::try_from(row_size(length.into())).unwrap_or_default();
        let Some(row) = self.buffer.get_mut(..size) else { return Ok(None) };
        self.cells.fetch(at, row)?;
        let Some((head, value)) = row.split_first_chunk_mut::<ROW_HEAD>() else { return Ok(None) };
        let [k0, k1, its_length, count, c0, c1, c2, c3] = *head;
        let Some(value) = value.get_mut(..length.into()) else { return Ok(None) };
        let [key0, key1] = key.to_le_bytes();
        let told = [key0, key1, length, count];
        let mut read = Read { count, mended: told != [k0, k1, its_length, count] };
        match check(&told, value, u32::from_le_bytes([c0, c1, c2, c3])) {
            Sum::Whole => return Ok(Some(read)),
            Sum::OneBit(None) => {}
            // Key and length are known from elsewhere.
            Sum::OneBit(Some(0..24)) | Sum::Broken => return Ok(None),
            Sum::OneBit(Some(bit @ 24..32)) => {
                read.count ^= 1_u8.wrapping_shl(bit.saturating_sub(24));
            }
            Sum::OneBit(Some(bit)) => turn_bit(value, bit.saturating_sub(32)),
        }
        read.mended = true;
        Ok(Some(read))
    }

    /// Whether a row of so many bytes finds room in this page.
    fn has_room(&self, size: u32) -> bool {
        let slots = self.slots.saturating_add(SLOTS_KEPT);
        self.at.saturating_add(size) <= Self::slot_at(self.page, slots)
    }

    /// Writes the buffer's value as the next row; `false` when this page has no room for it.
    fn write_row(&mut self, key: u16, length: u8) -> Result<bool, LedgerError> {
        let size = row_size(length.into());
        for _ in 0..TRIES {
            if !self.has_room(size) {
                return Ok(false);
            }
            let at = self.at;
            let [count, ..] = self.count.to_le_bytes();
            let Some(row) = self.buffer.get_mut(..usize::try_from(size).unwrap_or_default()) else {
                return Err(LedgerError::TooLong);
            };
            let Some((head, value)) = row.split_first_chunk_mut::<ROW_HEAD>() else {
                return Err(LedgerError::TooLong);
            };
            let (text, padding) = value.split_at_mut_checked(length.into()).ok_or(LedgerError::TooLong)?;
            padding.fill(0);
            let [k0, k1] = key.to_le_bytes();
            let [c0, c1, c2, c3] = row_crc(key, length, count, text).to_le_bytes();
            *head = [k0, k1, length, count, c0, c1, c2, c3];
            // What is cut short here is passed over.
            self.at = at.saturating_add(size);
            if !self.cells.store(at, row)? {
                continue;
            }
            self.count = self.count.saturating_add(1);
            self.place(key, at, length);
            let from = at.saturating_sub(FlashCells::<F>::start(self.page));
            let from = u16::try_from(from.checked_div(STEP).unwrap_or_default()).unwrap_or_default();
            if self.write_slot(Slot::Row { key, length, count, at: from })? {
                return Ok(true);
            }
        }
        Err(LedgerError::Flash)
    }

    /// Writes the next slot; `false` when the cells did not take it.
    fn write_slot(&mut self, slot: Slot) -> Result<bool, FlashFault> {
        let at = Self::slot_at(self.page, self.slots);
        if at < self.at {
            return Ok(false);
        }
        self.slots = self.slots.saturating_add(1);
        self.cells.store(at, &slot.bytes())
    }

    pub(super) fn place(&mut self, key: u16, at: u32, length: u8) {
        let at = u16::try_from(at.checked_div(STEP).unwrap_or_default()).unwrap_or_default();
        self.places.set(ValuePlace { key, at, length, doubtful: false });
    }

    /// Begins the next page, and frees older ones until enough are blank.
    fn turn(&mut self) -> Result<(), LedgerError> {
        self.begin_next()?;
        self.keep_spare()
    }

    fn begin_next(&mut self) -> Result<(), LedgerError> {
        let order = self.order_of(self.page).saturating_add(1);
        self.begin_page(order)
    }

    fn begin_page(&mut self, order: u32) -> Result<(), LedgerError> {
        let head = PageHead { order, first: self.count };
        // In turn, so that all wear alike.
        for step in 1..=self.cells.pages {
            let page = self.page.saturating_add(step).checked_rem(self.cells.pages).unwrap_or_default();
            if self.order_of(page) != 0 {
                continue;
            }
            let start = FlashCells::<F>::start(page);
            if self.cells.is_blank(page)? || self.cells.erase(page)? {
                self.cells.store(start, &head.bytes())?;
                self.cells.store(FlashCells::<F>::end(page).saturating_sub(HEAD), &head.bytes())?;
            }
            // As the next opening will see it.
            if self.page_head(page)? != Some(head) {
                self.set_order(page, WORN);
                continue;
            }
            // From here on a page that is missing after this one is missed.
            if order > 1 {
                let _ = self.write_slot(Slot::Closed)?;
            }
            self.set_order(page, order);
            (self.page, self.at, self.slots) = (page, start.saturating_add(HEAD), 0);
            return Ok(());
        }
        Err(LedgerError::Full)
    }

    fn keep_spare(&mut self) -> Result<(), LedgerError> {
        for _ in 0..self.cells.pages {
            let used = self.orders.iter().take(self.cells.pages.into()).filter(|order| **order != 0).count();
            if usize::from(self.cells.pages).saturating_sub(used) >= SPARE.into() {
                break;
            }
            match self.after(0) {
                Some(oldest) if oldest != self.page => self.free(oldest)?,
                _ => break,
            }
        }
        Ok(())
    }

    /// Moves what counts out of a page, and erases it.
    fn free(&mut self, page: u8) -> Result<(), LedgerError> {
        let words = |at: u32| u16::try_from(at.checked_div(STEP).unwrap_or_default());
        let from = words(FlashCells::<F>::start(page)).unwrap_or_default();
        let to = words(FlashCells::<F>::end(page)).unwrap_or(u16::MAX);
        let mut next = self.places.from(0);
        while let Some(place) = next {
            if (from..to).contains(&place.at) {
                self.move_row(place)?;
            }
            next = self.places.from(place.key.saturating_add(1));
        }
        let [low, high, ..] = self.order_of(page).to_le_bytes();
        let note = Slot::Erasing { page, order: u16::from_le_bytes([low, high]) };
        let mut noted = false;
        for _ in 0..TRIES {
            // The last slot is for closing the page.
            if self.at > Self::slot_at(self.page, self.slots.saturating_add(1)) {
                self.begin_next()?;
            }
            noted = self.write_slot(note)?;
            if noted {
                break;
            }
        }
        if !noted {
            return Err(LedgerError::Flash);
        }
        let order = if self.cells.erase(page)? { 0 } else { WORN };
        self.set_order(page, order);
        Ok(())
    }

    fn move_row(&mut self, place: ValuePlace) -> Result<(), LedgerError> {
        loop {
            let at = u32::from(place.at).saturating_mul(STEP);
            if self.read_row(at, place.key, place.length)?.is_none() {
                // It was whole at the opening.
                self.places.set(ValuePlace { at: NOWHERE, doubtful: true, ..place });
                self.lose(Some(place.key), 1);
                return self.settle();
            }
            if self.write_row(place.key, place.length)? {
                return Ok(());
            }
            self.begin_next()?;
        }
    }

    pub(super) fn order_of(&self, page: u8) -> u32 {
        self.orders.get(usize::from(page)).copied().unwrap_or_default()
    }

    pub(super) fn set_order(&mut self, page: u8, order: u32) {
        if let Some(entry) = self.orders.get_mut(usize::from(page)) {
            *entry = order;
        }
    }

    /// The page of this order.
    pub(super) fn page_of(&self, order: u32) -> Option<u8> {
        (0..self.cells.pages).find(|page| self.order_of(*page) == order)
    }

    /// The page of the next higher order that there is.
    pub(super) fn after(&self, order: u32) -> Option<u8> {
        (0..self.cells.pages)
            .filter(|page| self.order_of(*page) > order && self.order_of(*page) != WORN)
            .min_by_key(|page| self.order_of(*page))
    }

    /// The page of the highest order.
    pub(super) fn newest(&self) -> Option<u8> {
        (0..self.cells.pages).filter(|page| self.order_of(*page) > 0).max_by_key(|page| self.order_of(*page))
    }

    /// Rows before the next one were lost, of this key or of nobody knows which.
    pub(super) fn lose(&mut self, key: Option<u16>, rows: u32) {
        if self.count <= self.losses_known {
            return;
        }
        self.unsettled = true;
        self.lost_rows = self.lost_rows.saturating_add(u16::try_from(rows).unwrap_or(u16::MAX));
        match key {
            Some(key) => self.places.doubt(key),
            None => {
                self.places.doubt_all();
                self.lost_unknown = true;
            }
        }
    }

    /// As before the flash was read.
    pub(super) fn forget(&mut self) {
        self.orders = [0; MOST_PAGES];
        self.places = Places::default();
        self.losses = Losses::default();
        self.mended.clear();
        (self.unsettled, self.lost_rows, self.lost_unknown) = (false, 0, false);
    }
}
