//! Rows appended to a record of the card with no volume mounted: for boards that are short of flash.
//!
//! [`Volume::append_record`](crate::media::JobFiles::append_record) does the same through the library's whole driver, which
//! costs a small board 25 KB of flash for long names, renaming and the taking back of half-done steps; this costs 8.
//! Here stands only what a row needs, over the library's functions for tables and blocks: names in 8.3, a folder of our
//! own, a file that only grows.
//!
//! Clusters are taken first, then filled, and the file's entry is written last, in one block: whatever the moment of a
//! power cut, the file ends with a whole row. What a cut leaves is a cluster taken too early, of the file or of nobody;
//! the file's next row takes its own up again.

use hadris_fat_raw::io::sync::{
    allocate, clear_dirty, read_bytes, read_fat, read_geometry, set, slot_offset, walk, write_bytes,
    write_fs_info, write_zeros,
};
use hadris_fat_raw::io::{BlockBuf, ChainPos, DirStart, DirWalk, Fat};
use hadris_fs::ErrorKind;

use crate::limits::{BLOCK, BLOCK_BYTES};
use crate::media::block::{Allowance, Blocks, media_error};
use crate::media::driver::VolumeKind;
use crate::media::error::LibraryError;
use crate::media::volume::{APPEND_BLOCKS, MOUNT_BLOCKS};
use crate::media::{BlockDevice, MediaError, MediaFault, RECORDS_FOLDER, partition};

/// Bytes of an entry of a folder, and where its parts stand (Microsoft's FAT overview 1.03, directory structure).
const ENTRY: usize = 32;
const NAME: usize = 11;
const ATTRIBUTES: usize = 11;
const CREATED_DAY: usize = 16;
const CLUSTER_HIGH: usize = 20;
const CHANGED_DAY: usize = 24;
const CLUSTER_LOW: usize = 26;
const SIZE: usize = 28;
const READ_ONLY: u8 = 0x01;
const LABEL: u8 = 0x08;
const FOLDER: u8 = 0x10;
const DELETED: u8 = 0xE5;
/// The first day there is, 1980-01-01: the row itself says when it was written.
const FIRST_DAY: u8 = 0x21;

/// The line end of RFC 4180, set before a row if the file does not end with a line end.
const LINE_END: &[u8] = b"\r\n";

/// Appends whole rows to `HOLDPT/name` of the card's FAT volume, making folder and file where they lack; `header` is
/// written first into a new file. A last line that was cut short is closed by a line end first.
///
/// `name` is an 8.3 name in capitals. A [`Volume`](crate::media::Volume) that is mounted on the same card meanwhile goes
/// on reading jobs, but must be mounted anew before it reads or writes a record.
///
/// # Errors
/// `ReadOnly` (write-protected), `OnlyRead` (exFAT), `Full`, `WriteFailed` and other card faults; what stood in the file
/// before is never lost.
pub fn append_rows<D: BlockDevice>(
    device: D,
    name: &str,
    header: &[u8],
    rows: &[u8],
) -> Result<(), MediaError> {
    if !device.writable() {
        return Err(MediaError::new(MediaFault::ReadOnly));
    }
    let allowance = Allowance::default();
    allowance.grant(MOUNT_BLOCKS);
    let (device, kind) = partition::find(Blocks::whole(device, &allowance))?;
    if kind == VolumeKind::ExFat {
        return Err(MediaError::new(MediaFault::OnlyRead));
    }
    append(device, &allowance, &short(name), header, rows)
        .map_err(|error| media_error(&error, MediaFault::Damaged))
}

fn append<D: BlockDevice>(
    mut device: Blocks<'_, D>,
    allowance: &Allowance,
    name: &[u8; NAME],
    header: &[u8],
    rows: &[u8],
) -> Result<(), LibraryError> {
    let mut block = BLOCK_BUFFER;
    let geometry = read_geometry(&mut device, &mut block)?;
    let fat_blocks = u32::try_from(geometry.fat_size() / BLOCK).unwrap_or(u32::MAX);
    allowance.grant(fat_blocks.saturating_mul(2).saturating_add(APPEND_BLOCKS));
    let fat = read_fat(&mut device, &mut block, geometry)?;
    if device.vet()? {
        block.invalidate();
    }
    let mut card = Card { device, block, fat };
    let root = card.fat.root();
    let folder = match card.find(root, &short(RECORDS_FOLDER))? {
        FoundName::Entry(_, entry) if entry.0[ATTRIBUTES] & FOLDER == 0 => {
            return Err(ErrorKind::NotADirectory.into());
        }
        FoundName::Entry(_, entry) => entry.cluster(card.mask()),
        FoundName::Free(at) => card.make_folder(root, at)?,
    };
    let folder = DirStart::Chain(folder);
    let (at, entry) = match card.find(folder, name)? {
        FoundName::Entry(_, entry) if entry.0[ATTRIBUTES] & FOLDER != 0 => {
            return Err(ErrorKind::IsADirectory.into());
        }
        FoundName::Entry(_, entry) if entry.0[ATTRIBUTES] & READ_ONLY != 0 => {
            return Err(ErrorKind::ReadOnly.into());
        }
        FoundName::Entry(at, entry) => (at, entry),
        FoundName::Free(at) => (card.slot(folder, at)?, FolderEntry::new(name, 0, 0)),
    };
    card.grow(at, entry, header, rows)?;
    write_fs_info(&mut card.device, &mut card.block, &mut card.fat)?;
    clear_dirty(&mut card.device, &mut card.block, &mut card.fat)
}

