//! What the flash holds, found at the opening: every row and every slot is read and held against its checksum.
//!
//! Rows are counted without a gap over all pages. So a row that is missing between others is seen wherever it stood, a
//! page that is missing as well, and what a power cut left is told apart from damage: it was never confirmed.

use embedded_storage::nor_flash::NorFlash;

use crate::limits::LEDGER_VALUE_BYTES;

use super::LedgerError;
use super::cells::{FlashCells, FlashFault, MOST_PAGES, STEP};
use super::kind::Kind;
use super::layout::{FoundSlot, HEAD, PageHead, ROW_HEAD, SLOT, Slot, is_key, row_size};
use super::store::Store;

/// Slots that are looked ahead to learn whether a broken one belonged to a row: so many may be broken in a row.
const AHEAD: u32 = 64;

/// How far a page was read.
#[derive(Clone, Copy, Debug)]
pub(super) struct PageScan {
    /// The count of the next row.
    pub(super) count: u32,
    /// Behind the last row.
    pub(super) at: u32,
    /// Slots in use.
    pub(super) slots: u32,
    /// The next page was begun.
    pub(super) closed: bool,
    /// The count of the next page's first row.
    most: u32,
}

const fn low(count: u32) -> u8 {
    let [low, ..] = count.to_le_bytes();
    low
}

impl<F: NorFlash> Store<F> {
    /// Reads all of the flash; whether an erase was finished that a power cut had interrupted.
    pub(super) fn scan(&mut self) -> Result<bool, LedgerError> {
        let finished = self.scan_from(0)?;
        let known = self.losses_known;
        // What was lost before is known, and no longer in doubt.
        if self.unsettled && known > 0 {
            self.forget();
            self.scan_from(known)?;
        }
        Ok(finished)
    }

    /// `known`: losses of rows before this one were settled.
    fn scan_from(&mut self, known: u32) -> Result<bool, LedgerError> {
        self.losses_known = known;
        let mut firsts = [0; MOST_PAGES];
        for page in 0..self.cells.pages {
            let head = self.page_head(page)?;
            // A page copied over another one is missing there: this shows in the orders.
            if let Some(head) = head.filter(|head| self.page_of(head.order).is_none()) {
                self.set_order(page, head.order);
                if let Some(first) = firsts.get_mut(usize::from(page)) {
                    *first = head.first;
                }
            }
        }
        let Some(newest) = self.newest() else {
            return Err(if self.is_unused()? { LedgerError::Blank } else { LedgerError::Foreign });
        };
        let finished = self.finish_erase(newest)?;
        let first_of = |page: u8| firsts.get(usize::from(page)).copied().unwrap_or_default();
        // Of each page that was erased a later one says so.
        if let Some(oldest) = self.after(0)
            && self.order_of(oldest) > self.erased_to()?.saturating_add(1)
        {
            self.count = first_of(oldest);
            self.lose(None, first_of(oldest));
        }
        let mut before: Option<(u32, PageScan)> = None;
        while let Some(page) = self.after(before.map_or(0, |(order, _)| order)) {
            let order = self.order_of(page);
            if let Some((last, walk)) = before {
                let mut walk = walk;
                if order != last.saturating_add(1) {
                    walk = self.headless(last.saturating_add(1), walk.count)?.unwrap_or(walk);
                }
                if walk.count != first_of(page) {
                    self.count = first_of(page);
                    self.lose(None, first_of(page).wrapping_sub(walk.count));
                }
            }
            // No more rows than the next page says.
            let most = self.after(order).map_or(u32::MAX, first_of);
            before = Some((order, self.scan_page(page, first_of(page), most)?));
            self.page = page;
        }
        let Some((order, mut walk)) = before else { return Err(LedgerError::Foreign) };
        if walk.closed {
            // What was begun after it is gone, unless only its heads are.
            if let Some(headless) = self.headless(order.saturating_add(1), walk.count)? {
                walk = headless;
                self.page = self.page_of(order.saturating_add(1)).unwrap_or(self.page);
            } else {
                self.count = walk.count;
                // As many as may have stood there.
                self.lose(None, FlashCells::<F>::PAGE.checked_div(SLOT).unwrap_or_default());
            }
        }
        let end = FlashCells::<F>::end(self.page);
        let slots_from = end.saturating_sub(HEAD).saturating_sub(walk.slots.saturating_mul(SLOT));
        self.count = walk.count;
        self.slots = walk.slots;
        // Nothing more goes into a page that is closed.
        self.at = if walk.closed { end } else { self.cells.written_to(walk.at, slots_from)? };
        Ok(finished)
    }

    pub(super) fn page_head(&mut self, page: u8) -> Result<Option<PageHead>, FlashFault> {
        for at in [FlashCells::<F>::start(page), FlashCells::<F>::end(page).saturating_sub(HEAD)] {
            let mut bytes = [0; HEAD as usize];
            self.cells.fetch(at, &mut bytes)?;
            if let Some(head) = PageHead::read(bytes) {
                return Ok(Some(head));
            }
        }
        Ok(None)
    }

