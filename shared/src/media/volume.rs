//! The mounted volume: one card as the rest of the core uses it.

use hadris_fat::embedded::File;

use crate::limits::{BLOCK, BLOCK_BYTES};
use crate::media::block::{Allowance, Blocks, media_error};
use crate::media::driver::{Driver, Folder, VolumeKind};
use crate::media::error::LibraryError;
use crate::media::listing::Listing;
use crate::media::place::Way;
use crate::media::reader::OpenFile;
use crate::media::{
    BlockDevice, EntryPlace, JobFiles, MediaError, MediaFault, MountToken, Page, PageFrom, RECORDS_FOLDER,
    partition, record,
};

/// Blocks that finding and mounting a volume may read. A GPT is read twice with 33 blocks a copy, an exFAT
/// volume's boot region with 12; a table that wants more than this is damaged.
pub(super) const MOUNT_BLOCKS: u32 = 8_192;

/// Blocks that one call of a listing may read: a FAT folder has at most 65,536 entries (4,096 blocks), and each
/// cluster of it may cost a block of the table.
const LIST_BLOCKS: u32 = 16_384;

/// Blocks that one call of reading may read, besides the buffer's own.
const READ_BLOCKS: u32 = 16_384;

/// Blocks that appending may read besides the FAT, which is searched for free clusters.
pub(super) const APPEND_BLOCKS: u32 = 65_536;

/// The volume of one card, mounted: a [`JobFiles`].
///
/// Holds the library's state with its one block, one page of the listing and the walk's place: see
/// [`Volume::BYTES`]. The device is lent or given for as long as it lives; nothing of the card is kept after.
#[derive(Debug)]
pub struct Volume<'m, D> {
    driver: Driver<'m, D>,
    allowance: &'m Allowance,
    kind: VolumeKind,
    open: Option<OpenFile<'m>>,
    listing: Option<Listing>,
}

/// What a volume may cost in RAM, device left out.
const VOLUME_BYTES: usize = 4_096;

const _: () = assert!(Volume::<'static, ()>::BYTES <= VOLUME_BYTES);

impl<D> Volume<'_, D> {
    /// Bytes of RAM that a mounted volume takes, with its device.
    pub const BYTES: usize = size_of::<Self>();
}

impl<'m, D: BlockDevice> Volume<'m, D> {
    /// Finds and mounts the card's volume.
    ///
    /// Pass `&mut device` to keep the device.
    ///
    /// # Errors
    /// `NoCard`, `Blank`, `Foreign` (nothing that is read here), `Damaged`, `Truncated` (larger than the card or
    /// image), and read faults.
    pub fn mount(device: D, token: &'m mut MountToken) -> Result<Self, MediaError> {
        let MountToken { library, allowance } = token;
        let allowance: &'m Allowance = allowance;
        allowance.grant(MOUNT_BLOCKS);
        let (blocks, kind) = partition::find(Blocks::whole(device, allowance))?;
        let driver =
            Driver::mount(blocks, kind, library).map_err(|error| media_error(&error, MediaFault::Damaged))?;
        Ok(Self { driver, allowance, kind, open: None, listing: None })
    }

    /// The kind of the volume.
    #[must_use]
    pub const fn kind(&self) -> VolumeKind {
        self.kind
    }

    /// How many clusters the volume has.
    #[must_use]
    pub fn clusters(&self) -> u32 {
        match &self.driver {
            // Clusters are counted from 2 on.
            Driver::Fat(volume) => volume.info().max_cluster().saturating_sub(1),
            Driver::ExFat(volume) => volume.info().cluster_count(),
        }
    }

    /// Whether [`append_record`](JobFiles::append_record) can write here.
    #[must_use]
    pub fn writable(&self) -> bool {
        match &self.driver {
            Driver::Fat(volume) => !volume.is_read_only(),
            Driver::ExFat(_) => false,
        }
    }

    fn close(&mut self) {
        if let Some(open) = self.open.take() {
            // Only read, so nothing is lost whatever the library answers.
            let _closed = self.driver.close(open.into_file());
        }
    }