type AppendBuffer = BlockBuf<[u8; BLOCK_BYTES]>;

const BLOCK_BUFFER: AppendBuffer = match BlockBuf::new(BLOCK_BYTES) {
    Some(block) => block,
    None => unreachable!(),
};

/// An entry of a folder, as it is stored.
struct FolderEntry([u8; ENTRY]);

impl FolderEntry {
    fn new(name: &[u8; NAME], attributes: u8, cluster: u32) -> Self {
        let mut entry = Self([0; ENTRY]);
        entry.put(0, name);
        entry.put(ATTRIBUTES, &[attributes]);
        entry.put(CREATED_DAY, &[FIRST_DAY]);
        entry.put(CHANGED_DAY, &[FIRST_DAY]);
        entry.set_cluster(cluster);
        entry
    }

    fn put(&mut self, at: usize, bytes: &[u8]) {
        for (place, byte) in self.0.iter_mut().skip(at).zip(bytes) {
            *place = *byte;
        }
    }

    fn number(&self, at: usize, bytes: usize) -> u32 {
        let field = self.0.iter().skip(at).take(bytes);
        field.rev().fold(0, |number, byte| number.wrapping_shl(8) | u32::from(*byte))
    }

    /// The first cluster. The upper half means something else where 16 bits are enough (`mask` of the kind).
    fn cluster(&self, mask: u32) -> u32 {
        (self.number(CLUSTER_HIGH, 2).wrapping_shl(16) | self.number(CLUSTER_LOW, 2)) & mask
    }

    fn set_cluster(&mut self, cluster: u32) {
        let [a, b, c, d] = cluster.to_le_bytes();
        self.put(CLUSTER_LOW, &[a, b]);
        self.put(CLUSTER_HIGH, &[c, d]);
    }
}

/// Where a name stands in a folder: its entry's byte on the card and the entry, or the slot that it may take.
enum FoundName {
    Entry(u64, FolderEntry),
    Free(u32),
}

/// The volume while a row is written.
struct Card<'m, D> {
    device: Blocks<'m, D>,
    block: AppendBuffer,
    fat: Fat,
}