    /// Whether nothing was ever written but the very first head, and that not to its end.
    fn is_unused(&mut self) -> Result<bool, FlashFault> {
        for page in 0..self.cells.pages {
            let start = FlashCells::<F>::start(page);
            let from = if page == 0 { start.saturating_add(HEAD) } else { start };
            if self.cells.written_to(from, FlashCells::<F>::end(page))? > from {
                return Ok(false);
            }
        }
        Ok(true)
    }

    fn slot(&mut self, page: u8, number: u32) -> Result<FoundSlot, FlashFault> {
        let mut bytes = [0; SLOT as usize];
        self.cells.fetch(Self::slot_at(page, number), &mut bytes)?;
        Ok(FoundSlot::read(bytes))
    }

    /// The count in a slot of a row that is as it was written.
    fn whole_count(&mut self, page: u8, number: u32) -> Result<Option<u8>, FlashFault> {
        let mut bytes = [0; SLOT as usize];
        self.cells.fetch(Self::slot_at(page, number), &mut bytes)?;
        Ok(match Slot::whole(bytes) {
            Some(Slot::Row { count, .. } | Slot::Removed { count, .. }) => Some(count),
            Some(Slot::Closed | Slot::Erasing { .. }) | None => None,
        })
    }

    /// Where a slot stands.
    pub(super) fn slot_at(page: u8, number: u32) -> u32 {
        let from_end = number.saturating_add(1).saturating_mul(SLOT).saturating_add(HEAD);
        FlashCells::<F>::end(page).saturating_sub(from_end)
    }

    /// The newest note of an erase in a page: that page's number and its order (lowest 16 bits).
    fn erasing(&mut self, page: u8) -> Result<Option<(u8, u16)>, FlashFault> {
        let mut noted = None;
        for number in 0..FlashCells::<F>::PAGE.saturating_sub(3 * HEAD).checked_div(SLOT).unwrap_or_default()
        {
            let mut bytes = [0; SLOT as usize];
            self.cells.fetch(Self::slot_at(page, number), &mut bytes)?;
            if Slot::may_be_erasing(bytes)
                && let FoundSlot::Slot(Slot::Erasing { page, order }) = FoundSlot::read(bytes)
            {
                noted = Some((page, order));
            }
        }
        Ok(noted)
    }

    /// The page of which the newest one says that it is being erased is erased once more, before anybody reads it.
    fn finish_erase(&mut self, newest: u8) -> Result<bool, LedgerError> {
        let noted = self.erasing(newest)?.filter(|(page, _)| *page < self.cells.pages && *page != newest);
        let Some((page, order)) = noted else { return Ok(false) };
        let [low, high, ..] = self.order_of(page).to_le_bytes();
        let same = [low, high] == order.to_le_bytes() || self.order_of(page) == 0;
        if !same || self.cells.is_blank(page)? {
            return Ok(false);
        }
        self.cells.erase(page)?;
        self.set_order(page, 0);
        Ok(true)
    }

    /// The highest order of which a page says that it is being erased; 0 = none.
    fn erased_to(&mut self) -> Result<u32, LedgerError> {
        let mut erased = 0;
        for page in 0..self.cells.pages {
            let order = self.order_of(page);
            if order > 0
                && let Some((_, noted)) = self.erasing(page)?
            {
                // Not far below the order of the page that says so.
                let [low, high, ..] = order.to_le_bytes();
                let behind = u16::from_le_bytes([low, high]).wrapping_sub(noted);
                erased = erased.max(order.saturating_sub(behind.into()));
            }
        }
        Ok(erased)
    }

    /// Reads a page without a head as the one of this order, where there is one that goes on from `count`.
    fn headless(&mut self, order: u32, count: u32) -> Result<Option<PageScan>, LedgerError> {
        for page in 0..self.cells.pages {
            if self.order_of(page) != 0 || self.cells.is_blank(page)? {
                continue;
            }
            let from = FlashCells::<F>::start(page).saturating_add(HEAD);
            let begins = match self.slot(page, 0)? {
                FoundSlot::Slot(Slot::Row { count: at, .. } | Slot::Removed { count: at, .. }) => {
                    at == low(count)
                }
                _ => self.find_row(from, Self::slot_at(page, 0), low(count))?.is_some(),
            };
            if begins {
                self.set_order(page, order);
                return Ok(Some(self.scan_page(page, count, u32::MAX)?));
            }
        }
        Ok(None)
    }

