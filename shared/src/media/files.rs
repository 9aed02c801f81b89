//! What the rest of the core needs of a card: a listing newest first, and one open job read a buffer at a time.
//!
//! A trait, because the same core also runs on a plain folder of a desktop.

use core::cmp::Ordering;

use heapless::{String, Vec};

use crate::limits::{FOLDER_BYTES, NAME_BYTES, PAGE_ENTRIES};
use crate::media::MediaError;
use crate::time::WallClock;

/// Where a job lies, for opening it again: opaque to everyone but the implementation that gave it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct EntryPlace {
    /// The way to the folder.
    pub folder: u64,
    /// The entry within it.
    pub entry: u64,
}

/// One job of the listing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Entry {
    /// Long name in UTF-8, cut to [`NAME_BYTES`] at a character.
    pub name: String<NAME_BYTES>,
    /// Whether the name was cut.
    pub name_cut: bool,
    /// The 8.3 name as many machines show it, such as `BRACKE~2.GCO`; empty where the volume has none.
    pub short_name: String<12>,
    /// The folder's path without leading or closing slash, empty for the root.
    pub folder: String<FOLDER_BYTES>,
    /// Bytes of the file.
    pub size_bytes: u64,
    /// Local time of the last change, to two seconds; `None` where the card has none or an impossible one.
    pub saved: Option<WallClock>,
    /// Where it lies.
    pub place: EntryPlace,
}

impl Entry {
    /// The key that orders the listing.
    #[must_use]
    pub fn key(&self) -> SortKey {
        SortKey { saved: self.saved, name: self.name.clone(), place: self.place }
    }

    /// What orders the listing, lent.
    pub(super) fn order_parts(&self) -> OrderParts<'_> {
        (self.saved, self.name.as_str(), self.place)
    }
}

/// What orders the listing: time, name and place.
pub(super) type OrderParts<'a> = (Option<WallClock>, &'a str, EntryPlace);

/// The order of the listing.
pub(super) fn order(left: OrderParts<'_>, right: OrderParts<'_>) -> Ordering {
    // `None < Some`, and the newest comes first.
    right.0.cmp(&left.0).then_with(|| left.1.cmp(right.1)).then_with(|| left.2.cmp(&right.2))
}

/// The order of the listing: newest first; without a time last; ties by name, then by place.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct SortKey {
    /// Local time of the last change.
    pub saved: Option<WallClock>,
    /// Name as kept.
    pub name: String<NAME_BYTES>,
    /// Breaks the last ties.
    pub place: EntryPlace,
}

impl Ord for SortKey {
    fn cmp(&self, other: &Self) -> Ordering {
        order((self.saved, self.name.as_str(), self.place), (other.saved, other.name.as_str(), other.place))
    }
}

impl PartialOrd for SortKey {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// What stands on the card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Census {
    /// Jobs, in all folders.
    pub jobs: u16,
    /// Files that are models, to be sliced first (stl, 3mf, obj, step, stp, amf, ply).
    pub models: u16,
    /// All other files, our own records left out.
    pub others: u16,
    /// Folders entered.
    pub folders: u16,
    /// Folders too deep to be entered; on a desktop the jobs in them.
    pub too_deep: u16,
    /// Folders that cannot be read, or do not begin as a folder must; on a desktop other entries that cannot be read too.
    pub unreadable: u16,
    /// Folders within themselves: what leads back to a folder above it.
    pub circular: u16,
    /// Jobs that are hidden, or lie in a hidden folder.
    pub hidden: u16,
    /// Whether the volume says that it was not cleanly taken out.
    pub dirty: bool,
    /// Save time of the newest job; `None` = no job has one.
    pub newest: Option<WallClock>,
}

impl Census {
    /// What was found and is not listed: each may be, or hold, a job that nobody vetted.
    #[must_use]
    pub const fn left_out(&self) -> u16 {
        let folders = self.too_deep.saturating_add(self.unreadable).saturating_add(self.circular);
        folders.saturating_add(self.hidden)
    }
}

