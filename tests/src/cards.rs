//! Ways to use a card as the core does, with every loop counted: a test that would hang fails instead.

use std::cell::Cell;
use std::collections::BTreeMap;

use holdpoint_desk::image::Image;
use holdpoint_shared::media::{
    BlockDevice, BlockErrorKind, BlockIndex, Census, Entry, EntryPlace, JobFiles, MediaError, MountToken,
    Page, PageFrom, Volume,
};

/// Mounts an image in memory and uses it.
///
/// # Panics
/// When it does not mount.
pub fn in_memory<T>(image: Vec<u8>, use_it: impl FnOnce(&mut Volume<'_, Image>) -> T) -> T {
    let mut token = MountToken::new();
    let mut volume = Volume::mount(Image::from_bytes(image), &mut token).expect("the card mounts");
    use_it(&mut volume)
}

/// Calls after which a walk or a reading is taken for endless.
const CALLS: usize = 100_000;

/// One page of the listing.
///
/// # Errors
/// What the card said.
///
/// # Panics
/// When it takes too many calls.
pub fn page(files: &mut impl JobFiles, from: PageFrom) -> Result<Page, MediaError> {
    let mut page = Page::default();
    files.start_listing(from);
    for _ in 0..CALLS {
        match files.poll_listing(&mut page) {
            Ok(()) => return Ok(page),
            Err(nb::Error::WouldBlock) => {}
            Err(nb::Error::Other(error)) => return Err(error),
        }
    }
    panic!("a listing takes more than {CALLS} calls");
}

/// All jobs, page after page from the newest on.
///
/// # Errors
/// What the card said.
pub fn all_jobs(files: &mut impl JobFiles) -> Result<(Vec<Entry>, Census), MediaError> {
    let mut jobs = Vec::new();
    let mut next = page(files, PageFrom::Newest)?;
    loop {
        assert_eq!(usize::from(next.before), jobs.len(), "the page's place in the listing");
        let Some(last) = next.entries.last() else {
            return Ok((jobs, next.census));
        };
        let key = last.key();
        jobs.extend(next.entries.iter().cloned());
        next = page(files, PageFrom::After(key))?;
    }
}

/// Some bytes of a job from `offset` on, through a buffer of this size.
///
/// # Errors
/// What the card said.
///
/// # Panics
/// When it takes too many calls.
pub fn read_part(
    files: &mut impl JobFiles,
    offset: u64,
    most: usize,
    buffer: usize,
) -> Result<Vec<u8>, MediaError> {
    files.seek(offset)?;
    let mut bytes = Vec::new();
    let mut buffer = vec![0; buffer];
    for _ in 0..CALLS {
        match files.poll_read(&mut buffer) {
            Ok(0) => return Ok(bytes),
            Ok(read) => bytes.extend_from_slice(&buffer[..read]),
            Err(nb::Error::WouldBlock) => {}
            Err(nb::Error::Other(error)) => return Err(error),
        }
        if bytes.len() >= most {
            return Ok(bytes);
        }
    }
    panic!("a reading takes more than {CALLS} calls");
}

/// All bytes of a job.
///
/// # Errors
/// What the card said.
pub fn read_job(files: &mut impl JobFiles, place: EntryPlace, buffer: usize) -> Result<Vec<u8>, MediaError> {
    files.open(place)?;
    read_part(files, 0, usize::MAX, buffer)
}

/// A record of the card's own folder.
///
/// # Errors
/// What the card said.
pub fn read_record(files: &mut impl JobFiles, name: &str) -> Result<Vec<u8>, MediaError> {
    files.open_record(name)?;
    read_part(files, 0, usize::MAX, 512)
}

/// What a device does with a card: mounts it, lists all jobs, and reads the head and the tail of each.
///
/// # Errors
/// What the card said.
pub fn session(device: impl BlockDevice) -> Result<Vec<(String, Vec<u8>)>, MediaError> {
    let mut token = MountToken::new();
    let mut volume = Volume::mount(device, &mut token)?;
    let (jobs, _) = all_jobs(&mut volume)?;
    let mut read = Vec::new();
    for job in jobs {
        let size = volume.open(job.place)?;
        let mut bytes = read_part(&mut volume, 0, 16 * 1024, 2_048)?;
        let tail = size.saturating_sub(16 * 1024).max(bytes.len() as u64);
        bytes.extend(read_part(&mut volume, tail, 16 * 1024, 2_048)?);
        read.push((job.name.as_str().to_owned(), bytes));
    }
    Ok(read)
}

/// An image with some bytes changed, and zeros behind its end: thousands of them share one image.
#[derive(Debug)]
pub struct Changed<'a> {
    base: &'a [u8],
    blocks: u64,
    changed: BTreeMap<u64, Box<[u8]>>,
    reads: u64,
    ceiling: u64,
}

