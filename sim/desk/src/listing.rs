//! All jobs of a card or folder at once, where a device has room for a page of them: what it asks for later is answered
//! from here, so that vetting a thousand jobs does not walk the card a thousand times.

use std::collections::HashMap;
use std::sync::OnceLock;

use holdpoint_shared::checks::stem;
use holdpoint_shared::limits::{FOLDER_BYTES, PAGE_ENTRIES};
use holdpoint_shared::media::{
    Alike, Census, Entry, EntryPlace, JobFiles, MediaError, MediaFault, Page, PageFrom, SortKey,
};

/// A listing, newest job first.
#[derive(Clone, Debug, Default)]
pub struct Listing {
    /// The jobs in the listing's order.
    pub entries: Vec<Entry>,
    /// What stands on the whole card.
    pub census: Census,
    /// The first of what was left out, by its path.
    pub first_left_out: heapless::String<FOLDER_BYTES>,
    /// Jobs whose names may be alike. It is for one length of shown names: that of the one machine.
    alike: OnceLock<(u8, NamesAlike)>,
}

/// Places of jobs in the listing, by folder and by what names that are alike have in common.
type NamesAlike = HashMap<(heapless::String<FOLDER_BYTES>, Common), Vec<usize>>;

/// What two names that the core takes for alike have in common: one of these.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
enum Common {
    /// They are versions of one work.
    Stem(String),
    /// They look the same on a machine's list.
    Shown(String),
}

impl Listing {
    /// Lists all jobs, a page after the other.
    ///
    /// # Errors
    /// The card's fault that ended the listing.
    pub fn of(files: &mut impl JobFiles) -> Result<Self, MediaError> {
        let mut listing = Self::default();
        loop {
            let last = listing.entries.last().map(Entry::key);
            files.start_listing(last.clone().map_or(PageFrom::Newest, PageFrom::After));
            let mut page = Page::default();
            nb::block!(files.poll_listing(&mut page))?;
            if last.is_none() {
                (listing.census, listing.first_left_out) = (page.census, page.first_left_out);
            }
            // A page that brings nothing new ends the walk, whatever the census says: a card cannot make it endless.
            let fresh = |key: &SortKey| last.as_ref().is_none_or(|last| key > last);
            let before = listing.entries.len();
            listing.entries.extend(page.entries.into_iter().filter(|entry| fresh(&entry.key())));
            if listing.entries.len() == before {
                return Ok(listing);
            }
        }
    }

    /// A listing of these jobs, in any order.
    #[must_use]
    pub fn new(
        mut entries: Vec<Entry>,
        census: Census,
        first_left_out: heapless::String<FOLDER_BYTES>,
    ) -> Self {
        entries.sort_by_cached_key(Entry::key);
        let newest = entries.first().and_then(|entry| entry.saved);
        let census = Census { newest, ..census };
        Self { entries, census, first_left_out, alike: OnceLock::new() }
    }

    /// The page that is asked for.
    pub fn page(&self, from: &PageFrom, page: &mut Page) {
        let after = |key: &SortKey| self.entries.partition_point(|entry| entry.key() <= *key);
        let (before, found): (usize, Vec<&Entry>) = match from {
            PageFrom::Newest => (0, self.entries.iter().take(PAGE_ENTRIES).collect()),
            PageFrom::After(key) => {
                (after(key), self.entries.iter().skip(after(key)).take(PAGE_ENTRIES).collect())
            }
            PageFrom::Before(key) => {
                let end = self.entries.partition_point(|entry| entry.key() < *key);
                let begin = end.saturating_sub(PAGE_ENTRIES);
                (begin, self.entries.iter().take(end).skip(begin).collect())
            }
            PageFrom::Alike(alike) => (0, self.alike(alike)),
        };
        page.before = u16::try_from(before).unwrap_or(u16::MAX);
        page.entries = found.into_iter().cloned().collect();
        page.census = self.census;
        page.first_left_out.clone_from(&self.first_left_out);
    }

    fn alike(&self, alike: &Alike) -> Vec<&Entry> {
        let (shown, names) = self.alike.get_or_init(|| (alike.shown, self.names_alike(alike.shown)));
        let mut places: Vec<usize> = if *shown == alike.shown {
            let keys = common(&alike.name, alike.shown).map(|common| (alike.folder.clone(), common));
            keys.iter().filter_map(|key| names.get(key)).flatten().copied().collect()
        } else {
            (0..self.entries.len()).collect()
        };
        places.sort_unstable();
        places.dedup();
        let found = places.into_iter().filter_map(|place| self.entries.get(place));
        found.filter(|entry| alike.is_one(entry)).take(PAGE_ENTRIES).collect()
    }

    fn names_alike(&self, shown: u8) -> NamesAlike {
        let mut names = NamesAlike::new();
        for (place, entry) in self.entries.iter().enumerate() {
            for common in common(&entry.name, shown) {
                names.entry((entry.folder.clone(), common)).or_default().push(place);
            }
        }
        names
    }
}

