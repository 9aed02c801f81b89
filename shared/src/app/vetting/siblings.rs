//! Looks for a newer job of the same stem and for one of the same name on a machine's list.

use heapless::String;

use crate::checks::{looks_alike, stem};
use crate::limits::NAME_BYTES;
use crate::media::{Alike, Census, Entry, JobFiles, MediaError, Page, PageFrom};
use crate::records::Machine;

/// What was found.
#[derive(Clone, Debug, Default)]
pub(super) struct FoundSibling {
    pub(super) newer: Option<String<NAME_BYTES>>,
    pub(super) twin: Option<String<NAME_BYTES>>,
    pub(super) census: Census,
}

/// One walk over the card, which keeps the newest of those whose names are alike.
#[derive(Debug, Default)]
pub(super) struct Siblings {
    page: Page,
    begun: bool,
}

/// Characters of a name that a machine's list shows when its sheet does not say (common practice, no source).
const SHOWN_CHARACTERS: u8 = 20;

impl Siblings {
    #[inline(never)]
    pub(super) fn new() -> Self {
        Self::default()
    }

    /// Goes on by one piece of the walk.
    ///
    /// # Errors
    /// `WouldBlock` until the card was walked; card faults.
    pub(super) fn poll<F: JobFiles>(
        &mut self,
        card: &mut F,
        job: &Entry,
        machine: &Machine,
    ) -> nb::Result<FoundSibling, MediaError> {
        let shown = machine.name_max.unwrap_or(SHOWN_CHARACTERS);
        if !self.begun {
            self.begun = true;
            card.start_listing(PageFrom::Alike(Alike {
                folder: job.folder.clone(),
                name: job.name.clone(),
                place: job.place,
                shown,
                is_alike,
            }));
        }
        card.poll_listing(&mut self.page)?;
        let find = |wanted: &dyn Fn(&Entry) -> bool| {
            self.page.entries.iter().find(|other| wanted(other)).map(|other| other.name.clone())
        };
        Ok(FoundSibling {
            newer: find(&|other| other.saved > job.saved && is_same_stem(&other.name, &job.name)),
            twin: find(&|other| looks_alike(&other.name, &job.name, shown.into())),
            census: self.page.census,
        })
    }
}

fn is_same_stem(other: &str, job: &str) -> bool {
    stem(other).eq_ignore_ascii_case(stem(job))
}

fn is_alike(other: &str, job: &str, shown: u8) -> bool {
    is_same_stem(other, job) || looks_alike(other, job, shown.into())
}
