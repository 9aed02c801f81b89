//! Disk images built in memory, by writers other than the library that the core reads with.

use std::io::{Cursor, Write};

use crate::fat_folders::make_folders;
use crate::stamp::STAMP_CLOCK;
use chrono::{NaiveDate, NaiveDateTime};
use fatfs::{FatType, FileSystem, FormatVolumeOptions, FsOptions};

use crate::exfat;

/// The kinds of volume.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// FAT with 12 bits an entry.
    Fat12,
    /// FAT with 16 bits an entry.
    Fat16,
    /// FAT with 32 bits an entry.
    Fat32,
    /// exFAT.
    ExFat,
}

/// The kinds of partition table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Table {
    /// None: the volume begins at block 0.
    None,
    /// A master boot record.
    Mbr,
    /// A GUID partition table with both copies.
    Gpt,
}

/// Every kind of volume.
pub const KINDS: [Kind; 4] = [Kind::Fat12, Kind::Fat16, Kind::Fat32, Kind::ExFat];
/// Every kind of table.
pub const TABLES: [Table; 3] = [Table::None, Table::Mbr, Table::Gpt];

/// A file to be put into an image.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileSpec {
    /// The way from the root, with slashes; its folders are made.
    pub path: String,
    /// What the file holds.
    pub bytes: Vec<u8>,
    /// Local time of the last change.
    pub saved: NaiveDateTime,
}

impl FileSpec {
    /// A file saved at 2026-11-25 `hour`:`minute`.
    #[must_use]
    pub fn new(path: &str, bytes: impl Into<Vec<u8>>, hour: u32, minute: u32) -> Self {
        Self { path: path.to_owned(), bytes: bytes.into(), saved: clock(hour, minute, 0) }
    }

    /// The name without its folders.
    #[must_use]
    pub fn name(&self) -> &str {
        self.path.rsplit('/').next().unwrap_or_default()
    }

    /// The folders without the name.
    #[must_use]
    pub fn folder(&self) -> &str {
        self.path.rsplit_once('/').map_or("", |(folder, _)| folder)
    }
}

/// 2026-11-25 at this time.
///
/// # Panics
/// When there is no such time of day.
#[must_use]
pub fn clock(hour: u32, minute: u32, second: u32) -> NaiveDateTime {
    let day = NaiveDate::from_ymd_opt(2026, 11, 25).expect("a day");
    day.and_hms_opt(hour, minute, second).expect("a time of day")
}

/// Bytes that differ everywhere, so that a block out of place shows.
#[must_use]
pub fn numbered_bytes(length: usize, start: u32) -> Vec<u8> {
    (start..).flat_map(u32::to_le_bytes).take(length).collect()
}

/// A FAT volume's shape.
#[derive(Clone, Copy, Debug)]
pub struct FatShape {
    /// Bytes of the volume.
    pub bytes: usize,
    /// Bytes of a cluster.
    pub cluster: u32,
    /// The kind.
    pub kind: FatType,
    /// Entries of the root folder (FAT12 and FAT16).
    pub root_entries: u16,
}

/// The smallest usual volume of each kind of FAT.
///
/// # Panics
/// For exFAT.
#[must_use]
pub fn small_fat(kind: Kind) -> FatShape {
    let (bytes, cluster, kind) = match kind {
        Kind::Fat12 => (1 << 20, 512, FatType::Fat12),
        Kind::Fat16 => (4 << 20, 512, FatType::Fat16),
        Kind::Fat32 => (34 << 20, 512, FatType::Fat32),
        Kind::ExFat => panic!("exFAT is no FAT"),
    };
    FatShape { bytes, cluster, kind, root_entries: 4_096 }
}

/// A FAT volume with these files, written by the `fatfs` crate.
///
/// # Panics
/// When they do not fit.
#[must_use]
pub fn fat_volume(shape: FatShape, files: &[FileSpec]) -> Vec<u8> {
    let mut volume = vec![0; shape.bytes];
    fill_fat(&mut volume, shape, &folders(files), |card| {
        for file in files {
            STAMP_CLOCK.set(Some(file.saved));
            let mut to = card.root_dir().create_file(&stand_in(&file.path)).expect("a file");
            to.write_all(&file.bytes).expect("the file's bytes");
        }
    });
    if files.iter().any(|file| stand_in(&file.path) != file.path) {
        put_pairs_back(&mut volume);
    }
    volume
}

