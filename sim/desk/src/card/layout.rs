//! How large a card's parts are, and its partition table.

use std::io::{self, Read, Seek, SeekFrom, Write};

use anyhow::{Result, bail, ensure};

use super::{CardKind, CardOptions, CardTable, Entry};

const SECTOR: u64 = 512;
const MIB: u64 = 1 << 20;

/// Where the partition begins: 1 MiB, a whole number of every card's erase blocks. Common practice.
const PARTITION_START: u64 = MIB;

/// The smallest image that is made unasked.
const SMALLEST: u64 = 4 * MIB;

/// Fewer clusters than these are FAT12 and FAT16 (Microsoft's FAT overview 1.03, the only test of the kind).
const FAT12_CLUSTERS: u64 = 4_085;
const FAT16_CLUSTERS: u64 = 65_525;

/// The largest cluster that every reader takes (same source: 64 KiB is the end of what works everywhere).
const LARGEST_CLUSTER: u64 = 64 * 1024;

/// Sizes and places of an image's parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layout {
    pub(super) kind: CardKind,
    /// Bytes of the whole image.
    pub size_bytes: u64,
    pub(super) volume_start: u64,
    pub(super) volume_bytes: u64,
    /// Bytes of a cluster.
    pub cluster_bytes: u32,
    /// Entries of the root folder, which FAT12 and FAT16 keep in a place of fixed size.
    pub(super) root_entries: u16,
}

impl Layout {
    /// Fits a volume around the files.
    ///
    /// # Errors
    /// When the files do not fit the size, or the kind does not.
    pub fn plan(sources: &[Entry], options: &CardOptions) -> Result<Self> {
        let volume_start = match options.table {
            CardTable::None => 0,
            CardTable::Mbr => PARTITION_START,
        };
        let size_bytes = match options.size_bytes {
            Some(bytes) => bytes / SECTOR * SECTOR,
            None => unasked_size(sources, options.kind, volume_start),
        };
        let volume_bytes = size_bytes.saturating_sub(volume_start);
        ensure!(
            volume_bytes >= 64 * 1024,
            "a card of {size_bytes} bytes is too small: at least {} are needed",
            volume_start + 64 * 1024
        );
        ensure!(
            volume_bytes / SECTOR <= u64::from(u32::MAX),
            "a card of {size_bytes} bytes is too large for FAT, which counts 2 TiB at most"
        );
        let kind = options.kind.unwrap_or(match volume_bytes {
            // As cards and disks of these sizes are formatted (common practice).
            0..8_388_608 => CardKind::Fat12,
            8_388_608..536_870_912 => CardKind::Fat16,
            _ => CardKind::Fat32,
        });
        let cluster_bytes = cluster_bytes(kind, volume_bytes)?;
        let root_entries = root_entries(sources);
        let layout = Self { kind, size_bytes, volume_start, volume_bytes, cluster_bytes, root_entries };
        ensure!(
            content_bytes(sources, layout.cluster_bytes.into()) < volume_bytes,
            layout.too_small(sources)
        );
        Ok(layout)
    }

    pub(super) fn sectors(&self) -> u32 {
        u32::try_from(self.volume_bytes / SECTOR).unwrap_or(u32::MAX)
    }

    /// What to say when the files do not fit.
    pub(super) fn too_small(&self, sources: &[Entry]) -> String {
        let files: u64 = sources.iter().map(|source| source.bytes).sum();
        format!(
            "the folder's files ({files} bytes) do not fit a card of {} bytes: ask for a larger one",
            self.size_bytes
        )
    }
}

/// Room for the root's own names (an entry for each 13 characters and one more), and the usual 512 at least.
fn root_entries(sources: &[Entry]) -> u16 {
    let entries = |source: &Entry| source.name.encode_utf16().count().div_ceil(13) + 1;
    let needed: usize = sources.iter().filter(|source| !source.name.contains('/')).map(entries).sum();
    u16::try_from((needed + 64).next_multiple_of(16)).unwrap_or(65_520).max(512)
}

/// The files' need of clusters, and a folder's: one for itself and its entries.
fn content_bytes(sources: &[Entry], cluster: u64) -> u64 {
    let one =
        |source: &Entry| if source.is_folder { cluster } else { source.bytes.next_multiple_of(cluster) };
    sources.iter().map(one).sum()
}