/// Files of which all jobs are known: what is asked of their listing is answered from there.
#[derive(Debug)]
pub struct Listed<'l, F> {
    files: &'l mut F,
    listing: &'l Listing,
    from: Option<PageFrom>,
}

impl<'l, F: JobFiles> Listed<'l, F> {
    /// These files with this listing.
    pub const fn new(files: &'l mut F, listing: &'l Listing) -> Self {
        Self { files, listing, from: None }
    }
}

impl<F: JobFiles> JobFiles for Listed<'_, F> {
    fn start_listing(&mut self, from: PageFrom) {
        self.from = Some(from);
    }

    fn poll_listing(&mut self, page: &mut Page) -> nb::Result<(), MediaError> {
        let from = self.from.take().ok_or(MediaError::new(MediaFault::NotFound))?;
        self.listing.page(&from, page);
        Ok(())
    }

    fn open(&mut self, place: EntryPlace) -> Result<u64, MediaError> {
        self.files.open(place)
    }

    fn open_record(&mut self, name: &str) -> Result<u64, MediaError> {
        self.files.open_record(name)
    }

    fn seek(&mut self, offset: u64) -> Result<(), MediaError> {
        self.files.seek(offset)
    }

    fn poll_read(&mut self, buffer: &mut [u8]) -> nb::Result<usize, MediaError> {
        self.files.poll_read(buffer)
    }

    fn append_record(&mut self, name: &str, header: &[u8], rows: &[u8]) -> Result<(), MediaError> {
        self.files.append_record(name, header, rows)
    }
}

/// The core's two ways of being alike, as keys: the same stem, or the same beginning on a list that shows so many characters.
fn common(name: &str, shown: u8) -> [Common; 2] {
    let beginning: String = name.chars().take(shown.into()).collect();
    [Common::Stem(stem(name).to_ascii_lowercase()), Common::Shown(beginning.to_ascii_lowercase())]
}

#[cfg(test)]
mod tests {
    use chrono::{NaiveDate, NaiveDateTime};
    use holdpoint_shared::checks::looks_alike;
    use holdpoint_shared::media::{PageBuilder, cut_name, cut_path};

    use super::*;

    fn saved(minute: u32) -> NaiveDateTime {
        NaiveDate::from_ymd_opt(2026, 11, 25).unwrap().and_hms_opt(10, minute, 0).unwrap()
    }

    fn entries() -> Vec<Entry> {
        let names = [
            "CLIP.gcode",
            "clip_v2.gcode",
            "Clip (3).gco",
            "clap.gcode",
            "a very long name of a part 1.gcode",
        ];
        let more = ["a very long name of a part 2.gcode", "_v1.gcode", ".gcode", "ß.gcode", "ẞ.gcode"];
        let named = |(at, name): (usize, &&str)| {
            ["", "inner"].map(|folder| Entry {
                name: cut_name(name.chars()).0,
                folder: cut_path(folder),
                saved: (at % 3 > 0).then(|| saved(u32::try_from(at % 4).unwrap())),
                place: EntryPlace { folder: folder.len() as u64, entry: at as u64 },
                ..Entry::default()
            })
        };
        // Some twice, so that more than a page is alike.
        names
            .iter()
            .chain(&more)
            .chain(&names)
            .chain(&names)
            .chain(&names)
            .enumerate()
            .flat_map(named)
            .collect()
    }

    /// The core's own way to a page: every job is offered.
    fn offered(entries: &[Entry], from: &PageFrom) -> Page {
        let mut builder = PageBuilder::new(from.clone());
        entries.iter().for_each(|entry| builder.offer(entry.clone()));
        let mut page = Page::default();
        builder.finish(Census::default(), &mut page);
        page
    }

    #[test]
    fn every_page_is_the_one_that_the_core_would_pick() {
        let entries = entries();
        let listing = Listing::new(entries.clone(), Census::default(), heapless::String::new());
        let is_alike = |other: &str, name: &str, shown: u8| {
            stem(other).eq_ignore_ascii_case(stem(name)) || looks_alike(other, name, shown.into())
        };
        let mut froms = vec![PageFrom::Newest];
        for entry in &entries {
            froms.extend([PageFrom::After(entry.key()), PageFrom::Before(entry.key())]);
            // The second length of shown names is not the one that the index was made for.
            for shown in [20, 4] {
                let (folder, name, place) = (entry.folder.clone(), entry.name.clone(), entry.place);
                froms.push(PageFrom::Alike(Alike { folder, name, place, shown, is_alike }));
            }
        }
        for from in froms {
            let (mut page, wanted) = (Page::default(), offered(&entries, &from));
            listing.page(&from, &mut page);
            assert_eq!((&page.entries, page.before), (&wanted.entries, wanted.before), "{from:?}");
        }
    }
}
