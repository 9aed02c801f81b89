//! A small exFAT writer from Microsoft's published exFAT specification (section numbers below are its own).
//!
//! Ours, because no other writer of exFAT runs without a system's tools; in continuous integration what it makes
//! is also checked by `fsck.exfat`.

use chrono::{Datelike, Timelike};

use crate::images::FileSpec;

const SECTOR: usize = 512;
const SECTORS_A_CLUSTER_SHIFT: u8 = 3;
const CLUSTER: usize = SECTOR << SECTORS_A_CLUSTER_SHIFT;
const FAT_OFFSET: usize = 24;
const END: u32 = 0xFFFF_FFFF;

/// How files and folders lie on the volume.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// In one run that the FAT does not describe (NoFatChain).
    OneRun,
    /// In one run that the FAT describes.
    Chained,
    /// Every second cluster, from the last to the first.
    Scattered,
}

struct Volume {
    fat: Vec<u32>,
    heap: Vec<u8>,
    used: Vec<bool>,
    next: usize,
}

/// Allocation of a file or folder: flags of its stream entry, first cluster, length.
#[derive(Clone, Copy)]
struct Extent {
    flags: u8,
    first: u32,
    length: u64,
}

impl Volume {
    fn store(&mut self, bytes: &[u8], place: Place) -> Extent {
        let count = bytes.len().div_ceil(CLUSTER);
        if count == 0 {
            // Section 7.6.4: no allocation, first cluster 0.
            return Extent { flags: 0x01, first: 0, length: 0 };
        }
        let start = self.next;
        let clusters: Vec<usize> = match place {
            Place::Scattered => (0..count).rev().map(|at| start + 2 * at).collect(),
            Place::OneRun | Place::Chained => (start..start + count).collect(),
        };
        self.next = clusters.iter().copied().max().unwrap_or(start) + 1;
        for (part, cluster) in bytes.chunks(CLUSTER).zip(&clusters) {
            self.heap[(cluster - 2) * CLUSTER..][..part.len()].copy_from_slice(part);
            self.used[cluster - 2] = true;
        }
        let numbers: Vec<u32> = clusters.iter().map(|cluster| number(*cluster)).collect();
        if place != Place::OneRun {
            for (at, cluster) in clusters.iter().enumerate() {
                self.fat[*cluster] = numbers.get(at + 1).copied().unwrap_or(END);
            }
        }
        let flags = if place == Place::OneRun { 0x03 } else { 0x01 };
        Extent { flags, first: numbers[0], length: bytes.len() as u64 }
    }

    /// Stores the files below `inner` and gives their folder's entries.
    fn folder(&mut self, files: &[FileSpec], inner: &str, place: Place) -> Vec<u8> {
        let mut entries = Vec::new();
        let mut made: Vec<&str> = Vec::new();
        for file in files {
            let Some(rest) = file.path.strip_prefix(inner) else { continue };
            match rest.split_once('/') {
                None => {
                    let extent = self.store(&file.bytes, place);
                    entries.extend(entry_set(rest, 0x20, file, extent, extent.length));
                }
                Some((name, _)) if !made.contains(&name) => {
                    made.push(name);
                    let mut below = self.folder(files, &format!("{inner}{name}/"), place);
                    below.resize(below.len().max(1).next_multiple_of(CLUSTER), 0);
                    let extent = self.store(&below, place);
                    entries.extend(entry_set(name, 0x10, file, extent, extent.length));
                }
                Some(_) => {}
            }
        }
        entries
    }
}

fn number(count: usize) -> u32 {
    u32::try_from(count).expect("a small volume")
}