/// A page of the listing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Page {
    /// Entries in the listing's order.
    pub entries: Vec<Entry, PAGE_ENTRIES>,
    /// How many jobs stand before the first of these.
    pub before: u16,
    /// What stands on the whole card.
    pub census: Census,
    /// The first of what was [left out](Census::left_out), by its path.
    pub first_left_out: String<FOLDER_BYTES>,
}

/// Jobs whose names are to be told apart from one job's.
#[derive(Clone, Debug)]
pub struct Alike {
    /// The job's folder: only its own neighbours count.
    pub folder: String<FOLDER_BYTES>,
    /// The job's name.
    pub name: String<NAME_BYTES>,
    /// The job itself, which is left out.
    pub place: EntryPlace,
    /// Characters that a machine's list shows.
    pub shown: u8,
    /// Whether another name, the job's and what is shown of both make them worth a look.
    pub is_alike: fn(&str, &str, u8) -> bool,
}

impl Alike {
    /// Whether this is one of them.
    #[must_use]
    pub fn is_one(&self, entry: &Entry) -> bool {
        entry.place != self.place
            && entry.folder == self.folder
            && (self.is_alike)(&entry.name, &self.name, self.shown)
    }
}

/// Which part of the listing a page holds.
#[derive(Clone, Debug)]
pub enum PageFrom {
    /// The newest of those that are alike, the others left out.
    Alike(Alike),
    /// The newest.
    Newest,
    /// Those that follow this key.
    After(SortKey),
    /// Those that come just before this key.
    Before(SortKey),
}

/// A card (or a folder) of jobs.
///
/// One job or record is open at a time. All calls are bounded: at most one buffer or a few directory blocks
/// are read, and [`nb::Error::WouldBlock`] asks for another call.
pub trait JobFiles {
    /// Begins a listing; an unfinished one is dropped.
    fn start_listing(&mut self, from: PageFrom);

    /// Goes on with the listing that was begun.
    ///
    /// # Errors
    /// `WouldBlock` until the whole card was walked, with `page` left as it was; then the page. A card fault ends
    /// the listing. `NotFound` when none was begun.
    fn poll_listing(&mut self, page: &mut Page) -> nb::Result<(), MediaError>;

    /// Opens a job for reading, at its first byte; one that was open is closed.
    ///
    /// # Errors
    /// `NotFound` when the place holds no such file any more; card faults.
    fn open(&mut self, place: EntryPlace) -> Result<u64, MediaError>;

    /// Opens `HOLDPT/name` for reading (a record such as `SPOOL.JSN`), at its first byte. Gives its size.
    ///
    /// # Errors
    /// `NotFound` when there is none; card faults.
    fn open_record(&mut self, name: &str) -> Result<u64, MediaError>;

    /// Sets the next byte to be read of the open file; beyond the end counts as the end.
    ///
    /// # Errors
    /// `NotFound` when nothing is open; card faults.
    fn seek(&mut self, offset: u64) -> Result<(), MediaError>;

    /// Reads the next bytes of the open file, at most one buffer, often less. `Ok(0)` is the end of the file.
    ///
    /// After an error the buffer holds nothing to be used, and the file is closed.
    ///
    /// # Errors
    /// `WouldBlock` when the device wants another call first; card faults.
    fn poll_read(&mut self, buffer: &mut [u8]) -> nb::Result<usize, MediaError>;

    /// Appends whole rows to `HOLDPT/name`, making folder and file where they lack; `header` is written first
    /// into a new file. A last line that was cut short is closed by a line end first, so that the rows stay whole.
    ///
    /// # Errors
    /// `ReadOnly` (write-protected), `OnlyRead` (exFAT), `Full`, `WriteFailed` and other card faults; what stood in the
    /// file before is never lost.
    fn append_record(&mut self, name: &str, header: &[u8], rows: &[u8]) -> Result<(), MediaError>;
}
