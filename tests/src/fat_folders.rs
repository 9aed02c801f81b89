//! Folders on a FAT volume, made with the `fatfs` crate and then put in order.
//!
//! The crate (0.3.6) writes a long name before a folder's own `.` and `..` entries, and gives `..` the root's
//! cluster where Microsoft's FAT overview 1.03 asks for 0 and for both to stand first. Most systems read such a
//! folder all the same; stricter readers, the core's among them, refuse it.

use std::io::{self, Read, Seek, SeekFrom, Write};

use fatfs::{FileSystem, FsOptions};

use crate::stamp::STAMP_CLOCK;

const SECTOR: u64 = 512;
const ENTRY: usize = 32;

/// Makes these folders (paths with slashes, each after its parent) on a volume that holds nothing else yet.
///
/// # Errors
/// When the volume cannot be read or written, is full, or a name is impossible.
pub fn make_folders<V: Read + Write + Seek>(volume: &mut V, paths: &[String]) -> io::Result<()> {
    if paths.is_empty() {
        return Ok(());
    }
    volume.seek(SeekFrom::Start(0))?;
    let card = FileSystem::new(&mut *volume, FsOptions::new().time_provider(&STAMP_CLOCK))?;
    for path in paths {
        card.root_dir().create_dir(path)?;
    }
    let stats = card.stats()?;
    card.unmount()?;
    put_in_order(volume, paths.len(), stats.total_clusters(), stats.cluster_size().into())
}

/// Walks the first clusters until every folder's beginning was found: nothing but folders is stored yet.
fn put_in_order<V: Read + Write + Seek>(
    volume: &mut V,
    folders: usize,
    clusters: u32,
    cluster_bytes: u64,
) -> io::Result<()> {
    let mut boot = [0; SECTOR as usize];
    volume.seek(SeekFrom::Start(0))?;
    volume.read_exact(&mut boot)?;
    let field = |at: usize| u64::from(boot[at]) | u64::from(boot[at + 1]) << 8;
    let table_sectors = if field(22) == 0 { field(36) | field(38) << 16 } else { field(22) };
    let root = if field(22) == 0 { field(44) | field(46) << 16 } else { 0 };
    let data = (field(14) + u64::from(boot[16]) * table_sectors) * SECTOR + field(17) * ENTRY as u64;
    let mut left = folders;
    for cluster in 0..u64::from(clusters) {
        if left == 0 {
            return Ok(());
        }
        let at = data + cluster * cluster_bytes;
        let mut entries = [0; 4 * ENTRY];
        volume.seek(SeekFrom::Start(at))?;
        volume.read_exact(&mut entries)?;
        if let Some(ordered) = ordered(&entries, cluster + 2, root) {
            volume.seek(SeekFrom::Start(at))?;
            volume.write_all(&ordered)?;
            left -= 1;
        }
    }
    Err(io::Error::other("a folder just made is not found again"))
}

/// The beginning of the folder at `cluster` as it should be, if this is one as the crate writes it.
fn ordered(entries: &[u8; 4 * ENTRY], cluster: u64, root: u64) -> Option<[u8; 4 * ENTRY]> {
    let entry = |at: usize| &entries[at * ENTRY..(at + 1) * ENTRY];
    let first_cluster = |entry: &[u8]| {
        let part = |at: usize| u64::from(entry[at]) | u64::from(entry[at + 1]) << 8;
        part(26) | part(20) << 16
    };
    let (own, parent) = (entry(1), entry(3));
    let made_by_the_crate = own.starts_with(b".          \x10")
        && parent.starts_with(b"..         \x10")
        && first_cluster(own) == cluster;
    if !made_by_the_crate {
        return None;
    }
    let mut ordered = [0; 4 * ENTRY];
    ordered[..ENTRY].copy_from_slice(own);
    ordered[ENTRY..2 * ENTRY].copy_from_slice(parent);
    if first_cluster(parent) == root {
        ordered[ENTRY + 20..ENTRY + 22].fill(0);
        ordered[ENTRY + 26..ENTRY + 28].fill(0);
    }
    // What stood there before is marked as deleted, so that the folder goes on behind it.
    ordered[2 * ENTRY] = 0xE5;
    ordered[3 * ENTRY] = 0xE5;
    Some(ordered)
}
