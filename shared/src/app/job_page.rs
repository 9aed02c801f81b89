//! The part of a card's listing that is held at the moment, and the fetching of the rest.

use crate::limits::PAGE_ENTRIES;
use crate::media::{Entry, JobFiles, MediaError, Page, PageFrom};

/// One page of the listing, moved along as the chosen job moves.
#[derive(Debug, Default)]
pub(super) struct Shelf {
    page: Page,
    wanted: u16,
    /// Whether `page` holds anything of this card.
    filled: bool,
    listing: bool,
}

impl Shelf {
    /// With nothing on it.
    #[inline(never)]
    pub(super) fn new() -> Self {
        Self::default()
    }

    /// Begins anew with the newest jobs of a card.
    pub(super) fn begin<F: JobFiles>(&mut self, card: &mut F) {
        *self = Self { listing: true, ..Self::default() };
        card.start_listing(PageFrom::Newest);
    }

    /// Asks for the job of this rank (0 = newest) to be on the page.
    pub(super) fn want(&mut self, rank: u16) {
        self.wanted = rank;
    }

    /// The page as it stands.
    pub(super) fn page(&self) -> &Page {
        &self.page
    }

    /// The job of this rank, if it is on the page.
    pub(super) fn entry(&self, rank: u16) -> Option<&Entry> {
        let at = rank.checked_sub(self.page.before)?;
        self.page.entries.get(usize::from(at))
    }

    /// The wanted job, if it is on the page.
    pub(super) fn wanted(&self) -> Option<&Entry> {
        self.entry(self.wanted)
    }

    fn is_off_page(&self) -> bool {
        self.wanted < self.page.census.jobs && self.entry(self.wanted).is_none()
    }

    /// Goes on with the listing, a bounded amount. `Ok(true)` when a page was completed.
    ///
    /// # Errors
    /// `WouldBlock` while a listing is under way; card faults.
    pub(super) fn poll<F: JobFiles>(&mut self, card: &mut F) -> nb::Result<bool, MediaError> {
        if self.listing {
            card.poll_listing(&mut self.page)?;
            self.listing = false;
            self.filled = true;
            return Ok(true);
        }
        if !self.filled || !self.is_off_page() {
            return Ok(false);
        }
        let from = if self.wanted < self.page.before {
            // A page that ends just before this one; when it would begin before the newest, the newest page
            // is the same and always full.
            match self.page.entries.first() {
                Some(first) if usize::from(self.page.before) > PAGE_ENTRIES => PageFrom::Before(first.key()),
                _ => PageFrom::Newest,
            }
        } else {
            match self.page.entries.last() {
                Some(last) => PageFrom::After(last.key()),
                None => PageFrom::Newest,
            }
        };
        card.start_listing(from);
        self.listing = true;
        Err(nb::Error::WouldBlock)
    }
}
