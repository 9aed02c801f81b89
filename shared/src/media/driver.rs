//! The library's two drivers behind one interface, without our listing or reading.

use core::ops::ControlFlow;

use hadris_fat::FatKind;
use hadris_fat::embedded::sync::Fat;
use hadris_fat::embedded::{Dir as FatFolder, File, MountToken as LibraryToken, Node as FatNode, Options};
use hadris_fat::exfat::embedded::{Dir as ExFatFolder, Node as ExFatNode};
use hadris_fs::{Attributes, DateTime, DirCursor, ErrorKind, Metadata, MountError, OpenOptions, SeekFrom};
use heapless::String;

use crate::media::block::Blocks;
use crate::media::error::LibraryError;
use crate::media::exfat::{ExFat, mount_exfat};
use crate::media::names::{LONGEST_NAME, same_name, utf16};
use crate::media::{BlockDevice, MediaFault};
use crate::time::WallClock;

/// The open job or record, and the record that is appended to.
const FAT_FILES: usize = 2;

/// FAT12, FAT16 and FAT32.
pub(super) type DriverFat<'m, D> = Fat<'m, Blocks<'m, D>, FAT_FILES>;

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
pub(super) struct Item<'a, 'm> {
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
    node: Node<'m>,
}

/// The library's way back to an entry.
#[derive(Clone, Copy)]
enum Node<'m> {
    Fat(FatNode<'m>),
    ExFat(ExFatNode),
}

/// What a walk does with an entry, and whether it goes on. Not generic, so that the library's walk is in the
/// firmware once for each kind of volume.
type Visit<'v, 'm> = &'v mut dyn FnMut(&Item<'_, 'm>) -> ControlFlow<()>;

/// The library's volume of either kind.
#[derive(Debug)]
#[expect(clippy::large_enum_variant, reason = "there is one, and it has no heap to box in")]
pub(super) enum Driver<'m, D> {
    Fat(DriverFat<'m, D>),
    ExFat(ExFat<'m, D>),
}

impl<'m, D: BlockDevice> Driver<'m, D> {
    #[inline(never)]
    pub(super) fn mount(
        blocks: Blocks<'m, D>,
        kind: VolumeKind,
        token: &'m mut LibraryToken,
    ) -> Result<Self, LibraryError> {
        Ok(match kind {
            VolumeKind::ExFat => Self::ExFat(mount_exfat(blocks, token).map_err(MountError::into_error)?),
            VolumeKind::Fat12 | VolumeKind::Fat16 | VolumeKind::Fat32 => {
                Self::Fat(mount_fat(blocks, token).map_err(MountError::into_error)?)
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
    pub(super) fn data_bytes(&self) -> u64 {
        match self {
            Self::Fat(volume) => volume.info().data_end().saturating_sub(volume.info().data_start()),
            Self::ExFat(volume) => {
                u64::from(volume.info().cluster_count()).saturating_mul(volume.info().cluster_size())
            }
        }
    }

    pub(super) fn was_dirty(&self) -> bool {
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
        each: Visit<'_, 'm>,
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
                    node: Node::Fat(entry.node()),
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
                        node: Node::ExFat(entry.node()),
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
    pub(super) fn folder_at(&mut self, parent: Folder, slot: u64) -> Result<Folder, LibraryError> {
        let mut name: String<LONGEST_NAME> = String::new();
        let mut found = false;
        self.list(parent, slot, &mut |item| {
            found = item.is_folder && item.slot == slot;
            found &= utf16(item.units).all(|character| name.push(character).is_ok());
            ControlFlow::Break(())
        })?;
        if found { self.open_folder(parent, &name) } else { Err(ErrorKind::NotFound.into()) }
    }

    /// Opens the file at `slot` of `folder`, and gives its size.
    pub(super) fn open_at(&mut self, folder: Folder, slot: u64) -> Result<(File<'m>, u64), LibraryError> {
        let mut found = None;
        self.list(folder, slot, &mut |item| {
            found = (item.slot == slot && !item.is_folder).then_some((item.node, item.size));
            ControlFlow::Break(())
        })?;
        self.open_node(found)
    }

    /// Opens the file `name` (in capitals) of `folder`, and gives its size.
    pub(super) fn open_named(&mut self, folder: Folder, name: &str) -> Result<(File<'m>, u64), LibraryError> {
        let mut found = None;
        self.list(folder, 0, &mut |item| {
            if item.is_folder || !same_name(utf16(item.units), name) {
                return ControlFlow::Continue(());
            }
            found = Some((item.node, item.size));
            ControlFlow::Break(())
        })?;
        self.open_node(found)
    }

    fn open_node(&mut self, found: Option<(Node<'m>, u64)>) -> Result<(File<'m>, u64), LibraryError> {
        let (node, size) = found.ok_or(ErrorKind::NotFound)?;
        let options = OpenOptions::new().read();
        let file = match (self, node) {
            (Self::Fat(volume), Node::Fat(node)) => volume.open_node(node, options)?,
            (Self::ExFat(volume), Node::ExFat(node)) => volume.open_node(node, options)?,
            _ => return Err(ErrorKind::NotFound.into()),
        };
        Ok((file, size))
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
    pub(super) fn close(&mut self, file: File<'m>) -> Result<(), LibraryError> {
        match self {
            Self::Fat(volume) => volume.close(file),
            Self::ExFat(volume) => volume.close(file),
        }
    }
}

/// Mounts a FAT volume. Nothing is written until something is appended.
///
/// Out of line: trying and mounting are the same code, once in the firmware.
#[inline(never)]
pub(super) fn mount_fat<'t, 'b, D: BlockDevice>(
    blocks: Blocks<'b, D>,
    token: &'t mut LibraryToken,
) -> Result<Fat<'t, Blocks<'b, D>, FAT_FILES>, MountError<Blocks<'b, D>, MediaFault>> {
    Fat::mount_with(blocks, token, Options::new())
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
