//! The marks at both ends of each page of the map: whether they are as only the map leaves them, and how they are put
//! in order.

use embedded_storage::nor_flash::NorFlash;

use super::guard::{FlashFault, Guard, NOTE_PAGES, WORD};

/// The word at a page's end.
const TAIL: u32 = 8;

/// How a page looks from its two ends, as the map marks them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ends {
    Open,
    Partial,
    Closed,
    /// Closed, but its beginning is not marked.
    Headless,
}

impl<F: NorFlash> Guard<F> {
    /// Whether the map's pages are marked as only the map leaves them, at whatever moment the power was cut.
    ///
    /// Pages fill in turn: a page being written, then blank ones, then closed ones. With no blank page left, the page
    /// after the one being written is being moved into it; that is so only when the one being written was the last
    /// to be erased, or none was erased since the beginning.
    pub(super) fn is_in_order(&mut self) -> Result<bool, FlashFault> {
        let pages = self.pages.saturating_sub(NOTE_PAGES);
        let (mut written, mut first_open, mut before) =
            (None, None, self.ends(self.pages.saturating_sub(1))?);
        for index in 0..pages {
            let ends = self.ends(index.saturating_add(NOTE_PAGES))?;
            match ends {
                Ends::Headless => return Ok(false),
                Ends::Partial if written.is_some() => return Ok(false),
                Ends::Partial => written = Some(index),
                Ends::Open if before != Ends::Open && first_open.is_none() => first_open = Some(index),
                Ends::Open | Ends::Closed => {}
            }
            before = ends;
        }
        // No page begun: all are blank. No blank page either is never left behind.
        let start = match (written, first_open) {
            (Some(written), _) => written.saturating_add(1),
            (None, Some(open)) => open,
            (None, None) => return Ok(before == Ends::Open),
        };
        let (mut blank, mut closed) = (0_u8, 0_u8);
        for step in 0..pages {
            let index = start.saturating_add(step).checked_rem(pages).unwrap_or_default();
            match self.ends(index.saturating_add(NOTE_PAGES))? {
                Ends::Open if closed > 0 => return Ok(false),
                Ends::Open => blank = blank.saturating_add(1),
                _ => closed = closed.saturating_add(1),
            }
        }
        let last = self.erased_last().and_then(|page| page.checked_sub(NOTE_PAGES));
        Ok(blank > 0 || (written.is_some() && (last.is_none() || last == written)))
    }

    /// The page that was erased last; `None` = none since the beginning.
    fn erased_last(&self) -> Option<u8> {
        (NOTE_PAGES..self.pages).contains(&self.page).then_some(self.page)
    }

    /// Puts the marks in order so far as that takes nothing that can be read: what stands before the page that is
    /// being written is closed, what stands behind it is blank.
    pub(super) fn put_in_order(&mut self) -> Result<(), FlashFault> {
        let last = self.pages.saturating_sub(1);
        let (written, blank) = if let Some(page) = self.erased_last() {
            // The pages went round: the one that was erased last is blank, or is the one being written.
            let before = if page == NOTE_PAGES { last } else { page.saturating_sub(1) };
            let written = if self.ends(page)? == Ends::Partial { page } else { before };
            (written, page..page.saturating_add(1))
        } else {
            // Not yet: the last one that is being written, or else the last that is closed.
            let (mut written, mut closed) = (None, NOTE_PAGES);
            for page in NOTE_PAGES..self.pages {
                match self.ends(page)? {
                    Ends::Partial => written = Some(page),
                    Ends::Closed | Ends::Headless => closed = page,
                    Ends::Open => {}
                }
            }
            let written = written.unwrap_or(closed);
            (written, written.saturating_add(1)..self.pages)
        };
        for page in NOTE_PAGES..self.pages {
            let ends = self.ends(page)?;
            if page == written && ends == Ends::Partial {
                continue;
            }
            if !blank.contains(&page) {
                self.close(page, ends)?;
            } else if ends != Ends::Open {
                self.erase_page(page)?;
            }
        }
        Ok(())
    }

    /// Marks a page's ends where they are not.
    fn close(&mut self, page: u8, ends: Ends) -> Result<(), FlashFault> {
        let start = Self::start(page);
        if matches!(ends, Ends::Open | Ends::Headless) {
            self.store(start, &[0; WORD])?;
        }
        if matches!(ends, Ends::Open | Ends::Partial) {
            self.store(start.saturating_add(Self::PAGE).saturating_sub(TAIL), &[0; WORD])?;
        }
        Ok(())
    }

    /// The library takes an end for marked when four bits or more of its word are 0.
    fn ends(&mut self, page: u8) -> Result<Ends, FlashFault> {
        let start = Self::start(page);
        let mut marked = [false; 2];
        for (marked, at) in
            marked.iter_mut().zip([start, start.saturating_add(Self::PAGE).saturating_sub(TAIL)])
        {
            let mut bytes = [0; WORD];
            self.fetch(at, &mut bytes)?;
            *marked = u64::from_le_bytes(bytes).count_zeros() >= 4;
        }
        Ok(match marked {
            [false, false] => Ends::Open,
            [true, false] => Ends::Partial,
            [true, true] => Ends::Closed,
            [false, true] => Ends::Headless,
        })
    }
}
