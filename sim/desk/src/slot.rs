//! The slot of a device, and the cards that go into it.

use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use anyhow::Result;
use holdpoint_shared::app::Event;
use holdpoint_shared::media::{
    BlockDevice, EntryPlace, JobFiles, MediaError, MediaFault, MountToken, Page, PageFrom, Volume,
};
use self_cell::{MutBorrow, self_cell};

use crate::listing::Listing;
use crate::memory_card::MemoryCard;
use crate::shown::Shown;

/// A card that is put in again and again: an image in memory, or what a desktop has in its place.
pub trait Card: fmt::Debug {
    /// Opens it, and hands on what is wrong with the card itself as the device's slot would.
    ///
    /// # Errors
    /// When there is nothing to be opened; within, the card's fault.
    fn mount(&mut self) -> Result<Result<Files<'_>, MediaError>>;

    /// Where its records are looked for, for messages.
    fn records_at(&self) -> PathBuf;

    /// The card in memory, where it is one.
    fn memory_card(&self) -> Option<&MemoryCard> {
        None
    }
}

/// A card in memory with a name for messages.
#[derive(Debug)]
pub struct NamedCard {
    name: PathBuf,
    card: MemoryCard,
    token: MountToken,
}

impl NamedCard {
    /// This card, of this name.
    #[must_use]
    pub fn new(name: &str, card: MemoryCard) -> Self {
        Self { name: PathBuf::from(name), card, token: MountToken::new() }
    }
}

impl Card for NamedCard {
    fn mount(&mut self) -> Result<Result<Files<'_>, MediaError>> {
        Ok(Volume::mount(self.card.clone(), &mut self.token).map(Files::new))
    }

    fn records_at(&self) -> PathBuf {
        self.name.clone()
    }

    fn memory_card(&self) -> Option<&MemoryCard> {
        Some(&self.card)
    }
}

/// Jobs that can say more of their last fault than a card's slot can.
pub trait Opened: JobFiles {
    /// What the operating system said, with the file's name.
    fn problem(&self) -> Option<&str> {
        None
    }

    /// Of a folder, of which one walk gives all jobs at once: what the walk found.
    ///
    /// # Errors
    /// The fault that ended the walk.
    fn walk(&mut self) -> Result<Option<Arc<dyn Walked>>, MediaError> {
        Ok(None)
    }
}

impl<D: BlockDevice> Opened for Volume<'_, D> {}

/// A folder that was walked, for others that read the same jobs without walking it again.
pub trait Walked: fmt::Debug + Send + Sync {
    /// All its jobs.
    fn listing(&self) -> Arc<Listing>;

    /// The same folder, opened as it was walked.
    fn again(&self) -> Files<'static>;
}

/// All jobs, and of a folder how to open it again as it was walked.
pub type AllJobs = (Arc<Listing>, Option<Arc<dyn Walked>>);

/// The jobs of an opened [`Card`].
pub struct Files<'s>(Box<dyn Opened + 's>);

impl<'s> Files<'s> {
    /// These jobs.
    pub fn new(opened: impl Opened + 's) -> Self {
        Self(Box::new(opened))
    }

    /// All jobs, newest first, and of a folder what others need to read it without walking it again.
    ///
    /// # Errors
    /// The card's fault that ended the listing.
    pub fn list(&mut self) -> Result<AllJobs, MediaError> {
        match self.0.walk()? {
            Some(walked) => Ok((walked.listing(), Some(walked))),
            None => Ok((Arc::new(Listing::of(self)?), None)),
        }
    }

    /// A fault of these jobs, which were opened from `path`, with its place and its remedy.
    #[must_use]
    pub fn describe(&self, path: &Path, fault: MediaError) -> anyhow::Error {
        match self.0.problem() {
            Some(problem) => anyhow::anyhow!("{problem}; may you read it? set its rights or leave it out"),
            None => describe(path, fault),
        }
    }
}

