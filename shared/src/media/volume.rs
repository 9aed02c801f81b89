//! The library's volumes behind our interface.

use core::ops::ControlFlow;

use hadris_fat::FatKind;
use hadris_fat::embedded::sync::Fat;
use hadris_fat::embedded::{Dir as FatFolder, File, MountToken as LibraryToken, Options};
use hadris_fat::exfat::embedded::Dir as ExFatFolder;
use hadris_fat::exfat::embedded::sync::ExFat;
use hadris_fs::{Attributes, DateTime, DirCursor, ErrorKind, Metadata, OpenOptions, SeekFrom};
use hadris_io::Error;
use heapless::String;

use crate::limits::BLOCK_BYTES;
use crate::media::block::{Allowance, BLOCK, Blocks, media_error};
use crate::media::listing::{LONGEST_NAME, Listing};
use crate::media::names::utf16;
use crate::media::place::Way;
use crate::media::reader::OpenFile;
use crate::media::{
    BlockDevice, EntryPlace, JobFiles, MediaError, MediaFault, MountToken, Page, PageFrom, RECORDS_FOLDER,
    partition, record,
};
use crate::time::WallClock;

/// Blocks that finding and mounting a volume may read. A GPT is read twice with 33 blocks a copy, an exFAT
/// volume's boot region with 12; a table that wants more than this is damaged.
const MOUNT_BLOCKS: u32 = 8_192;

/// Blocks that one call of a listing may read: a FAT folder has at most 65,536 entries (4,096 blocks), and each
/// cluster of it may cost a block of the table.
const LIST_BLOCKS: u32 = 16_384;

/// Blocks that one call of reading may read, besides the buffer's own.
const READ_BLOCKS: u32 = 16_384;

/// Blocks that appending may read besides the FAT, which is searched for free clusters.
const APPEND_BLOCKS: u32 = 65_536;

/// The open job or record, and the record that is appended to.
pub(super) const FAT_FILES: usize = 2;
/// The open job or record: exFAT is only read.
pub(super) const EXFAT_FILES: usize = 1;

/// FAT12, FAT16 and FAT32.
pub(super) type DriverFat<'m, D> = Fat<'m, Blocks<'m, D>, FAT_FILES>;
/// exFAT.
pub(super) type DriverExFat<'m, D> = ExFat<'m, Blocks<'m, D>, EXFAT_FILES>;

type LibraryError = Error<MediaError>;

/// The kind of a card's volume.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum VolumeKind {
    /// FAT with 12 bits an entry: fewer than 4,085 clusters.
    Fat12,
    /// FAT with 16 bits an entry: fewer than 65,525 clusters.
    Fat16,
    /// FAT with 32 bits an entry.
    Fat32,
    /// exFAT: only read.
    ExFat,
}

/// The kind of a FAT volume, as far as the library's kinds are known here.
pub(super) fn fat_kind(kind: FatKind) -> Option<VolumeKind> {
    match kind {
        FatKind::Fat12 => Some(VolumeKind::Fat12),
        FatKind::Fat16 => Some(VolumeKind::Fat16),
        FatKind::Fat32 => Some(VolumeKind::Fat32),
        _ => None,
    }
}

/// A folder of either kind of volume.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Folder {
    Fat(FatFolder),
    ExFat(ExFatFolder),
}

/// One entry of a folder, lent while it is walked.
pub(super) struct Item<'a> {
    pub(super) units: &'a [u16],
    pub(super) short: Option<[u8; 11]>,
    pub(super) is_folder: bool,
    pub(super) hidden: bool,
    pub(super) size: u64,
    pub(super) saved: Option<WallClock>,
    /// Where a walk finds this entry first.
    pub(super) slot: u64,
    /// Where a walk goes on after it.
    pub(super) next: u64,
}