    /// Keeps a file that was opened, unless its size is more than the whole volume holds.
    fn keep(&mut self, file: File<'m>, size: u64) -> Result<u64, MediaError> {
        let possible = size <= self.driver.data_bytes();
        self.open = Some(OpenFile::new(file, size));
        if possible {
            return Ok(size);
        }
        self.close();
        Err(MediaError::new(MediaFault::ChainBroken))
    }

    fn folder_of(&mut self, way: &Way) -> Result<Folder, LibraryError> {
        let mut folder = self.driver.root();
        for slot in way.slots() {
            folder = self.driver.folder_at(folder, slot)?;
        }
        Ok(folder)
    }
}

impl<D: BlockDevice> JobFiles for Volume<'_, D> {
    fn start_listing(&mut self, from: PageFrom) {
        self.listing = Some(Listing::new(from, self.driver.was_dirty()));
    }

    fn poll_listing(&mut self, page: &mut Page) -> nb::Result<(), MediaError> {
        self.allowance.grant(LIST_BLOCKS);
        let Some(listing) = self.listing.as_mut() else {
            return Err(MediaError::new(MediaFault::NotFound).into());
        };
        let polled = listing.poll(&mut self.driver, page);
        if !matches!(polled, Err(nb::Error::WouldBlock)) {
            self.listing = None;
        }
        polled
    }

    fn open(&mut self, place: EntryPlace) -> Result<u64, MediaError> {
        self.close();
        self.allowance.grant(LIST_BLOCKS);
        let (way, slot) = Way::unpack(place);
        let opened = self.folder_of(&way).and_then(|folder| self.driver.open_at(folder, slot));
        let (file, size) = opened.map_err(|error| not_found(media_error(&error, MediaFault::Damaged)))?;
        self.keep(file, size)
    }

    fn open_record(&mut self, name: &str) -> Result<u64, MediaError> {
        self.close();
        self.allowance.grant(LIST_BLOCKS);
        let root = self.driver.root();
        let opened = self
            .driver
            .open_folder(root, RECORDS_FOLDER)
            .and_then(|folder| self.driver.open_named(folder, name));
        let (file, size) = opened.map_err(|error| media_error(&error, MediaFault::Damaged))?;
        self.keep(file, size)
    }

    fn seek(&mut self, offset: u64) -> Result<(), MediaError> {
        let open = self.open.as_mut().ok_or(MediaError::new(MediaFault::NotFound))?;
        open.seek(offset);
        Ok(())
    }

    fn poll_read(&mut self, buffer: &mut [u8]) -> nb::Result<usize, MediaError> {
        let blocks = u32::try_from(buffer.len() / BLOCK_BYTES).unwrap_or(u32::MAX);
        self.allowance.grant(READ_BLOCKS.saturating_add(blocks));
        let open = self.open.as_mut().ok_or(MediaError::new(MediaFault::NotFound))?;
        let read = open.poll_read(&mut self.driver, buffer);
        if matches!(read, Err(nb::Error::Other(_))) {
            self.close();
        }
        read
    }

    fn append_record(&mut self, name: &str, header: &[u8], rows: &[u8]) -> Result<(), MediaError> {
        let Driver::Fat(volume) = &mut self.driver else {
            return Err(MediaError::new(MediaFault::OnlyRead));
        };
        let fat_blocks = u32::try_from(volume.info().fat_size() / BLOCK).unwrap_or(u32::MAX);
        self.allowance.grant(fat_blocks.saturating_mul(2).saturating_add(APPEND_BLOCKS));
        self.allowance.ask_to_write();
        record::append(volume, self.allowance, name, header, rows)
    }
}

/// A folder at the place of a file, or the other way round, is not what the place was given for.
fn not_found(error: MediaError) -> MediaError {
    match error.fault {
        MediaFault::InTheWay => MediaError { fault: MediaFault::NotFound, ..error },
        _ => error,
    }
}