/// A fault of the card at `path`, with its remedy.
#[must_use]
pub fn describe(path: &Path, fault: MediaError) -> anyhow::Error {
    anyhow::anyhow!("{}: {fault}; {}", path.shown(), remedy(fault.fault))
}

/// What to do about it at a desk; the device's own screens have their words in the core.
const fn remedy(fault: MediaFault) -> &'static str {
    match fault {
        MediaFault::NoCard => "is the file empty? copy the image again",
        MediaFault::Blank => "make the image again once something is on the card",
        MediaFault::Foreign => "name a card image, a folder or a job file; a card wants FAT32 or exFAT",
        MediaFault::Truncated => "copy the whole card into the image again",
        MediaFault::Full | MediaFault::Unchecked => "delete what is not needed",
        MediaFault::ReadOnly => "move its switch, or write to a copy",
        MediaFault::OnlyRead => "write to a copy on FAT32",
        MediaFault::Gone | MediaFault::ReadFailed | MediaFault::WriteFailed => {
            "try again, then try another card"
        }
        MediaFault::NotFound => "was it moved meanwhile? try again",
        _ => "have a computer check the card, then copy the jobs onto it again",
    }
}

impl fmt::Debug for Files<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Files").finish_non_exhaustive()
    }
}

impl JobFiles for Files<'_> {
    fn start_listing(&mut self, from: PageFrom) {
        self.0.start_listing(from);
    }

    fn poll_listing(&mut self, page: &mut Page) -> nb::Result<(), MediaError> {
        self.0.poll_listing(page)
    }

    fn open(&mut self, place: EntryPlace) -> Result<u64, MediaError> {
        self.0.open(place)
    }

    fn open_record(&mut self, name: &str) -> Result<u64, MediaError> {
        self.0.open_record(name)
    }

    fn seek(&mut self, offset: u64) -> Result<(), MediaError> {
        self.0.seek(offset)
    }

    fn poll_read(&mut self, buffer: &mut [u8]) -> nb::Result<usize, MediaError> {
        self.0.poll_read(buffer)
    }

    fn append_record(&mut self, name: &str, header: &[u8], rows: &[u8]) -> Result<(), MediaError> {
        self.0.append_record(name, header, rows)
    }
}

/// The files of the card, or what is wrong with it.
type Mounted<'s> = Result<Files<'s>, MediaError>;

self_cell!(
    struct Inserted {
        owner: MutBorrow<Box<dyn Card>>,
        #[not_covariant]
        dependent: Mounted,
    }
);

/// A card that is in.
pub struct CardIn(Inserted);

impl fmt::Debug for CardIn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("CardIn").finish_non_exhaustive()
    }
}

impl CardIn {
    /// Puts a card in; returns the device's event.
    ///
    /// # Errors
    /// When there is nothing to be opened.
    pub fn insert(card: Box<dyn Card>) -> Result<(Self, Event)> {
        if let Some(card) = card.memory_card() {
            card.set_present(true);
        }
        let mut inserted = Inserted::try_new(MutBorrow::new(card), |card| card.borrow_mut().mount())?;
        let event = inserted.with_dependent_mut(|_, mounted| match mounted {
            Ok(_) => Event::CardInserted,
            Err(fault) => Event::CardUnreadable(*fault),
        });
        Ok((Self(inserted), event))
    }

    /// Lends the card's files; `None` where they cannot be read.
    pub fn with<R>(&mut self, lend: impl FnOnce(Option<&mut Files<'_>>) -> R) -> R {
        self.0.with_dependent_mut(|_, mounted| lend(mounted.as_mut().ok()))
    }

    /// Takes the card out.
    #[must_use]
    pub fn remove(self) -> Box<dyn Card> {
        let card = self.0.into_owner().into_inner();
        if let Some(card) = card.memory_card() {
            card.set_present(false);
        }
        card
    }
}