fn unasked_size(sources: &[Entry], kind: Option<CardKind>, volume_start: u64) -> u64 {
    // A folder's entries take up to 21 slots of 32 bytes a file; a quarter more is room for the day book.
    let entries = sources.len() as u64 * 21 * 32;
    let content = content_bytes(sources, 4_096) + entries;
    let least = match kind {
        // 65,525 clusters of one sector, and their table twice.
        Some(CardKind::Fat32) => 34 * MIB,
        // 4,085 clusters of one sector, and their table twice.
        Some(CardKind::Fat16) => 3 * MIB,
        _ => SMALLEST,
    };
    volume_start + (content + content / 4).max(least).next_multiple_of(MIB)
}

/// The smallest cluster with which a volume of these bytes is of this kind, but no smaller than 4 KiB where the
/// kind allows it: a table of fewer clusters is read faster.
fn cluster_bytes(kind: CardKind, volume_bytes: u64) -> Result<u32> {
    let possible = |cluster: &u64| {
        // Reserved sectors and both tables take from the clusters; an upper and a lower bound are enough.
        let most = volume_bytes / cluster;
        let least = volume_bytes.saturating_sub(volume_bytes / 64 + 64 * 1024) / cluster;
        match kind {
            CardKind::Fat12 => most < FAT12_CLUSTERS && least > 0,
            CardKind::Fat16 => least >= FAT12_CLUSTERS && most < FAT16_CLUSTERS,
            CardKind::Fat32 => least >= FAT16_CLUSTERS,
        }
    };
    let sizes: Vec<u64> =
        (0..8).map(|power| SECTOR << power).filter(|size| *size <= LARGEST_CLUSTER).collect();
    let preferred = sizes.iter().copied().filter(|size| *size >= 4_096).find(|size| possible(size));
    let smaller = || sizes.iter().rev().copied().filter(|size| *size < 4_096).find(|size| possible(size));
    let Some(found) = preferred.or_else(smaller) else {
        bail!(
            "a {kind:?} volume cannot have {volume_bytes} bytes: FAT12 holds up to 255 MiB, FAT16 3 MiB to 4 GiB, \
             FAT32 34 MiB and more"
        );
    };
    Ok(u32::try_from(found)?)
}

/// Writes the MBR, and into the volume how many sectors stand before it.
pub(super) fn write_table(
    image: &mut (impl Read + Write + Seek),
    layout: &Layout,
    kind: CardKind,
) -> io::Result<()> {
    if layout.volume_start == 0 {
        return Ok(());
    }
    let first = u32::try_from(layout.volume_start / SECTOR).unwrap_or(u32::MAX);
    // Type codes: 01 FAT12, 04 FAT16 below 32 MiB, 0E FAT16 and 0C FAT32 by block numbers (trade convention).
    let code = match kind {
        CardKind::Fat12 => 0x01,
        CardKind::Fat16 if layout.volume_bytes < 32 * MIB => 0x04,
        CardKind::Fat16 => 0x0E,
        CardKind::Fat32 => 0x0C,
    };
    let mut table = [0_u8; 512];
    // A disk signature must not be zero for some systems; its value is free.
    table[440..444].copy_from_slice(b"HOLD");
    // Cylinder, head and sector are out of use: all ones mean "see the block numbers".
    table[446..454].copy_from_slice(&[0x00, 0xFE, 0xFF, 0xFF, code, 0xFE, 0xFF, 0xFF]);
    table[454..458].copy_from_slice(&first.to_le_bytes());
    table[458..462].copy_from_slice(&layout.sectors().to_le_bytes());
    table[510..].copy_from_slice(&[0x55, 0xAA]);
    image.seek(SeekFrom::Start(0))?;
    image.write_all(&table)?;
    // BPB_HiddSec at 28, also in FAT32's second boot sector, whose sector number stands at 50.
    let mut boot = [0_u8; 512];
    image.seek(SeekFrom::Start(layout.volume_start))?;
    image.read_exact(&mut boot)?;
    let second = if kind == CardKind::Fat32 { u64::from(boot[50]) | u64::from(boot[51]) << 8 } else { 0 };
    for sector in [0, second] {
        image.seek(SeekFrom::Start(layout.volume_start + sector * SECTOR + 28))?;
        image.write_all(&first.to_le_bytes())?;
    }
    image.flush()
}
