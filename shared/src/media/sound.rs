//! Whether a FAT card may be written: vetted once, before the first block that would be.
//!
//! Every file and folder is walked by the table that is read. Where a chain ends too early, leads nowhere, or runs into
//! a cluster that a row would be written to, the card is read and not written: a cluster that passes for free may be
//! a job's. Where the table's copies differ, only what a power cut can leave of our own last step is mended: an entry
//! of our own chain that the second copy lacks, or a cluster taken that nothing was linked to yet.

use hadris_fat_raw::io::sync::{get_copy, load, next, read_bytes, read_fat, read_geometry, set, slot_offset};
use hadris_fat_raw::io::{BlockBuf, DirStart, DirWalk, Fat};
use hadris_fs::ErrorKind;
use hadris_storage::sync::BlockDevice;
use heapless::Vec;

use crate::limits::{BLOCK, BLOCK_BYTES};
use crate::media::error::LibraryError;
use crate::media::{MediaFault, RECORDS_FOLDER};

/// Clusters that rows may be written to: of the root, of our folder, behind the ends of its files. A card with more is
/// not written (judgement: our folder has a handful of files).
const OURS: usize = 64;
/// Entries in which the table's copies may differ and be mended: what one step of ours can leave.
const DIFFERENT: usize = 2;
/// Folders within folders that are walked; what is deeper counts as damage (judgement).
const DEPTH: usize = 8;
/// Blocks of the table behind the last one in use that are compared too.
const BEHIND: u64 = 2;

/// An entry of a folder (Microsoft's FAT overview 1.03, directory structure).
const ENTRY: usize = 32;
const FOLDER: u8 = 0x10;
const LABEL: u8 = 0x08;
const DELETED: u8 = 0xE5;

type SoundBuffer = BlockBuf<[u8; BLOCK_BYTES]>;

const BLOCK_BUFFER: SoundBuffer = match BlockBuf::new(BLOCK_BYTES) {
    Some(block) => block,
    None => unreachable!(),
};

/// What an entry says.
#[derive(Clone, Copy, Debug)]
struct CheckedEntry {
    name: [u8; 11],
    is_folder: bool,
    cluster: u32,
    size: u32,
}

impl CheckedEntry {
    /// `None` for what is no file or folder: deleted, a piece of a long name, a label, a dot entry.
    fn read(bytes: &[u8; ENTRY], mask: u32) -> Option<Self> {
        let name = *bytes.first_chunk::<11>()?;
        let number = |at: usize, count: usize| {
            let field = bytes.iter().skip(at).take(count);
            field.rev().fold(0_u32, |number, byte| number.wrapping_shl(8) | u32::from(*byte))
        };
        let attributes = number(11, 1);
        let dot = name.starts_with(b".");
        (attributes & u32::from(LABEL) == 0 && !name.starts_with(&[DELETED]) && !dot).then(|| Self {
            name,
            is_folder: attributes & u32::from(FOLDER) != 0,
            cluster: (number(20, 2).wrapping_shl(16) | number(26, 2)) & mask,
            size: number(28, 4),
        })
    }
}

/// The vetting.
struct Vet<'a, D> {
    device: &'a mut D,
    entries: SoundBuffer,
    table: SoundBuffer,
    fat: Fat,
    /// Clusters that rows may be written to.
    ours: Vec<u32, OURS>,
    /// Clusters whose entries differ between the table's copies, and whether each is in a chain of ours.
    different: Vec<(u32, bool), DIFFERENT>,
    /// The highest cluster in use that was seen.
    highest: u32,
}

fn damaged() -> LibraryError {
    ErrorKind::Corrupt.into()
}

/// Vets the card; whether something was mended, so that what others have read of the table is stale.
#[inline(never)]
pub(super) fn vet<D: BlockDevice<Error = MediaFault>>(device: &mut D) -> Result<bool, LibraryError> {
    let mut block = BLOCK_BUFFER;
    let geometry = read_geometry(device, &mut block)?;
    let fat = read_fat(device, &mut block, geometry)?;
    let mut vet = Vet {
        device,
        entries: block,
        table: BLOCK_BUFFER,
        fat,
        ours: Vec::new(),
        different: Vec::new(),
        highest: 2,
    };
    let folder = vet.find_ours()?;
    vet.walk_all(folder)?;
    vet.compare()?;
    if vet.different.is_empty() {
        return Ok(false);
    }
    // Once more, to learn in whose chains they are.
    vet.ours.clear();
    let folder = vet.find_ours()?;
    vet.walk_all(folder)?;
    vet.mend()?;
    Ok(true)
}

