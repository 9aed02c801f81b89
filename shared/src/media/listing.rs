//! The card's jobs newest first, over all folders, in constant memory.
//!
//! The whole card is walked for every page, and only the page's entries are kept: hundreds of files cost no more
//! memory than eight. One call looks at a bounded number of entries.

use core::cmp::Ordering;
use core::ops::ControlFlow;

use heapless::{String, Vec};

use crate::limits::{FOLDER_BYTES, FOLDER_DEPTH, NAME_BYTES, PAGE_ENTRIES};
use crate::media::block::media_error;
use crate::media::driver::{Driver, Folder, Item};
use crate::media::files::order;
use crate::media::names::{LONGEST_NAME, same_name, short_name, utf16};
use crate::media::place::Way;
use crate::media::{
    BlockDevice, Census, Entry, FileKind, MediaError, MediaFault, Page, PageFrom, RECORDS_FOLDER, SortKey,
    cut_name, cut_path, file_kind,
};
use crate::time::WallClock;

/// Entries looked at in one call: about eight blocks of a folder with long names.
const ENTRIES_A_POLL: u16 = 32;

/// Files and folders walked at most. The counts of a [`Census`] hold as many; a card with more, or one whose
/// folders lead round in circles, is refused.
const ENTRIES: u16 = u16::MAX;

/// Folders entered at most, for the same reason: entering one costs a search for its name.
const FOLDERS: u16 = 1_024;

/// From so many on hidden ones are left out: what a system keeps in them never costs the card.
const FOLDERS_WITH_HIDDEN: u16 = FOLDERS / 2;

/// Bytes of the path kept while walking: every folder's name as it is kept, and a slash.
const PATH_BYTES: usize = FOLDER_DEPTH * (NAME_BYTES + 1);

/// Picks the entries of one page out of all jobs, offered in any order.
#[derive(Clone, Debug)]
pub struct PageBuilder {
    from: PageFrom,
    entries: Vec<Entry, PAGE_ENTRIES>,
    before: u16,
    /// Save time of the newest job that was offered, on this page or not.
    newest: Option<WallClock>,
}

impl PageBuilder {
    /// An empty page of this part of the listing.
    #[must_use]
    pub const fn new(from: PageFrom) -> Self {
        Self { from, entries: Vec::new(), before: 0, newest: None }
    }

    /// Whether a job can be on the page at all: cheaper to ask than to offer a copy.
    #[must_use]
    pub fn may_take(&self, entry: &Entry) -> bool {
        !matches!(&self.from, PageFrom::Alike(alike) if !alike.is_one(entry))
    }

    /// Offers one job.
    pub fn offer(&mut self, entry: Entry) {
        self.newest = self.newest.max(entry.saved);
        match &self.from {
            PageFrom::Newest => self.keep_first(entry),
            PageFrom::Alike(alike) => {
                if alike.is_one(&entry) {
                    self.keep_first(entry);
                }
            }
            PageFrom::After(key) => {
                if compare(&entry, key) == Ordering::Greater {
                    self.keep_first(entry);
                } else {
                    self.before = self.before.saturating_add(1);
                }
            }
            PageFrom::Before(key) => {
                if compare(&entry, key) == Ordering::Less {
                    self.before = self.before.saturating_add(1);
                    self.keep_last(entry);
                }
            }
        }
    }

    /// The finished page. Who leaves something out says on the page where the first of it is.
    pub fn finish(&mut self, census: Census, page: &mut Page) {
        let shown = u16::try_from(self.entries.len()).unwrap_or(u16::MAX);
        page.before = match self.from {
            PageFrom::Newest | PageFrom::Alike(_) => 0,
            PageFrom::After(_) => self.before,
            PageFrom::Before(_) => self.before.saturating_sub(shown),
        };
        page.entries = core::mem::take(&mut self.entries);
        page.census = Census { newest: self.newest, ..census };
        page.first_left_out.clear();
    }

    fn place_of(&self, entry: &Entry) -> usize {
        let later = |other: &Entry| order(other.order_parts(), entry.order_parts()) == Ordering::Greater;
        self.entries.iter().position(later).unwrap_or(self.entries.len())
    }