/// A FAT volume in which two files lie in turn, a cluster of the one and a cluster of the other.
///
/// # Panics
/// When they do not fit.
#[must_use]
pub fn fat_volume_in_turn(shape: FatShape, files: [&FileSpec; 2]) -> Vec<u8> {
    let mut volume = vec![0; shape.bytes];
    fill_fat(&mut volume, shape, &[], |card| {
        STAMP_CLOCK.set(Some(files[0].saved));
        let [mut first, mut second] =
            files.map(|file| card.root_dir().create_file(&file.path).expect("a file"));
        let cluster = shape.cluster as usize;
        let mut rests = files.map(|file| file.bytes.as_slice());
        while rests.iter().any(|rest| !rest.is_empty()) {
            for (to, rest) in [&mut first, &mut second].into_iter().zip(&mut rests) {
                let (part, left) = rest.split_at(rest.len().min(cluster));
                to.write_all(part).expect("a cluster");
                *rest = left;
            }
        }
    });
    volume
}

fn fill_fat(
    volume: &mut Vec<u8>,
    shape: FatShape,
    folders: &[String],
    fill: impl FnOnce(&FileSystem<Cursor<&mut Vec<u8>>>),
) {
    let format = FormatVolumeOptions::new()
        .fat_type(shape.kind)
        .bytes_per_cluster(shape.cluster)
        .max_root_dir_entries(shape.root_entries);
    fatfs::format_volume(Cursor::new(&mut *volume), format).expect("a volume");
    STAMP_CLOCK.set(None);
    make_folders(&mut Cursor::new(&mut *volume), folders).expect("the folders");
    let options = FsOptions::new().time_provider(&STAMP_CLOCK);
    let card = FileSystem::new(Cursor::new(&mut *volume), options).expect("the volume just made");
    fill(&card);
    card.unmount().expect("the volume's end");
}

/// The folders of these files, each after its parent.
fn folders(files: &[FileSpec]) -> Vec<String> {
    let mut made: Vec<String> = Vec::new();
    for file in files {
        for (end, _) in file.path.match_indices('/') {
            let folder = &file.path[..end];
            if !made.iter().any(|known| known == folder) {
                made.push(folder.to_owned());
            }
        }
    }
    made
}

/// Where the private characters begin that stand for halves of a pair, and where those for second halves do.
const FIRST_HALF: u16 = 0xE000;
const SECOND_HALF: u16 = 0xE400;

/// The name with two private characters for each that needs a pair in UTF-16: the `fatfs` crate stores no pairs.
fn stand_in(name: &str) -> String {
    let unit = |unit: u16| match unit {
        0xD800..=0xDBFF => FIRST_HALF + (unit - 0xD800),
        0xDC00..=0xDFFF => SECOND_HALF + (unit - 0xDC00),
        other => other,
    };
    String::from_utf16(&name.encode_utf16().map(unit).collect::<Vec<u16>>()).expect("no halves are left")
}

/// Puts the pairs into the long names in the place of what stood for them. No check goes over a long name.
fn put_pairs_back(volume: &mut [u8]) {
    for entry in volume.chunks_mut(32) {
        let is_long = entry[11] == 0x0F && entry[12] == 0 && entry[26..28] == [0, 0];
        if !is_long {
            continue;
        }
        for at in (1..11).step_by(2).chain((14..26).step_by(2)).chain((28..32).step_by(2)) {
            let unit = u16::from_le_bytes([entry[at], entry[at + 1]]);
            let pair = match unit {
                FIRST_HALF..SECOND_HALF => 0xD800 + (unit - FIRST_HALF),
                SECOND_HALF..0xE800 => 0xDC00 + (unit - SECOND_HALF),
                other => other,
            };
            entry[at..at + 2].copy_from_slice(&pair.to_le_bytes());
        }
    }
}

/// A volume of this kind with these files.
#[must_use]
pub fn volume(kind: Kind, files: &[FileSpec]) -> Vec<u8> {
    match kind {
        Kind::ExFat => exfat::volume(4 << 20, files, exfat::Place::OneRun),
        kind => fat_volume(small_fat(kind), files),
    }
}

/// A card's image.
#[must_use]
pub fn card(kind: Kind, table: Table, files: &[FileSpec]) -> Vec<u8> {
    in_table(&volume(kind, files), kind, table)
}

/// A volume in its table.
#[must_use]
pub fn in_table(volume: &[u8], kind: Kind, table: Table) -> Vec<u8> {
    match table {
        Table::None => volume.to_vec(),
        Table::Mbr => in_mbr(volume, type_code(kind)),
        Table::Gpt => in_gpt(volume),
    }
}