impl<D: BlockDevice<Error = MediaFault>> Vet<'_, D> {
    /// The clusters that rows may be written to; the first one of our folder, if there is one.
    fn find_ours(&mut self) -> Result<Option<u32>, LibraryError> {
        let root = self.fat.root();
        if let DirStart::Chain(first) = root {
            self.keep_chain(first, 0)?;
        }
        let mut name = [b' '; 11];
        for (place, letter) in name.iter_mut().zip(RECORDS_FOLDER.bytes()) {
            *place = letter;
        }
        let mut walked = DirWalk::new(root);
        let mut slot = 0;
        while let Some(entry) = self.entry(&mut walked, &mut slot)? {
            if let Some(entry) = entry.filter(|entry| entry.name == name && entry.is_folder) {
                self.keep_chain(entry.cluster, 0)?;
                let mut files = DirWalk::new(DirStart::Chain(entry.cluster));
                let mut place = 0;
                while let Some(file) = self.entry(&mut files, &mut place)? {
                    if let Some(file) = file.filter(|file| !file.is_folder && file.cluster != 0) {
                        self.keep_chain(file.cluster, self.last_index(file.size))?;
                    }
                }
                return Ok(Some(entry.cluster));
            }
        }
        Ok(None)
    }

    /// The index of the cluster that a file's last byte is in.
    fn last_index(&self, size: u32) -> u32 {
        size.saturating_sub(1).checked_div(self.fat.geometry().cluster_size()).unwrap_or_default()
    }

    /// The clusters of a chain from an index on are ours; each may be so only once.
    fn keep_chain(&mut self, first: u32, from: u32) -> Result<(), LibraryError> {
        let (mut cluster, mut index) = (first, 0_u32);
        loop {
            self.mark_different(cluster);
            if index >= from {
                if self.ours.contains(&cluster) {
                    return Err(damaged());
                }
                self.ours.push(cluster).map_err(|_| damaged())?;
            }
            match self.following(cluster)? {
                Some(next) => cluster = next,
                None => return Ok(()),
            }
            index = index.saturating_add(1);
            if index > self.fat.geometry().max_cluster() {
                return Err(damaged());
            }
        }
    }

    fn mark_different(&mut self, cluster: u32) {
        for (different, ours) in &mut self.different {
            *ours |= *different == cluster;
        }
    }

    /// The next entry of a folder; `None` at its end, `Some(None)` for one that is no file or folder.
    fn entry(
        &mut self,
        walked: &mut DirWalk,
        slot: &mut u32,
    ) -> Result<Option<Option<CheckedEntry>>, LibraryError> {
        let at = slot_offset(self.device, &mut self.table, &self.fat, walked, *slot)?;
        let Some(at) = at else { return Ok(None) };
        let mut bytes = [0; ENTRY];
        read_bytes(self.device, &mut self.entries, at, &mut bytes)?;
        *slot = slot.saturating_add(1);
        if bytes.starts_with(&[0]) {
            return Ok(None);
        }
        Ok(Some(CheckedEntry::read(&bytes, self.fat.geometry().kind().mask())))
    }

    fn following(&mut self, cluster: u32) -> Result<Option<u32>, LibraryError> {
        self.highest = self.highest.max(cluster);
        match next(self.device, &mut self.table, &self.fat, cluster) {
            // A link of ours that was cut short within the first copy: the second one holds what was before it.
            Err(error) if error.kind() == ErrorKind::Corrupt && self.is_cut_link(cluster)? => Ok(None),
            followed => followed,
        }
    }

    /// Whether an entry that leads nowhere is the end of its chain in the second copy, and known to differ.
    fn is_cut_link(&mut self, cluster: u32) -> Result<bool, LibraryError> {
        if !self.fat.is_cluster(cluster) || self.fat.geometry().copies() < 2 {
            return Ok(false);
        }
        let second = get_copy(self.device, &mut self.table, &self.fat, 1, cluster)?;
        Ok(self.is_end(second))
    }

    fn is_end(&self, entry: u32) -> bool {
        let geometry = self.fat.geometry();
        matches!(geometry.kind().next(entry, geometry.max_cluster()), Ok(None))
    }

    /// Walks every file and folder that is not ours, and what stands before the ends of those that are.
    fn walk_all(&mut self, ours: Option<u32>) -> Result<(), LibraryError> {
        let mut open: Vec<(DirWalk, u32, bool), DEPTH> = Vec::new();
        let root = DirWalk::new(self.fat.root());
        open.push((root, 0, false)).map_err(|_| damaged())?;
        while let Some((walked, slot, is_ours)) = open.last_mut() {
            let (mut walk, mut at, is_ours) = (*walked, *slot, *is_ours);
            let entry = self.entry(&mut walk, &mut at)?;
            (*walked, *slot) = (walk, at);
            let Some(entry) = entry else {
                open.pop();
                continue;
            };
            let Some(entry) = entry else { continue };
            let our_folder = entry.is_folder && ours == Some(entry.cluster);
            if !our_folder {
                self.walk_chain(&entry, is_ours && !entry.is_folder)?;
            }
            if entry.is_folder {
                let inner = DirWalk::new(DirStart::Chain(entry.cluster));
                open.push((inner, 0, our_folder)).map_err(|_| damaged())?;
            }
        }
        Ok(())
    }

    /// Walks one chain: as long as its file needs, and through no cluster that is ours.
    fn walk_chain(&mut self, entry: &CheckedEntry, is_ours: bool) -> Result<(), LibraryError> {
        let needed = if entry.is_folder || entry.size == 0 {
            0
        } else {
            self.last_index(entry.size).saturating_add(1)
        };
        if entry.cluster == 0 {
            return if needed == 0 && !entry.is_folder { Ok(()) } else { Err(damaged()) };
        }
        let end = if is_ours { self.last_index(entry.size) } else { u32::MAX };
        let (mut cluster, mut index) = (entry.cluster, 0_u32);
        loop {
            // Behind its last byte one of ours was looked at already.
            if index < end {
                let crossed = self.ours.contains(&cluster)
                    || (!is_ours && self.different.iter().any(|(different, _)| *different == cluster));
                if crossed {
                    return Err(damaged());
                }
            }
            index = index.saturating_add(1);
            match self.following(cluster)? {
                Some(next) if index <= self.fat.geometry().max_cluster() => cluster = next,
                Some(_) => return Err(damaged()),
                None => break,
            }
        }
        if index < needed { Err(damaged()) } else { Ok(()) }
    }

    /// Compares the table's copies, as far as the table is in use.
    fn compare(&mut self) -> Result<(), LibraryError> {
        let geometry = *self.fat.geometry();
        if geometry.copies() < 2 {
            return Ok(());
        }
        let kind = geometry.kind();
        let used = kind.entry_offset(self.highest.into()).checked_div(BLOCK).unwrap_or_default();
        let blocks = geometry.fat_size().checked_div(BLOCK).unwrap_or_default();
        let block_of = |copy| geometry.fat_copy(copy).checked_div(BLOCK).unwrap_or_default();
        for index in 0..=used.saturating_add(BEHIND).min(blocks.saturating_sub(1)) {
            load(self.device, &mut self.table, block_of(0).saturating_add(index))?;
            load(self.device, &mut self.entries, block_of(1).saturating_add(index))?;
            if self.table.contents() != self.entries.contents() {
                self.differ(index)?;
            }
        }
        Ok(())
    }

    /// The clusters whose entries differ in one block of the table.
    fn differ(&mut self, index: u64) -> Result<(), LibraryError> {
        let geometry = *self.fat.geometry();
        // An entry has 12 bits at least, and may begin in the block before.
        let entries = |blocks: u64| {
            let bits = blocks.saturating_mul(BLOCK).saturating_mul(8);
            bits.checked_div(geometry.kind().entry_bits()).unwrap_or_default()
        };
        let from = entries(index).saturating_sub(1);
        let to = entries(index.saturating_add(1)).saturating_add(1);
        for cluster in from.max(2)..=to.min(geometry.max_cluster().into()) {
            let Ok(cluster) = u32::try_from(cluster) else { break };
            let first = get_copy(self.device, &mut self.table, &self.fat, 0, cluster)?;
            let second = get_copy(self.device, &mut self.entries, &self.fat, 1, cluster)?;
            if first != second && !self.different.iter().any(|(known, _)| *known == cluster) {
                self.different.push((cluster, false)).map_err(|_| damaged())?;
            }
        }
        Ok(())
    }

    /// Brings the copies together where they differ by a step of ours that was cut short.
    fn mend(&mut self) -> Result<(), LibraryError> {
        let geometry = *self.fat.geometry();
        for (cluster, ours) in self.different.clone() {
            let first = get_copy(self.device, &mut self.table, &self.fat, 0, cluster)?;
            let second = get_copy(self.device, &mut self.table, &self.fat, 1, cluster)?;
            let leads = geometry.kind().next(first, geometry.max_cluster()).is_ok();
            let right = match (ours, second) {
                // Taken, and linked to nothing: free again.
                (false, 0) => 0,
                (true, second) if leads && (second == 0 || self.is_end(second)) => first,
                (true, second) if self.is_end(second) => second,
                _ => return Err(damaged()),
            };
            set(self.device, &mut self.table, &mut self.fat, cluster, right)?;
        }
        Ok(())
    }
}
