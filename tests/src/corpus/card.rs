//! A card's files in memory.

use chrono::{NaiveDateTime, TimeDelta};
use holdpoint_shared::media::{
    Census, Entry, EntryPlace, JobFiles, MediaError, MediaFault, Page, PageBuilder, PageFrom,
};

/// Files in memory in the place of a card.
#[derive(Debug)]
pub struct Card {
    files: Vec<(Entry, Vec<u8>)>,
    from: PageFrom,
    open: Option<(usize, usize)>,
    faults: CardFaults,
    /// How often the byte that a worn card changes was read.
    worn_reads: u32,
}

/// What is wrong with a card.
#[derive(Clone, Copy, Debug, Default)]
pub struct CardFaults {
    /// One byte reads otherwise from the second time on.
    pub worn: bool,
    /// Its mark says that it was pulled out while it was written.
    pub dirty: bool,
}

/// The byte of a job that a worn card changes.
const WORN_BYTE: usize = 700;

impl Card {
    /// Files by name, bytes and the minutes before `now` at which they were saved.
    #[must_use]
    pub fn new(files: &[(String, Vec<u8>, i64)], now: NaiveDateTime, faults: CardFaults) -> Self {
        let entry = |at: usize, name: &str, bytes: &[u8], minutes: i64| Entry {
            name: name.try_into().unwrap_or_default(),
            name_cut: false,
            short_name: heapless::String::new(),
            folder: heapless::String::new(),
            size_bytes: bytes.len() as u64,
            saved: Some(now - TimeDelta::minutes(minutes)),
            place: EntryPlace { folder: 0, entry: at as u64 },
        };
        let files = files.iter().enumerate();
        let files = files.map(|(at, (name, bytes, ago))| (entry(at, name, bytes, *ago), bytes.clone()));
        Self { files: files.collect(), from: PageFrom::Newest, open: None, faults, worn_reads: 0 }
    }

    /// The entry of a file by its number.
    ///
    /// # Panics
    /// When there is no such file.
    #[must_use]
    pub fn entry(&self, at: usize) -> Entry {
        self.files[at].0.clone()
    }
}

const NOT_FOUND: MediaError = MediaError::new(MediaFault::NotFound);

impl JobFiles for Card {
    fn start_listing(&mut self, from: PageFrom) {
        self.from = from;
    }

    fn poll_listing(&mut self, page: &mut Page) -> nb::Result<(), MediaError> {
        let mut builder = PageBuilder::new(self.from.clone());
        for (entry, _) in &self.files {
            builder.offer(entry.clone());
        }
        let jobs = u16::try_from(self.files.len()).unwrap_or(u16::MAX);
        builder.finish(Census { jobs, dirty: self.faults.dirty, ..Census::default() }, page);
        Ok(())
    }

    fn open(&mut self, place: EntryPlace) -> Result<u64, MediaError> {
        let at = self.files.iter().position(|(entry, _)| entry.place == place).ok_or(NOT_FOUND)?;
        self.open = Some((at, 0));
        Ok(self.files[at].1.len() as u64)
    }

    fn open_record(&mut self, _: &str) -> Result<u64, MediaError> {
        Err(NOT_FOUND)
    }

    fn seek(&mut self, offset: u64) -> Result<(), MediaError> {
        let (_, at) = self.open.as_mut().ok_or(NOT_FOUND)?;
        *at = usize::try_from(offset).unwrap_or(usize::MAX);
        Ok(())
    }

    fn poll_read(&mut self, buffer: &mut [u8]) -> nb::Result<usize, MediaError> {
        let (file, at) = self.open.as_mut().ok_or(NOT_FOUND)?;
        let rest = self.files[*file].1.get(*at..).unwrap_or_default();
        // An odd number of bytes, so that lines are cut anywhere.
        let count = rest.len().min(buffer.len()).min(1021);
        buffer[..count].copy_from_slice(&rest[..count]);
        if let Some(byte) = WORN_BYTE.checked_sub(*at).and_then(|place| buffer[..count].get_mut(place)) {
            self.worn_reads += 1;
            // A digit into another.
            *byte ^= u8::from(self.faults.worn && self.worn_reads > 1);
        }
        *at += count;
        Ok(count)
    }

    fn append_record(&mut self, _: &str, _: &[u8], _: &[u8]) -> Result<(), MediaError> {
        Err(MediaError::new(MediaFault::ReadOnly))
    }
}
