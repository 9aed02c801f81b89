//! Several readers of one card or folder.

use std::path::Path;

use anyhow::Result;
use holdpoint_desk::listing::{Listed, Listing};
use holdpoint_desk::report::JobReport;
use holdpoint_desk::slot::{CardIn, Files, Walked, describe};
use holdpoint_desk::vetting::vet;
use holdpoint_shared::app::{Event, Setup};
use holdpoint_shared::media::{Entry, MediaError, MediaFault};
use holdpoint_shared::time::WallClock;

use crate::source::Source;

/// One reader of a card's jobs among several: it opens the card for itself and asks the listing that all of them share.
#[derive(Debug)]
pub struct Reader<'l> {
    files: Readable,
    listing: &'l Listing,
    path: &'l Path,
}

#[derive(Debug)]
enum Readable {
    Folder(Files<'static>),
    Card(CardIn),
}

impl<'l> Reader<'l> {
    /// A reader of the card or folder at `path`, which [`Files::list`](holdpoint_desk::slot::Files::list) listed.
    ///
    /// # Errors
    /// When it cannot be read any more.
    pub fn open(
        path: &'l Path,
        (listing, walked): (&'l Listing, Option<&dyn Walked>),
        now: WallClock,
    ) -> Result<Self> {
        let files = match walked {
            Some(walked) => Readable::Folder(walked.again()),
            None => match CardIn::insert(Box::new(Source::at(path, now)?))? {
                (_, Event::CardUnreadable(fault)) => return Err(describe(path, fault)),
                (card, _) => Readable::Card(card),
            },
        };
        Ok(Self { files, listing, path })
    }

    /// Vets one job, as [`vet`] does.
    ///
    /// # Errors
    /// That the card went.
    pub fn vet(
        &mut self,
        entry: Entry,
        setup: &Setup,
        now: WallClock,
        watch: impl FnMut(u8),
    ) -> Result<JobReport> {
        let (listing, path) = (self.listing, self.path);
        match &mut self.files {
            Readable::Folder(files) => vet(&mut Listed::new(files, listing), entry, setup, now, watch)
                .map_err(|fault| files.describe(path, fault)),
            Readable::Card(card) => card.with(|files| {
                let files = files.ok_or_else(|| describe(path, MediaError::new(MediaFault::Gone)))?;
                vet(&mut Listed::new(files, listing), entry, setup, now, watch)
                    .map_err(|fault| files.describe(path, fault))
            }),
        }
    }
}