    /// Keeps the entry if it is among the first of the order.
    fn keep_first(&mut self, entry: Entry) {
        let at = self.place_of(&entry);
        if at >= PAGE_ENTRIES {
            return;
        }
        if self.entries.is_full() {
            self.entries.pop();
        }
        let inserted = self.entries.insert(at, entry).is_ok();
        debug_assert!(inserted, "room was made, and the place is within the entries");
    }

    /// Keeps the entry if it is among the last of the order.
    fn keep_last(&mut self, entry: Entry) {
        let mut at = self.place_of(&entry);
        if self.entries.is_full() {
            if at == 0 {
                return;
            }
            self.entries.remove(0);
            at = at.saturating_sub(1);
        }
        let inserted = self.entries.insert(at, entry).is_ok();
        debug_assert!(inserted, "room was made, and the place is within the entries");
    }
}

fn compare(entry: &Entry, key: &SortKey) -> Ordering {
    order(entry.order_parts(), (key.saved, key.name.as_str(), key.place))
}

/// A folder that is being walked.
#[derive(Clone, Copy, Debug)]
struct OpenFolder {
    folder: Folder,
    way: Way,
    cursor: u64,
    path_bytes: usize,
    /// Whether it, or a folder above it, is hidden: its jobs are counted and not listed.
    hidden: bool,
}

/// One walk over the card, a few entries a call.
#[derive(Clone, Debug)]
pub(super) struct Listing {
    builder: PageBuilder,
    census: Census,
    // The root, and as many folders below as are entered.
    levels: Vec<OpenFolder, { FOLDER_DEPTH + 1 }>,
    path: String<PATH_BYTES>,
    first_left_out: String<FOLDER_BYTES>,
    walked: u16,
    /// Folders entered, hidden ones too.
    entered: u16,
    begun: bool,
}

/// A folder found on the way, to be entered next.
struct FoundFolder {
    name: String<LONGEST_NAME>,
    way: Way,
    hidden: bool,
}

/// What is left out of a listing.
#[derive(Clone, Copy)]
enum LeftOut {
    TooDeep,
    Unreadable,
    Circular,
    Hidden,
}

impl Listing {
    pub(super) fn new(from: PageFrom, dirty: bool) -> Self {
        Self {
            builder: PageBuilder::new(from),
            census: Census { dirty, ..Census::default() },
            levels: Vec::new(),
            path: String::new(),
            first_left_out: String::new(),
            walked: 0,
            entered: 0,
            begun: false,
        }
    }

