//! What the first row on a large, full card costs: every chain is walked and both tables are compared before it.

use std::cell::Cell;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;

use fatfs::{FatType, FormatVolumeOptions};
use holdpoint_cli::image_file::ImageFile;
use holdpoint_shared::daybook::{HEADER, ROWS_FILE};
use holdpoint_shared::media::{
    BlockDevice, BlockErrorKind, BlockIndex, JobFiles, MediaFault, MountToken, Volume,
};
use holdpoint_tests::cards::Counted;
use holdpoint_tests::trade::Rng;

/// Bytes of a card sold as 32 GB.
const CARD: u64 = 32_000_000_000;

/// How the files of a card lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Lie {
    /// Each in one piece.
    Whole,
    /// In pieces of so many clusters, shuffled over the card.
    Pieces(usize),
}

/// A FAT32 card with clusters of this size of which so many percent are in use: a file for every thousand clusters.
fn full_card(cluster: u32, lie: Lie, percent: u32) -> tempfile::NamedTempFile {
    let mut file = tempfile::NamedTempFile::new().expect("a file");
    file.as_file().set_len(CARD).expect("a sparse file");
    let format = FormatVolumeOptions::new()
        .fat_type(FatType::Fat32)
        .bytes_per_cluster(cluster)
        .total_sectors((CARD / 512) as u32);
    fatfs::format_volume(file.as_file_mut(), format).expect("a volume");
    let disk: &mut File = file.as_file_mut();
    let mut boot = [0; 512];
    disk.seek(SeekFrom::Start(0)).expect("its start");
    disk.read_exact(&mut boot).expect("a boot sector");
    let word = |at: usize| u32::from_le_bytes(boot[at..at + 4].try_into().expect("four bytes"));
    let reserved = u64::from(boot[14]) | u64::from(boot[15]) << 8;
    let (tables, table) = (u64::from(boot[16]), u64::from(word(36)) * 512);
    let data = reserved * 512 + tables * table;
    let clusters = ((CARD - data) / u64::from(cluster)) as u32;
    let used = clusters / 100 * percent;
    let mut order: Vec<u32> = (2 + ROOT..used).collect();
    if let Lie::Pieces(piece) = lie {
        let mut pieces: Vec<Vec<u32>> = order.chunks(piece).map(<[u32]>::to_vec).collect();
        let mut random = Rng::new(5);
        for at in (1..pieces.len()).rev() {
            pieces.swap(at, random.below(at + 1));
        }
        order = pieces.concat();
    }
    let mut entries = vec![0_u32; used as usize];
    entries[0] = 0x0FFF_FFF8;
    entries[1] = 0x0FFF_FFFF;
    for cluster in 2..2 + ROOT {
        entries[cluster as usize] = if cluster + 1 < 2 + ROOT { cluster + 1 } else { 0x0FFF_FFFF };
    }
    let mut folder = Vec::new();
    for (number, chain) in order.chunks(1_000).enumerate() {
        for (at, cluster) in chain.iter().enumerate() {
            entries[*cluster as usize] = chain.get(at + 1).copied().unwrap_or(0x0FFF_FFFF);
        }
        let first = chain[0].to_le_bytes();
        let mut entry = [0; 32];
        entry[..11].copy_from_slice(format!("P{number:07}GCO").as_bytes());
        entry[11] = 0x20;
        entry[20..22].copy_from_slice(&first[2..]);
        entry[26..28].copy_from_slice(&first[..2]);
        entry[28..].copy_from_slice(&(chain.len() as u32 * cluster).to_le_bytes());
        folder.extend(entry);
    }
    assert!(folder.len() < (ROOT * cluster) as usize);
    let bytes: Vec<u8> = entries.iter().flat_map(|entry| entry.to_le_bytes()).collect();
    let places = (0..tables).map(|copy| (reserved * 512 + copy * table, &bytes));
    for (at, bytes) in places.chain([(data, &folder)]) {
        disk.seek(SeekFrom::Start(at)).expect("a place");
        disk.write_all(bytes).expect("space");
    }
    file
}

/// Clusters of the root folder.
const ROOT: u32 = 64;

/// A card on a board: it may check only so much at once.
struct OnBoard(ImageFile, u32);

impl BlockDevice for OnBoard {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.0.block_count()
    }

    fn writable(&self) -> bool {
        true
    }

    fn blocks_to_check(&self) -> u32 {
        self.1
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        self.0.read(first, blocks)
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        self.0.write(first, blocks)
    }
}

/// Blocks that the first row reads, and what came of it.
fn first_row(card: &Path, checked: u32) -> (u64, Result<(), MediaFault>) {
    let read = Cell::new(0);
    let mut token = MountToken::new();
    let device = OnBoard(ImageFile::open_writable(card).expect("the card"), checked);
    let mut volume = Volume::mount(Counted::new(device, &read), &mut token).expect("a volume");
    read.set(0);
    let written = volume.append_record(ROWS_FILE, HEADER.as_bytes(), b"1,M2\r\n");
    (read.get(), written.map_err(|error| error.fault))
}

/// What a board may check (`firmware/src/drivers/sd_card.rs`), and what a round reads with the search for room: 4 s at 1 MB/s,
/// half of what its watchdog allows.
const BOARD: u32 = 6_000;
const ROUND: u64 = 8_000;

#[test]
fn the_first_row_on_a_large_full_card() {
    for (cluster, lie, most) in
        [(32_768, Lie::Whole, 31_000), (16_384, Lie::Whole, 62_000), (32_768, Lie::Pieces(64), 46_000)]
    {
        let card = full_card(cluster, lie, 99);
        let (read, written) = first_row(card.path(), BOARD);
        assert!(read <= ROUND, "{read} blocks");
        assert_eq!(written, Err(MediaFault::Unchecked), "{cluster} {lie:?}: told, and not as damage");
        let (read, written) = first_row(card.path(), u32::MAX);
        println!("{cluster} {lie:?}: {read} blocks, {} s at 1 MB/s", read * 512 / 1_000_000);
        assert_eq!(written, Ok(()));
        assert!(read <= most, "{read} blocks");
    }
}

#[test]
fn the_first_row_on_a_large_card_that_is_not_full() {
    for (lie, percent) in [(Lie::Whole, 20), (Lie::Pieces(64), 10)] {
        let card = full_card(32_768, lie, percent);
        let (read, written) = first_row(card.path(), BOARD);
        println!("{lie:?}: {read} blocks, {} ms at 1 MB/s", read * 512 / 1_000);
        assert_eq!(written, Ok(()), "{lie:?}");
        assert!(read <= ROUND, "{read} blocks");
    }
}
