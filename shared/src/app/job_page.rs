//! The part of a card's listing that is held at the moment, and the fetching of the rest.

use heapless::Vec;

use crate::limits::PAGE_ENTRIES;
use crate::media::{Entry, JobFiles, MediaError, Page, PageFrom};

use super::first_verdict::FirstVerdict;

/// One page of the listing, moved along as the chosen job moves.
#[derive(Debug, Default)]
pub(super) struct JobPage {
    page: Page,
    wanted: u16,
    /// Whether `page` holds anything of this card.
    filled: bool,
    listing: bool,
    /// The card's listing is still to be begun: [`App::handle`](super::App::handle) has no card in its hands.
    pub(super) begin_listing: bool,
    /// First verdicts of the page's entries, in their order.
    pub(super) first_verdicts: Vec<FirstVerdict, PAGE_ENTRIES>,
}

impl JobPage {
    /// With nothing on it.
    #[inline(never)]
    pub(super) fn new() -> Self {
        Self::default()
    }

    /// The card is gone, or is listed anew.
    pub(super) fn forget(&mut self) {
        self.page = Page::default();
        self.first_verdicts.clear();
        (self.wanted, self.filled, self.listing, self.begin_listing) = (0, false, false, false);
    }

    /// The first verdict of the job of this rank, once it is there.
    pub(super) fn first_verdict(&self, rank: u16) -> Option<&FirstVerdict> {
        self.first_verdicts.get(usize::from(rank.checked_sub(self.page.before)?))
    }

    /// Begins anew with the newest jobs of a card.
    pub(super) fn begin<F: JobFiles>(&mut self, card: &mut F) {
        self.forget();
        self.listing = true;
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