    /// Walks a few entries further.
    pub(super) fn poll<D: BlockDevice>(
        &mut self,
        driver: &mut Driver<'_, D>,
        page: &mut Page,
    ) -> nb::Result<(), MediaError> {
        if !self.begun {
            self.begun = true;
            let (folder, way) = (driver.root(), Way::default());
            self.enter(OpenFolder { folder, way, cursor: 0, path_bytes: 0, hidden: false })?;
        }
        let Some(level) = self.levels.last().copied() else {
            self.builder.finish(self.census, page);
            page.first_left_out.clone_from(&self.first_left_out);
            return Ok(());
        };
        let mut seen = 0_u16;
        let mut cursor = level.cursor;
        let mut found = None;
        let walked = driver.list(level.folder, level.cursor, &mut |item| {
            cursor = item.next;
            seen = seen.saturating_add(1);
            found = self.take(&level, item);
            if found.is_some() || seen >= ENTRIES_A_POLL {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        });
        match walked {
            Ok(()) => {}
            Err(error) => {
                let error = damaged(media_error(&error, MediaFault::Damaged));
                if self.levels.len() < 2 || !is_folders_own(error) {
                    return Err(error.into());
                }
                // One bad folder costs that folder; the others are still listed.
                self.leave_out(LeftOut::Unreadable, None);
                self.leave();
                return Err(nb::Error::WouldBlock);
            }
        }
        self.walked = self.walked.saturating_add(seen);
        if self.walked == ENTRIES {
            return Err(MediaError::new(MediaFault::TooManyFiles).into());
        }
        if let Some(level) = self.levels.last_mut() {
            level.cursor = cursor;
        }
        match found {
            Some(found) => self.descend(driver, &level, &found)?,
            None if seen < ENTRIES_A_POLL => self.leave(),
            None => {}
        }
        Err(nb::Error::WouldBlock)
    }

    /// Counts one entry, and keeps it if it is a job of the page. Gives the folder to be entered.
    fn take(&mut self, level: &OpenFolder, item: &Item<'_, '_>) -> Option<FoundFolder> {
        let hidden = level.hidden || item.hidden || item.units.first() == Some(&u16::from(b'.'));
        if item.is_folder {
            let ours = self.levels.len() == 1 && same_name(utf16(item.units), RECORDS_FOLDER);
            if ours {
                return None;
            }
            let mut name = String::new();
            let fits = utf16(item.units).all(|character| name.push(character).is_ok());
            let way = level.way.into_folder(item.slot).filter(|_| fits);
            if way.is_none() {
                self.leave_out(if hidden { LeftOut::Hidden } else { LeftOut::TooDeep }, Some(item.units));
            }
            return way.map(|way| FoundFolder { name, way, hidden });
        }
        if hidden {
            if file_kind(utf16(item.units)) == FileKind::Job && !is_companion(item.units) {
                self.leave_out(LeftOut::Hidden, Some(item.units));
            }
            return None;
        }
        let count = match file_kind(utf16(item.units)) {
            FileKind::Job => &mut self.census.jobs,
            FileKind::Model => &mut self.census.models,
            FileKind::Other => &mut self.census.others,
        };
        *count = count.saturating_add(1);
        if file_kind(utf16(item.units)) == FileKind::Job {
            self.offer(level, item);
        }
        None
    }

    fn offer(&mut self, level: &OpenFolder, item: &Item<'_, '_>) {
        let Ok(slot) = u32::try_from(item.slot) else {
            return;
        };
        let (name, name_cut) = cut_name(utf16(item.units));
        self.builder.offer(Entry {
            name,
            name_cut,
            short_name: item.short.map(|stored| short_name(&stored)).unwrap_or_default(),
            folder: cut_path(self.path.trim_end_matches('/')),
            size_bytes: item.size,
            saved: item.saved,
            place: level.way.entry(slot),
        });
    }

    fn descend<D: BlockDevice>(
        &mut self,
        driver: &mut Driver<'_, D>,
        level: &OpenFolder,
        found: &FoundFolder,
    ) -> Result<(), MediaError> {
        if found.hidden && self.entered >= FOLDERS_WITH_HIDDEN {
            self.leave_out_folder(LeftOut::Hidden, &found.name);
            return Ok(());
        }
        let opened = driver.open_folder(level.folder, &found.name);
        let folder = match opened.map_err(|error| damaged(media_error(&error, MediaFault::Damaged))) {
            Ok(folder) => folder,
            Err(error) if is_folders_own(error) => {
                self.leave_out_folder(LeftOut::Unreadable, &found.name);
                return Ok(());
            }
            Err(error) => return Err(error),
        };
        // A folder within itself, or one whose clusters are a folder's above it: round in a circle.
        if folder == driver.root() || self.levels.iter().any(|level| level.folder == folder) {
            self.leave_out_folder(LeftOut::Circular, &found.name);
            return Ok(());
        }
        let (name, _) = cut_name(found.name.chars());
        let path_fits = self.path.push_str(&name).is_ok() && self.path.push('/').is_ok();
        debug_assert!(path_fits, "the path has room for every level's name");
        self.entered = self.entered.saturating_add(1);
        if self.entered > FOLDERS {
            return Err(MediaError::new(MediaFault::TooManyFiles));
        }
        let hidden = found.hidden;
        if !hidden {
            self.census.folders = self.census.folders.saturating_add(1);
        }
        self.enter(OpenFolder { folder, way: found.way, cursor: 0, path_bytes: level.path_bytes, hidden })
            .map(|()| self.note_path())
    }

    /// Counts what is not listed, and keeps where the first of it lies: an entry of the present folder by its name, or
    /// the folder itself.
    fn leave_out(&mut self, what: LeftOut, name: Option<&[u16]>) {
        let (name, _) = cut_name(utf16(name.unwrap_or_default()));
        self.leave_out_named(what, &name);
    }

    fn leave_out_folder(&mut self, what: LeftOut, name: &str) {
        let (name, _) = cut_name(name.chars());
        self.leave_out_named(what, &name);
    }

    fn leave_out_named(&mut self, what: LeftOut, name: &str) {
        let count = match what {
            LeftOut::TooDeep => &mut self.census.too_deep,
            LeftOut::Unreadable => &mut self.census.unreadable,
            LeftOut::Circular => &mut self.census.circular,
            LeftOut::Hidden => &mut self.census.hidden,
        };
        *count = count.saturating_add(1);
        if !self.first_left_out.is_empty() {
            return;
        }
        let before = self.path.len();
        // The name of an entry at the deepest level may not fit behind its path; then the path alone is kept.
        let _ = self.path.push_str(name);
        self.first_left_out = cut_path(self.path.trim_end_matches('/'));
        self.path.truncate(before);
    }

    fn enter(&mut self, level: OpenFolder) -> Result<(), MediaError> {
        self.levels.push(level).map_err(|_| MediaError::new(MediaFault::TooManyFiles))
    }

    /// Remembers where the newest level's path ends.
    fn note_path(&mut self) {
        let bytes = self.path.len();
        if let Some(level) = self.levels.last_mut() {
            level.path_bytes = bytes;
        }
    }

    /// Goes back to the folder above.
    fn leave(&mut self) {
        self.levels.pop();
        let bytes = self.levels.last().map_or(0, |level| level.path_bytes);
        self.path.truncate(bytes);
    }
}

/// Whether a fault is one of a folder, so that the others can still be read: not of a card that is gone, fails to read a
/// block (it may read it at the next try), or whose walk has
/// no end.
const fn is_folders_own(error: MediaError) -> bool {
    matches!(error.fault, MediaFault::Damaged | MediaFault::ChainBroken)
}

/// Whether a name is that of a companion file: one system writes `._NAME`, with marks of its own, beside each `NAME` of
/// a card (AppleDouble, RFC 1740).
fn is_companion(units: &[u16]) -> bool {
    units.starts_with(&[b'.'.into(), b'_'.into()])
}

/// A name that was just read from the card and is not found there again, or not as a folder, is damage.
fn damaged(error: MediaError) -> MediaError {
    match error.fault {
        MediaFault::NotFound | MediaFault::InTheWay => MediaError { fault: MediaFault::Damaged, ..error },
        _ => error,
    }
}

#[cfg(test)]
#[expect(clippy::arithmetic_side_effects, reason = "indices of a short list")]
mod tests {
    use std::vec::Vec as List;