impl<D: BlockDevice> Card<'_, D> {
    /// Looks for a name; without it, for the first slot that is free or beyond the folder's end.
    fn find(&mut self, folder: DirStart, name: &[u8; NAME]) -> Result<FoundName, LibraryError> {
        let mut walked = DirWalk::new(folder);
        let mut free = None;
        let mut slot = 0_u32;
        while let Some(at) = slot_offset(&mut self.device, &mut self.block, &self.fat, &mut walked, slot)? {
            let mut entry = FolderEntry([0; ENTRY]);
            read_bytes(&mut self.device, &mut self.block, at, &mut entry.0)?;
            let first = entry.0[0];
            if first == 0 || first == DELETED {
                free = free.or(Some(slot));
            }
            if first == 0 {
                break;
            }
            // A piece of a long name has this bit too.
            if entry.0[ATTRIBUTES] & LABEL == 0 && entry.0.starts_with(name) {
                return Ok(FoundName::Entry(at, entry));
            }
            slot = slot.saturating_add(1);
        }
        Ok(FoundName::Free(free.unwrap_or(slot)))
    }

    /// The byte on the card of a slot that may be taken, with the folder's end behind it. The folder grows by a cluster
    /// where it is full.
    fn slot(&mut self, folder: DirStart, slot: u32) -> Result<u64, LibraryError> {
        let mut walked = DirWalk::new(folder);
        let at = slot_offset(&mut self.device, &mut self.block, &self.fat, &mut walked, slot)?;
        let Some(at) = at else {
            if matches!(folder, DirStart::Fixed { .. }) {
                return Err(ErrorKind::NoSpace.into());
            }
            let tail = walked.pos().cluster();
            let cluster = self.take(tail)?;
            return self.clear(cluster);
        };
        let mut first = [0];
        read_bytes(&mut self.device, &mut self.block, at, &mut first)?;
        let behind = slot.saturating_add(1);
        let behind = slot_offset(&mut self.device, &mut self.block, &self.fat, &mut walked, behind)?;
        if let (0, Some(behind)) = (first[0], behind) {
            // Not every writer clears a folder's cluster: what stands behind its end may be anything.
            write_bytes(&mut self.device, &mut self.block, behind, &[0])?;
        }
        Ok(at)
    }

    /// A new cluster, at the end of `tail`'s chain or alone (0). Taken first and linked then: a cut between the two costs
    /// a cluster until the card is checked.
    fn take(&mut self, tail: u32) -> Result<u32, LibraryError> {
        let Self { device, block, fat } = self;
        let cluster = allocate(device, block, fat, None)?;
        if tail != 0 {
            set(device, block, fat, tail, cluster)?;
        }
        Ok(cluster)
    }

    /// Fills a cluster with zeros, and gives its first byte on the card.
    fn clear(&mut self, cluster: u32) -> Result<u64, LibraryError> {
        let at = self.fat.cluster_at(cluster)?;
        let bytes = self.cluster_bytes() as usize;
        write_zeros(&mut self.device, &mut self.block, at, bytes)?;
        Ok(at)
    }

    /// Makes our folder in the root, and gives its cluster.
    fn make_folder(&mut self, root: DirStart, slot: u32) -> Result<u32, LibraryError> {
        let cluster = self.take(0)?;
        let at = self.clear(cluster)?;
        // The root counts as cluster 0 here, whatever its own.
        let dots =
            [FolderEntry::new(b".          ", FOLDER, cluster), FolderEntry::new(b"..         ", FOLDER, 0)];
        for (place, dot) in (at..).step_by(ENTRY).zip(&dots) {
            write_bytes(&mut self.device, &mut self.block, place, &dot.0)?;
        }
        let at = self.slot(root, slot)?;
        let folder = FolderEntry::new(&short(RECORDS_FOLDER), FOLDER, cluster);
        write_bytes(&mut self.device, &mut self.block, at, &folder.0)?;
        Ok(cluster)
    }

    /// Writes the rows behind a file's end, then its entry.
    fn grow(
        &mut self,
        at: u64,
        mut entry: FolderEntry,
        header: &[u8],
        rows: &[u8],
    ) -> Result<(), LibraryError> {
        let size = entry.number(SIZE, 4);
        let mut place = ChainPos::NONE;
        let mut last = [b'\n'];
        if let Some(end) = size.checked_sub(1) {
            let byte = self.byte(&mut entry, &mut place, end, false)?;
            read_bytes(&mut self.device, &mut self.block, byte, &mut last)?;
        }
        let before = match (size, last) {
            (0, _) => header,
            (_, [b'\n']) => &[],
            _ => LINE_END,
        };
        let added = before.len().saturating_add(rows.len());
        // FAT keeps a length in 32 bits.
        let end =
            u32::try_from(added).ok().and_then(|added| size.checked_add(added)).ok_or(ErrorKind::NoSpace)?;
        let mut position = size;
        for mut part in [before, rows] {
            while !part.is_empty() {
                let byte = self.byte(&mut entry, &mut place, position, true)?;
                let room = self.cluster_bytes().saturating_sub(self.within(position)) as usize;
                let (now, later) = part.split_at(room.min(part.len()));
                write_bytes(&mut self.device, &mut self.block, byte, now)?;
                position = position.saturating_add(u32::try_from(now.len()).unwrap_or(u32::MAX));
                part = later;
            }
        }
        self.device_flush()?;
        entry.put(SIZE, &end.to_le_bytes());
        write_bytes(&mut self.device, &mut self.block, at, &entry.0)
    }

    fn cluster_bytes(&self) -> u32 {
        self.fat.geometry().cluster_size()
    }

    /// A file's byte counted from the first of its cluster.
    fn within(&self, position: u32) -> u32 {
        position.checked_rem(self.cluster_bytes()).unwrap_or_default()
    }

    fn mask(&self) -> u32 {
        self.fat.geometry().kind().mask()
    }

    fn device_flush(&mut self) -> Result<(), LibraryError> {
        hadris_storage::sync::BlockDevice::flush(&mut self.device)
    }

    /// The byte on the card of a file's byte, its chain made longer for it if `grow`.
    fn byte(
        &mut self,
        entry: &mut FolderEntry,
        place: &mut ChainPos,
        position: u32,
        grow: bool,
    ) -> Result<u64, LibraryError> {
        let wanted = position.checked_div(self.cluster_bytes()).unwrap_or_default();
        if entry.cluster(self.mask()) == 0 {
            if !grow {
                return Err(ErrorKind::Corrupt.into());
            }
            entry.set_cluster(self.take(0)?);
        }
        let first = entry.cluster(self.mask());
        *place = walk(&mut self.device, &mut self.block, &self.fat, first, *place, wanted)?;
        if place.index() < wanted {
            let follows = place.index().saturating_add(1) == wanted;
            if !grow || !follows {
                return Err(ErrorKind::Corrupt.into());
            }
            let next = self.take(place.cluster())?;
            place.advance(next);
        }
        Ok(self.fat.cluster_at(place.cluster())?.saturating_add(self.within(position).into()))
    }
}

/// An 8.3 name as it is stored: blanks fill name and ending.
fn short(name: &str) -> [u8; NAME] {
    let mut stored = [b' '; NAME];
    let mut at = 0_usize;
    for byte in name.bytes() {
        if byte == b'.' {
            at = 8;
        } else if let Some(place) = stored.get_mut(at) {
            *place = byte;
            at = at.saturating_add(1);
        }
    }
    stored
}