/// The File, Stream Extension and File Name entries (sections 7.4, 7.6, 7.7).
fn entry_set(name: &str, attributes: u16, file: &FileSpec, extent: Extent, valid: u64) -> Vec<u8> {
    let units: Vec<u16> = name.encode_utf16().collect();
    let names = units.len().div_ceil(15);
    let mut set = vec![0; 32 * (2 + names)];
    set[0] = 0x85;
    set[1] = u8::try_from(1 + names).expect("a possible name");
    set[4..6].copy_from_slice(&attributes.to_le_bytes());
    for at in [8, 12, 16] {
        set[at..at + 4].copy_from_slice(&stamp(file).to_le_bytes());
    }
    // Offsets from UTC, valid bit and quarters of an hour: +01:00.
    set[22..25].copy_from_slice(&[0x84; 3]);
    let stream = &mut set[32..64];
    stream[0] = 0xC0;
    stream[1] = extent.flags;
    stream[3] = u8::try_from(units.len()).expect("a possible name");
    stream[4..6].copy_from_slice(&name_hash(&units).to_le_bytes());
    stream[8..16].copy_from_slice(&valid.to_le_bytes());
    stream[20..24].copy_from_slice(&extent.first.to_le_bytes());
    stream[24..32].copy_from_slice(&extent.length.to_le_bytes());
    for (entry, part) in set[64..].chunks_mut(32).zip(units.chunks(15)) {
        entry[0] = 0xC1;
        for (at, unit) in part.iter().enumerate() {
            entry[2 + 2 * at..4 + 2 * at].copy_from_slice(&unit.to_le_bytes());
        }
    }
    let sum = set_checksum(&set);
    set[2..4].copy_from_slice(&sum.to_le_bytes());
    set
}

/// Section 7.4.8: date in the high half, time in the low.
fn stamp(file: &FileSpec) -> u32 {
    let year = u32::try_from(file.saved.year() - 1980).expect("a year after 1980");
    let date = year << 9 | file.saved.month() << 5 | file.saved.day();
    let time = file.saved.hour() << 11 | file.saved.minute() << 5 | (file.saved.second() / 2);
    date << 16 | time
}

/// Section 6.3.3: over all bytes but the sum's own.
fn set_checksum(set: &[u8]) -> u16 {
    let counted = set.iter().enumerate().filter(|(at, _)| !(2..4).contains(at));
    counted.fold(0, |sum: u16, (_, byte)| sum.rotate_right(1).wrapping_add(u16::from(*byte)))
}

/// Section 7.6.4's hash of the up-cased name; only a to z have capitals, as in the volume's own table.
#[must_use]
pub fn name_hash(units: &[u16]) -> u16 {
    let upper = units.iter().map(|unit| match unit {
        0x61..=0x7A => unit - 0x20,
        other => *other,
    });
    let bytes = upper.flat_map(u16::to_le_bytes);
    bytes.fold(0, |hash: u16, byte| hash.rotate_right(1).wrapping_add(u16::from(byte)))
}

/// Section 7.2.5: the mandatory first 128 characters, then one run of those that stay as they are.
fn upcase_table() -> Vec<u8> {
    let first = (0_u16..128).map(|unit| if (0x61..=0x7A).contains(&unit) { unit - 0x20 } else { unit });
    first.chain([0xFFFF, 0xFF80]).flat_map(u16::to_le_bytes).collect()
}

/// Sections 3.4 and 7.2.2: the same sum over a boot region (without three bytes) and over a table.
#[must_use]
pub fn checksum(bytes: &[u8], skip: &[usize]) -> u32 {
    let counted = bytes.iter().enumerate().filter(|(at, _)| !skip.contains(at));
    counted.fold(0, |sum: u32, (_, byte)| sum.rotate_right(1).wrapping_add(u32::from(*byte)))
}