    /// Reads a page's rows, the oldest first.
    fn scan_page(&mut self, page: u8, first: u32, most: u32) -> Result<PageScan, LedgerError> {
        let start = FlashCells::<F>::start(page);
        let at = start.saturating_add(HEAD);
        let mut walk = PageScan { count: first, at, slots: 0, closed: false, most };
        loop {
            let slot_at = Self::slot_at(page, walk.slots);
            if slot_at < walk.at {
                break;
            }
            let found = self.slot(page, walk.slots)?;
            match found {
                FoundSlot::Slot(Slot::Closed) => walk.closed = true,
                FoundSlot::Slot(Slot::Erasing { .. }) => {}
                FoundSlot::Slot(Slot::Removed { key, count }) if count == low(walk.count) => {
                    self.places.remove(key);
                    walk.count = walk.count.saturating_add(1);
                }
                FoundSlot::Slot(Slot::Row { key, length, count, at })
                    if count == low(walk.count)
                        && Self::fits(start, at, length, walk.at, slot_at).is_some() =>
                {
                    let at = Self::fits(start, at, length, walk.at, slot_at).unwrap_or(walk.at);
                    match self.read_row(at, key, length)? {
                        Some(read) if read.count == count => self.found(key, at, length, read.mended),
                        _ => {
                            self.count = walk.count.saturating_add(1);
                            self.lose(Some(key), 1);
                        }
                    }
                    walk.at = at.saturating_add(row_size(length.into()));
                    walk.count = walk.count.saturating_add(1);
                }
                FoundSlot::Slot(_) | FoundSlot::Blank | FoundSlot::Broken => {
                    if !self.without_slot(page, &mut walk, slot_at, found)? {
                        break;
                    }
                }
            }
            walk.slots = walk.slots.saturating_add(1);
        }
        Ok(walk)
    }

    /// Where a row stands, if it can stand there.
    fn fits(start: u32, at: u16, length: u8, from: u32, to: u32) -> Option<u32> {
        let at = start.saturating_add(u32::from(at).saturating_mul(STEP));
        let end = at.saturating_add(row_size(length.into()));
        (at >= from && end <= to).then_some(at)
    }

    /// A slot that says nothing: blank, broken, or not the one that is due. `false` where the page's rows end.
    fn without_slot(
        &mut self,
        page: u8,
        walk: &mut PageScan,
        slot_at: u32,
        found: FoundSlot,
    ) -> Result<bool, LedgerError> {
        // What the slots behind it are about says whether it belonged to a row.
        let mut counts = None;
        for ahead in 1..=AHEAD {
            let number = walk.slots.saturating_add(ahead);
            if counts.is_none()
                && Self::slot_at(page, number) >= walk.at
                && let Some(count) = self.whole_count(page, number)?
            {
                counts = Some(count);
            }
        }
        if counts == Some(low(walk.count)) {
            return Ok(true);
        }
        if let Some((key, length, at)) = self.find_row(walk.at, slot_at, low(walk.count))? {
            self.found(key, at, length, found != FoundSlot::Blank);
            walk.at = at.saturating_add(row_size(length.into()));
            walk.count = walk.count.saturating_add(1);
            return Ok(true);
        }
        let next = walk.at.saturating_add(STEP).min(slot_at);
        let nothing_here = self.cells.written_to(walk.at, next)? == walk.at;
        match (counts, found) {
            // Never confirmed, so nothing is lost; what stands there a cut has left.
            (None, FoundSlot::Blank) => Ok(false),
            (None, _) if nothing_here || walk.count >= walk.most => Ok(true),
            _ => {
                walk.count = walk.count.saturating_add(1);
                self.count = walk.count;
                self.lose(None, 1);
                Ok(true)
            }
        }
    }

    /// The first whole row of this count between two places.
    fn find_row(&mut self, from: u32, to: u32, count: u8) -> Result<Option<(u16, u8, u32)>, FlashFault> {
        let mut at = from;
        // Blank from here on: nothing to look for.
        let to = self.cells.written_to(from, to)?.saturating_add(row_size(LEDGER_VALUE_BYTES)).min(to);
        while at < to {
            let mut head = [0; ROW_HEAD];
            self.cells.fetch(at, &mut head)?;
            let [k0, k1, length, its, ..] = head;
            let key = u16::from_le_bytes([k0, k1]);
            if its == count
                && is_key(key)
                && usize::from(length) <= LEDGER_VALUE_BYTES
                && at.saturating_add(row_size(length.into())) <= to
                && self.read_row(at, key, length)?.is_some_and(|read| !read.mended)
            {
                return Ok(Some((key, length, at)));
            }
            at = at.saturating_add(STEP);
        }
        Ok(None)
    }

    /// A whole row: the newest of its key so far.
    fn found(&mut self, key: u16, at: u32, length: u8, mended: bool) {
        self.place(key, at, length);
        if let (true, Some(place)) = (mended, self.places.get(key)) {
            // What does not find room here is read with its bit turned back, time and again.
            let _ = self.mended.push(place);
        }
        if key == Kind::Losses.key(0) {
            self.recall_losses();
        }
    }
}