    use proptest::prelude::*;

    use super::*;

    fn entry(minute: Option<u8>, name: &str, place: u64) -> Entry {
        let saved = minute.map(|minute| {
            let day = chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();
            WallClock::new(day, chrono::NaiveTime::from_hms_opt(7, u32::from(minute), 0).unwrap())
        });
        let (name, name_cut) = cut_name(name.chars());
        Entry {
            name,
            name_cut,
            short_name: String::new(),
            folder: String::new(),
            size_bytes: 1,
            saved,
            place: crate::media::EntryPlace { folder: 0, entry: place },
        }
    }

    fn page(from: PageFrom, jobs: &[Entry]) -> Page {
        let mut builder = PageBuilder::new(from);
        jobs.iter().for_each(|job| builder.offer(job.clone()));
        let mut page = Page::default();
        builder.finish(Census::default(), &mut page);
        page
    }

    proptest! {
        // Paging by rescanning must give what sorting the whole list gives: the plain sort is the reference.
        #[test]
        fn pages_are_cuts_of_the_sorted_list(
            parts in proptest::collection::vec((proptest::option::of(0_u8..4), "[ab]{1,2}"), 0..40),
            from in 0_usize..40,
        ) {
            let jobs: List<Entry> =
                parts.iter().enumerate().map(|(at, (minute, name))| entry(*minute, name, at as u64)).collect();
            let mut sorted = jobs.clone();
            sorted.sort_by_key(Entry::key);
            let first = page(PageFrom::Newest, &jobs);
            prop_assert_eq!(&first.entries[..], &sorted[..sorted.len().min(PAGE_ENTRIES)]);
            if let Some(at) = sorted.get(from) {
                let after = page(PageFrom::After(at.key()), &jobs);
                let end = sorted.len().min(from + 1 + PAGE_ENTRIES);
                prop_assert_eq!(&after.entries[..], &sorted[from + 1..end]);
                prop_assert_eq!(usize::from(after.before), from + 1);
                let before = page(PageFrom::Before(at.key()), &jobs);
                let start = from.saturating_sub(PAGE_ENTRIES);
                prop_assert_eq!(&before.entries[..], &sorted[start..from]);
                prop_assert_eq!(usize::from(before.before), start);
            }
        }
    }
}