/// An exFAT volume of `bytes` bytes with these files.
///
/// # Panics
/// When they do not fit.
#[must_use]
pub fn volume(bytes: usize, files: &[FileSpec], place: Place) -> Vec<u8> {
    let sectors = bytes / SECTOR;
    let fat_sectors = (sectors / 8 * 4).div_ceil(SECTOR).next_multiple_of(8);
    let heap_offset = FAT_OFFSET + fat_sectors;
    let clusters = (sectors - heap_offset) / (CLUSTER / SECTOR);
    let mut volume = Volume {
        fat: vec![0; fat_sectors * SECTOR / 4],
        heap: vec![0; clusters * CLUSTER],
        used: vec![false; clusters],
        next: 2,
    };
    // Section 4.1: media type, and a constant.
    volume.fat[..2].copy_from_slice(&[0xFFFF_FFF8, END]);
    let bitmap_bytes = clusters.div_ceil(8);
    let bitmap = volume.store(&vec![0; bitmap_bytes], Place::Chained);
    let table = upcase_table();
    let upcase = volume.store(&table, Place::Chained);
    let mut root = vec![0; 32 * 3];
    root[0] = 0x83;
    root[32] = 0x81;
    root[32 + 20..32 + 24].copy_from_slice(&bitmap.first.to_le_bytes());
    root[32 + 24..64].copy_from_slice(&bitmap.length.to_le_bytes());
    root[64] = 0x82;
    root[64 + 4..64 + 8].copy_from_slice(&checksum(&table, &[]).to_le_bytes());
    root[64 + 20..64 + 24].copy_from_slice(&upcase.first.to_le_bytes());
    root[64 + 24..96].copy_from_slice(&upcase.length.to_le_bytes());
    root.extend(volume.folder(files, "", place));
    // An end of folder follows unless the last cluster is full to its end.
    root.resize(root.len().next_multiple_of(CLUSTER), 0);
    // The root has no stream entry: its chain is always in the FAT.
    let scattered = if place == Place::Scattered { Place::Scattered } else { Place::Chained };
    let root = volume.store(&root, scattered);
    let bitmap_at = (bitmap.first as usize - 2) * CLUSTER;
    for cluster in (0..clusters).filter(|cluster| volume.used[*cluster]) {
        volume.heap[bitmap_at + cluster / 8] |= 1 << (cluster % 8);
    }

    let mut image = boot_region(sectors, fat_sectors, heap_offset, clusters, root.first);
    image.extend_from_within(..);
    image.resize(FAT_OFFSET * SECTOR, 0);
    image.extend(volume.fat.iter().flat_map(|entry| entry.to_le_bytes()));
    image.extend(volume.heap);
    image.resize(sectors * SECTOR, 0);
    image
}

/// Section 3: boot sector, eight extended ones, OEM parameters, a reserved one, and their checksum.
fn boot_region(
    sectors: usize,
    fat_sectors: usize,
    heap_offset: usize,
    clusters: usize,
    root: u32,
) -> Vec<u8> {
    let mut region = vec![0; 12 * SECTOR];
    let mut put = |at: usize, bytes: &[u8]| region[at..at + bytes.len()].copy_from_slice(bytes);
    put(0, &[0xEB, 0x76, 0x90]);
    put(3, b"EXFAT   ");
    put(72, &(sectors as u64).to_le_bytes());
    put(80, &number(FAT_OFFSET).to_le_bytes());
    put(84, &number(fat_sectors).to_le_bytes());
    put(88, &number(heap_offset).to_le_bytes());
    put(92, &number(clusters).to_le_bytes());
    put(96, &root.to_le_bytes());
    put(100, &0x2026_1125_u32.to_le_bytes());
    put(104, &0x0100_u16.to_le_bytes());
    put(108, &[9, SECTORS_A_CLUSTER_SHIFT, 1, 0x80, 0xFF]);
    put(510, &[0x55, 0xAA]);
    for extended in 1..9 {
        put(extended * SECTOR + 508, &0xAA55_0000_u32.to_le_bytes());
    }
    let sum = checksum(&region[..11 * SECTOR], &[106, 107, 112]);
    for at in (11 * SECTOR..12 * SECTOR).step_by(4) {
        region[at..at + 4].copy_from_slice(&sum.to_le_bytes());
    }
    region
}