impl<'a> Changed<'a> {
    /// The image as it is, with this many blocks.
    #[must_use]
    pub const fn new(base: &'a [u8], blocks: u64) -> Self {
        Self { base, blocks, changed: BTreeMap::new(), reads: 0, ceiling: u64::MAX }
    }

    /// Fails the test when more blocks than this are read.
    #[must_use]
    pub const fn with_ceiling(mut self, ceiling: u64) -> Self {
        self.ceiling = ceiling;
        self
    }

    /// The blocks that were changed, by number.
    pub fn changes(&self) -> impl Iterator<Item = (u64, &[u8])> {
        self.changed.iter().map(|(block, bytes)| (*block, bytes.as_ref()))
    }

    /// Changes bytes of one block.
    pub fn put(&mut self, at: usize, bytes: &[u8]) {
        for (offset, byte) in (at..).zip(bytes) {
            let block = (offset / 512) as u64;
            self.changed.entry(block).or_insert_with(|| stored(self.base, block))[offset % 512] = *byte;
        }
    }
}

fn stored(base: &[u8], block: u64) -> Box<[u8]> {
    let start = usize::try_from(block).expect("a small image") * 512;
    let mut bytes = vec![0; 512];
    if let Some(base) = base.get(start..start + 512) {
        bytes.copy_from_slice(base);
    }
    bytes.into_boxed_slice()
}

impl BlockDevice for Changed<'_> {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.blocks
    }

    fn writable(&self) -> bool {
        true
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        for (number, block) in (first.0..).zip(blocks.chunks_mut(512)) {
            self.reads += 1;
            assert!(self.reads <= self.ceiling, "more than {} blocks are read", self.ceiling);
            assert!(number < self.blocks, "block {number} is beyond the card");
            match self.changed.get(&number) {
                Some(changed) => block.copy_from_slice(changed),
                None => block.copy_from_slice(&stored(self.base, number)),
            }
        }
        Ok(())
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        for (number, block) in (first.0..).zip(blocks.chunks(512)) {
            assert!(number < self.blocks, "block {number} is beyond the card");
            self.changed.insert(number, block.into());
        }
        Ok(())
    }
}

/// A device whose reads are counted where the test can see them while it is lent to a volume.
#[derive(Debug)]
pub struct Counted<'a, D> {
    device: D,
    blocks_read: &'a Cell<u64>,
}

impl<'a, D: BlockDevice> Counted<'a, D> {
    /// Counts the blocks that are read from `device`.
    pub const fn new(device: D, blocks_read: &'a Cell<u64>) -> Self {
        Self { device, blocks_read }
    }
}

impl<D: BlockDevice> BlockDevice for Counted<'_, D> {
    type Error = D::Error;

    fn block_count(&self) -> u64 {
        self.device.block_count()
    }

    fn writable(&self) -> bool {
        self.device.writable()
    }

    fn blocks_to_check(&self) -> u32 {
        self.device.blocks_to_check()
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), D::Error> {
        self.blocks_read.set(self.blocks_read.get() + (blocks.len() / 512) as u64);
        self.device.read(first, blocks)
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), D::Error> {
        self.device.write(first, blocks)
    }
}