/// The MBR's code for a kind (trade convention).
#[must_use]
pub const fn type_code(kind: Kind) -> u8 {
    match kind {
        Kind::Fat12 => 0x01,
        Kind::Fat16 => 0x0E,
        Kind::Fat32 => 0x0C,
        Kind::ExFat => 0x07,
    }
}

/// Where partitions begin here: 1 MiB.
pub const PARTITION_BLOCK: usize = 2_048;

fn partition_entry(code: u8, first: u32, count: u32) -> [u8; 16] {
    let mut entry = [0; 16];
    entry[4] = code;
    entry[8..12].copy_from_slice(&first.to_le_bytes());
    entry[12..].copy_from_slice(&count.to_le_bytes());
    entry
}

fn blocks(bytes: usize) -> u32 {
    u32::try_from(bytes / 512).expect("a small image")
}

/// The volume as the only partition of an MBR.
#[must_use]
pub fn in_mbr(volume: &[u8], code: u8) -> Vec<u8> {
    let mut card = vec![0; PARTITION_BLOCK * 512];
    card[446..462].copy_from_slice(&partition_entry(
        code,
        blocks(PARTITION_BLOCK * 512),
        blocks(volume.len()),
    ));
    card[510..512].copy_from_slice(&[0x55, 0xAA]);
    card.extend_from_slice(volume);
    card
}

/// CRC-32 of ISO-HDLC, which GPT uses, from the `crc` crate.
const CRC: crc::Crc<u32> = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC);

/// The volume as the only partition (basic data) of a GPT: UEFI Specification, chapter GUID Partition Table.
#[must_use]
pub fn in_gpt(volume: &[u8]) -> Vec<u8> {
    const ENTRY_BLOCKS: usize = 32;
    let data = volume.len() / 512;
    let total = PARTITION_BLOCK + data + 1 + ENTRY_BLOCKS;
    let mut card = vec![0; total * 512];
    let protective = partition_entry(0xEE, 1, u32::try_from(total - 1).expect("a small image"));
    card[446..462].copy_from_slice(&protective);
    card[510..512].copy_from_slice(&[0x55, 0xAA]);
    card[PARTITION_BLOCK * 512..][..volume.len()].copy_from_slice(volume);

    let mut entries = vec![0; ENTRY_BLOCKS * 512];
    // EBD0A0A2-B9E5-4433-87C0-68B6B72699C7, basic data, as stored.
    entries[..16].copy_from_slice(&[
        0xA2, 0xA0, 0xD0, 0xEB, 0xE5, 0xB9, 0x33, 0x44, 0x87, 0xC0, 0x68, 0xB6, 0xB7, 0x26, 0x99, 0xC7,
    ]);
    entries[16..32].copy_from_slice(&[7; 16]);
    entries[32..40].copy_from_slice(&(PARTITION_BLOCK as u64).to_le_bytes());
    entries[40..48].copy_from_slice(&((PARTITION_BLOCK + data - 1) as u64).to_le_bytes());
    let last = total - 1;
    for (at, other, entries_at) in [(1, last, 2), (last, 1, last - ENTRY_BLOCKS)] {
        card[entries_at * 512..][..entries.len()].copy_from_slice(&entries);
        let header = gpt_header(at, other, entries_at, last, &entries);
        card[at * 512..][..header.len()].copy_from_slice(&header);
    }
    card
}

fn gpt_header(at: usize, other: usize, entries_at: usize, last: usize, entries: &[u8]) -> [u8; 92] {
    let mut header = [0; 92];
    let mut put = |at: usize, bytes: &[u8]| header[at..at + bytes.len()].copy_from_slice(bytes);
    put(0, b"EFI PART");
    put(8, &0x0001_0000_u32.to_le_bytes());
    put(12, &92_u32.to_le_bytes());
    put(24, &(at as u64).to_le_bytes());
    put(32, &(other as u64).to_le_bytes());
    put(40, &34_u64.to_le_bytes());
    put(48, &((last - 33) as u64).to_le_bytes());
    put(56, &[9; 16]);
    put(72, &(entries_at as u64).to_le_bytes());
    put(80, &128_u32.to_le_bytes());
    put(84, &128_u32.to_le_bytes());
    put(88, &CRC.checksum(entries).to_le_bytes());
    let sum = CRC.checksum(&header);
    header[16..20].copy_from_slice(&sum.to_le_bytes());
    header
}