/// The library's volume of either kind.
#[derive(Debug)]
#[expect(clippy::large_enum_variant, reason = "there is one, and it has no heap to box in")]
pub(super) enum Driver<'m, D> {
    Fat(DriverFat<'m, D>),
    ExFat(DriverExFat<'m, D>),
}

impl<'m, D: BlockDevice> Driver<'m, D> {
    fn mount(
        blocks: Blocks<'m, D>,
        kind: VolumeKind,
        token: &'m mut LibraryToken,
    ) -> Result<Self, LibraryError> {
        let options = Options::new();
        Ok(match kind {
            VolumeKind::ExFat => Self::ExFat(
                ExFat::mount_with(blocks, token, options).map_err(hadris_fs::MountError::into_error)?,
            ),
            VolumeKind::Fat12 | VolumeKind::Fat16 | VolumeKind::Fat32 => {
                Self::Fat(Fat::mount_with(blocks, token, options).map_err(hadris_fs::MountError::into_error)?)
            }
        })
    }

    pub(super) fn root(&self) -> Folder {
        match self {
            Self::Fat(volume) => Folder::Fat(volume.root()),
            Self::ExFat(volume) => Folder::ExFat(volume.root()),
        }
    }

    pub(super) fn cluster_bytes(&self) -> u64 {
        match self {
            Self::Fat(volume) => u64::from(volume.info().cluster_size()),
            Self::ExFat(volume) => volume.info().cluster_size(),
        }
    }

    /// The bytes of all clusters: no file can be longer.
    fn data_bytes(&self) -> u64 {
        match self {
            Self::Fat(volume) => volume.info().data_end().saturating_sub(volume.info().data_start()),
            Self::ExFat(volume) => {
                u64::from(volume.info().cluster_count()).saturating_mul(volume.info().cluster_size())
            }
        }
    }

    fn was_dirty(&self) -> bool {
        match self {
            Self::Fat(volume) => volume.was_dirty(),
            Self::ExFat(volume) => volume.was_dirty(),
        }
    }

    /// Walks a folder from a place on, until `each` breaks.
    pub(super) fn list(
        &mut self,
        folder: Folder,
        from: u64,
        mut each: impl FnMut(&Item<'_>) -> ControlFlow<()>,
    ) -> Result<(), LibraryError> {
        let cursor = DirCursor::from_raw(from);
        match (self, folder) {
            (Self::Fat(volume), Folder::Fat(folder)) => volume.list(folder, cursor, |entry| {
                let next = entry.next_cursor().into_raw();
                each(&Item {
                    units: entry.name_utf16(),
                    short: Some(entry.short_name()),
                    is_folder: entry.is_dir(),
                    hidden: is_hidden(entry.attributes()),
                    size: entry.len(),
                    saved: saved(&entry.metadata()),
                    // The short entry itself: what is made before it later does not shift it.
                    slot: next.saturating_sub(1),
                    next,
                })
            }),
            (Self::ExFat(volume), Folder::ExFat(folder)) => {
                let mut slot = from;
                volume.list(folder, cursor, |entry| {
                    let next = entry.next_cursor().into_raw();
                    let item = Item {
                        units: entry.name_utf16(),
                        short: None,
                        is_folder: entry.is_dir(),
                        hidden: is_hidden(entry.attributes()),
                        size: entry.len(),
                        saved: saved(&entry.metadata()),
                        slot,
                        next,
                    };
                    slot = next;
                    each(&item)
                })
            }
            _ => Err(ErrorKind::InvalidHandle.into()),
        }
    }

    pub(super) fn open_folder(&mut self, parent: Folder, name: &str) -> Result<Folder, LibraryError> {
        match (self, parent) {
            (Self::Fat(volume), Folder::Fat(parent)) => volume.open_dir(parent, name).map(Folder::Fat),
            (Self::ExFat(volume), Folder::ExFat(parent)) => volume.open_dir(parent, name).map(Folder::ExFat),
            _ => Err(ErrorKind::InvalidHandle.into()),
        }
    }

    /// The folder at `slot` of `parent`.
    fn folder_at(&mut self, parent: Folder, slot: u64) -> Result<Folder, LibraryError> {
        let mut name: String<LONGEST_NAME> = String::new();
        let mut found = false;
        self.list(parent, slot, |item| {
            found = item.is_folder && item.slot == slot;
            found &= utf16(item.units).all(|character| name.push(character).is_ok());
            ControlFlow::Break(())
        })?;
        if found { self.open_folder(parent, &name) } else { Err(ErrorKind::NotFound.into()) }
    }

    /// Opens the file at `slot` of `folder`, and gives its size.
    fn open_at(&mut self, folder: Folder, slot: u64) -> Result<(File<'m>, u64), LibraryError> {
        let cursor = DirCursor::from_raw(slot);
        let options = OpenOptions::new().read();
        match (self, folder) {
            (Self::Fat(volume), Folder::Fat(folder)) => {
                let mut found = None;
                volume.list(folder, cursor, |entry| {
                    let here = entry.next_cursor().into_raw().saturating_sub(1) == slot;
                    found = (here && !entry.is_dir()).then(|| (entry.node(), entry.len()));
                    ControlFlow::Break(())
                })?;
                let (node, size) = found.ok_or(ErrorKind::NotFound)?;
                Ok((volume.open_node(node, options)?, size))
            }
            (Self::ExFat(volume), Folder::ExFat(folder)) => {
                let mut found = None;
                volume.list(folder, cursor, |entry| {
                    found = (!entry.is_dir()).then(|| (entry.node(), entry.len()));
                    ControlFlow::Break(())
                })?;
                let (node, size) = found.ok_or(ErrorKind::NotFound)?;
                Ok((volume.open_node(node, options)?, size))
            }
            _ => Err(ErrorKind::NotFound.into()),
        }
    }

    fn open_named(&mut self, folder: Folder, name: &str) -> Result<(File<'m>, u64), LibraryError> {
        let options = OpenOptions::new().read();
        match (self, folder) {
            (Self::Fat(volume), Folder::Fat(folder)) => {
                let file = volume.open(folder, name, options)?;
                let size = volume.stat(&file)?.len();
                Ok((file, size))
            }
            (Self::ExFat(volume), Folder::ExFat(folder)) => {
                let size = volume.metadata(folder, name)?.len();
                Ok((volume.open(folder, name, options)?, size))
            }
            _ => Err(ErrorKind::NotFound.into()),
        }
    }

    pub(super) fn read(
        &mut self,
        file: &File<'m>,
        position: u64,
        buffer: &mut [u8],
    ) -> Result<usize, LibraryError> {
        match self {
            Self::Fat(volume) => {
                volume.seek(file, SeekFrom::Start(position))?;
                volume.read(file, buffer)
            }
            Self::ExFat(volume) => {
                volume.seek(file, SeekFrom::Start(position))?;
                volume.read(file, buffer)
            }
        }
    }

    /// Frees a file's place in the library; a file that was only read has nothing that could fail.
    fn close(&mut self, file: File<'m>) -> Result<(), LibraryError> {
        match self {
            Self::Fat(volume) => volume.close(file),
            Self::ExFat(volume) => volume.close(file),
        }
    }
}

fn is_hidden(attributes: Attributes) -> bool {
    attributes.contains(Attributes::HIDDEN) || attributes.contains(Attributes::SYSTEM)
}

/// The local time of the last change as stored, where it is a possible one.
fn saved(metadata: &Metadata) -> Option<WallClock> {
    let time: DateTime = metadata.modified()?;
    let (date, clock) = time.to_civil();
    chrono::NaiveDate::from_ymd_opt(date.year(), u32::from(date.month()), u32::from(date.day()))?.and_hms_opt(
        u32::from(clock.hour()),
        u32::from(clock.minute()),
        u32::from(clock.second()),
    )
}

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
            return Err(MediaError::new(MediaFault::ReadOnly));
        };
        let fat_blocks = u32::try_from(volume.info().fat_size() / BLOCK).unwrap_or(u32::MAX);
        self.allowance.grant(fat_blocks.saturating_mul(2).saturating_add(APPEND_BLOCKS));
        record::append(volume, name, header, rows)
    }
}

/// A folder at the place of a file, or the other way round, is not what the place was given for.
fn not_found(error: MediaError) -> MediaError {
    match error.fault {
        MediaFault::InTheWay => MediaError { fault: MediaFault::NotFound, ..error },
        _ => error,
    }
}
