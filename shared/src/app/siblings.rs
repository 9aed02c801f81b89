//! Looks through the whole card for a newer job of the same stem and for one of the same name on a machine's list.

use heapless::String;

use crate::checks::{looks_alike, stem};
use crate::limits::NAME_BYTES;
use crate::media::{Entry, JobFiles, MediaError, Page, PageFrom};
use crate::records::Machine;

/// What was found.
#[derive(Clone, Debug, Default)]
pub(super) struct Found {
    pub(super) newer: Option<String<NAME_BYTES>>,
    pub(super) twin: Option<String<NAME_BYTES>>,
}

/// A pass over all pages of the listing.
#[derive(Debug, Default)]
pub(super) struct Siblings {
    page: Page,
    found: Found,
    begun: bool,
}

/// Characters of a name that a machine's list shows when its sheet does not say (common practice, no source).
const SHOWN_CHARACTERS: usize = 20;

impl Siblings {
    pub(super) fn new() -> Self {
        Self::default()
    }

    /// Goes on by one piece of the listing.
    ///
    /// # Errors
    /// `WouldBlock` while there are more pages; card faults.
    pub(super) fn poll<F: JobFiles>(
        &mut self,
        card: &mut F,
        job: &Entry,
        machine: &Machine,
    ) -> nb::Result<Found, MediaError> {
        if !self.begun {
            card.start_listing(PageFrom::Newest);
            self.begun = true;
        }
        card.poll_listing(&mut self.page)?;
        let shown = machine.name_max.map_or(SHOWN_CHARACTERS, usize::from);
        for other in
            self.page.entries.iter().filter(|other| other.place != job.place && other.folder == job.folder)
        {
            if self.found.newer.is_none()
                && other.saved > job.saved
                && stem(&other.name).eq_ignore_ascii_case(stem(&job.name))
            {
                self.found.newer = Some(other.name.clone());
            }
            if self.found.twin.is_none() && looks_alike(&other.name, &job.name, shown) {
                self.found.twin = Some(other.name.clone());
            }
        }
        let seen = usize::from(self.page.before) + self.page.entries.len();
        match self.page.entries.last() {
            Some(last) if seen < usize::from(self.page.census.jobs) => {
                card.start_listing(PageFrom::After(last.key()));
                Err(nb::Error::WouldBlock)
            }
            _ => Ok(core::mem::take(&mut self.found)),
        }
    }
}
