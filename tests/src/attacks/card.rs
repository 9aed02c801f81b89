//! Damage to a card that is then written: no byte of another's file may change.

use holdpoint_desk::image::Image;
use holdpoint_shared::daybook::{HEADER, ROW_BYTES, ROWS_FILE, Row};
use holdpoint_shared::media::{JobFiles, MediaError, MountToken, Volume, append_rows};

use super::Attack;
use crate::cards::read_record;
use crate::faults::{Fault, Faulty};
use crate::images::{FileSpec, Kind, Table, card, numbered_bytes};
use crate::oracle::Survived;
use crate::trade::Rng;

/// Every attack on a card.
pub const ATTACKS: &[Attack] = &[
    Attack {
        name: "card: an entry of one table copy changed",
        case: |rng| damaged(rng, |rng, fat| entry(rng, fat, Some(1))),
    },
    Attack {
        name: "card: an entry of both table copies changed",
        case: |rng| damaged(rng, |rng, fat| entry(rng, fat, None)),
    },
    Attack { name: "card: two chains joined", case: |rng| damaged(rng, join) },
    Attack { name: "card: a start or a size of a file changed", case: |rng| damaged(rng, start) },
    Attack { name: "card: 1 to 64 bytes of the tables overwritten", case: |rng| damaged(rng, tables) },
    Attack { name: "card: 1 to 64 bytes of a folder overwritten", case: |rng| damaged(rng, folders) },
    Attack { name: "card: power cut at a written block, next row after it", case: cut_then_row },
    Attack { name: "card: power cut, then the tables overwritten", case: cut_then_damage },
];

const FATS: [Kind; 3] = [Kind::Fat12, Kind::Fat16, Kind::Fat32];

/// A FAT volume, read slowly and plainly (Microsoft's FAT overview 1.03).
#[derive(Debug)]
pub struct Plain {
    /// The volume, at the image's beginning.
    pub image: Vec<u8>,
    kind: Kind,
    tables: [usize; 2],
    table_bytes: usize,
    root: (usize, usize),
    root_cluster: u32,
    data: usize,
    cluster_bytes: usize,
    clusters: u32,
}

/// A file or a folder: its entry's place, its name and its clusters.
#[derive(Clone, Debug)]
pub struct Item {
    /// The entry's first byte.
    pub at: usize,
    /// Whether it is our folder, or lies in it.
    pub ours: bool,
    folder: bool,
    clusters: Vec<u32>,
}

impl Plain {
    /// Reads an undamaged image.
    #[must_use]
    pub fn new(image: Vec<u8>, kind: Kind) -> Self {
        let half = |at: usize| usize::from(u16::from_le_bytes([image[at], image[at + 1]]));
        let word = |at: usize| half(at) | half(at + 2) << 16;
        let (sector, reserved) = (half(11), half(14));
        let table_sectors = if half(22) == 0 { word(36) } else { half(22) };
        let cluster_bytes = usize::from(image[13]) * sector;
        let first = reserved * sector;
        let table_bytes = table_sectors * sector;
        let root = first + 2 * table_bytes;
        let root_bytes = half(17) * 32;
        let data = root + root_bytes;
        let sectors = if half(19) == 0 { word(32) } else { half(19) };
        Self {
            kind,
            tables: [first, first + table_bytes],
            table_bytes,
            root: (root, root_bytes),
            root_cluster: if kind == Kind::Fat32 { word(44) as u32 } else { 0 },
            data,
            cluster_bytes,
            clusters: ((sectors * sector - data) / cluster_bytes) as u32,
            image,
        }
    }

    fn entry(&self, cluster: u32) -> u32 {
        let table = &self.image[self.tables[0]..][..self.table_bytes];
        let cluster = cluster as usize;
        match self.kind {
            Kind::Fat12 => {
                let at = cluster * 3 / 2;
                let pair = u32::from(table[at]) | u32::from(table[at + 1]) << 8;
                if cluster.is_multiple_of(2) { pair & 0xFFF } else { pair >> 4 }
            }
            Kind::Fat16 => u32::from(u16::from_le_bytes([table[2 * cluster], table[2 * cluster + 1]])),
            _ => u32::from_le_bytes(table[4 * cluster..][..4].try_into().expect("four")) & 0x0FFF_FFFF,
        }
    }

    fn set_entry(&mut self, copy: usize, cluster: u32, value: u32) {
        let (at, kind) = (self.tables[copy], self.kind);
        let cluster = cluster as usize;
        match kind {
            Kind::Fat12 => {
                let at = at + cluster * 3 / 2;
                let pair = u16::from_le_bytes([self.image[at], self.image[at + 1]]);
                let value = (value & 0xFFF) as u16;
                let pair = if cluster.is_multiple_of(2) {
                    pair & 0xF000 | value
                } else {
                    pair & 0x000F | value << 4
                };
                self.image[at..at + 2].copy_from_slice(&pair.to_le_bytes());
            }
            Kind::Fat16 => {
                self.image[at + 2 * cluster..][..2].copy_from_slice(&(value as u16).to_le_bytes());
            }
            _ => self.image[at + 4 * cluster..][..4].copy_from_slice(&(value & 0x0FFF_FFFF).to_le_bytes()),
        }
    }

    fn end(&self) -> u32 {
        match self.kind {
            Kind::Fat12 => 0xFFF,
            Kind::Fat16 => 0xFFFF,
            _ => 0x0FFF_FFFF,
        }
    }

    fn chain(&self, first: u32) -> Vec<u32> {
        let mut chain = vec![];
        let mut cluster = first;
        while (2..self.clusters + 2).contains(&cluster) {
            chain.push(cluster);
            cluster = self.entry(cluster);
        }
        chain
    }

    fn cluster_at(&self, cluster: u32) -> usize {
        self.data + (cluster as usize - 2) * self.cluster_bytes
    }

    /// Every file and folder.
    #[must_use]
    pub fn items(&self) -> Vec<Item> {
        let root: Vec<(usize, usize)> = if self.root_cluster == 0 {
            vec![self.root]
        } else {
            self.chain(self.root_cluster).iter().map(|c| (self.cluster_at(*c), self.cluster_bytes)).collect()
        };
        let mut items = Vec::new();
        self.list(&root, false, &mut items);
        items
    }

    fn list(&self, parts: &[(usize, usize)], ours: bool, items: &mut Vec<Item>) {
        for at in parts.iter().flat_map(|(start, bytes)| (*start..start + bytes).step_by(32)) {
            let entry = &self.image[at..at + 32];
            if entry[0] == 0 {
                return;
            }
            if entry[0] == 0xE5 || entry[0] == b'.' || entry[11] & 0x08 != 0 {
                continue;
            }
            let first = u32::from(u16::from_le_bytes([entry[26], entry[27]]))
                | if self.kind == Kind::Fat32 {
                    u32::from(u16::from_le_bytes([entry[20], entry[21]])) << 16
                } else {
                    0
                };
            let folder = entry[11] & 0x10 != 0;
            let ours = ours || &entry[..11] == b"HOLDPT     ";
            let clusters = self.chain(first);
            items.push(Item { at, ours, folder, clusters: clusters.clone() });
            if folder {
                let parts: Vec<_> =
                    clusters.iter().map(|c| (self.cluster_at(*c), self.cluster_bytes)).collect();
                self.list(&parts, ours, items);
            }
        }
    }
}

/// Bytes that belong to others: their entries and their clusters.
fn others(plain: &Plain) -> Vec<(usize, usize)> {
    let mut ranges = Vec::new();
    for item in plain.items().iter().filter(|item| !item.ours) {
        ranges.push((item.at, 32));
        // A folder's own entries are counted one by one; what lies behind them is free.
        let clusters = item.clusters.iter().filter(|_| !item.folder);
        ranges.extend(clusters.map(|cluster| (plain.cluster_at(*cluster), plain.cluster_bytes)));
    }
    ranges
}

fn row(rec: u32) -> Vec<u8> {
    let mut row = Row { rec, findings: [58, 71].into_iter().collect(), firmware: "0.3.0", ..Row::default() };
    row.set_machine("M2");
    row.set_job("bracket", Some(4_183_221), Some(0x9F3A_11C0));
    row.write(&mut [0; ROW_BYTES]).to_vec()
}

fn append(
    rng: &mut Rng,
    device: impl holdpoint_shared::media::BlockDevice,
    rec: u32,
) -> Result<(), MediaError> {
    let row = row(rec);
    if rng.chance(50) {
        let mut token = MountToken::new();
        Volume::mount(device, &mut token)?.append_record(ROWS_FILE, HEADER.as_bytes(), &row)
    } else {
        append_rows(device, ROWS_FILE, HEADER.as_bytes(), &row)
    }
}

/// A card with jobs, a folder, records, and a book of some rows.
fn sound(rng: &mut Rng) -> Plain {
    let kind = rng.pick(&FATS);
    let mut files = vec![
        FileSpec::new("a.gcode", numbered_bytes(2_000 + rng.below(6_000), 1), 8, 0),
        FileSpec::new("HOLDPT/MACHINE.JSN", include_str!("../../../sim/demo/HOLDPT/MACHINE.JSN"), 8, 0),
        FileSpec::new("parts/b.gcode", numbered_bytes(500 + rng.below(3_000), 5_000), 9, 0),
        FileSpec::new("c.gcode", numbered_bytes(1 + rng.below(9_000), 9_000), 9, 30),
    ];
    // The book in front of the last job, in the middle of it all, or not there yet.
    let rows = rng.below(6) as u32;
    if rows > 0 {
        let mut book = HEADER.as_bytes().to_vec();
        (0..rows).for_each(|rec| book.extend(row(rec)));
        files.insert(rng.below(files.len()), FileSpec::new("HOLDPT/DAYBOOK.CSV", book, 10, 0));
    }
    Plain::new(card(kind, Table::None, &files), kind)
}

/// Appends a row to a damaged card and looks at what became of everything else.
fn append_and_compare(rng: &mut Rng, ranges: &[(usize, usize)], image: Vec<u8>) -> Result<Survived, String> {
    let before = image.clone();
    let mut device = Image::from_bytes(image);
    let answer = append(rng, &mut device, 99);
    let image = device.into_bytes();
    for (at, bytes) in ranges {
        if image[*at..][..*bytes] != before[*at..][..*bytes] {
            return Err(format!("bytes of another's file changed at {at}, and the answer was {answer:?}"));
        }
    }
    match answer {
        Ok(()) => {
            let mut token = MountToken::new();
            let mut volume =
                Volume::mount(Image::from_bytes(image), &mut token).map_err(|error| error.to_string())?;
            let book =
                read_record(&mut volume, ROWS_FILE).map_err(|error| format!("written, then {error}"))?;
            if book.ends_with(&row(99)) {
                Ok(Survived::Exact)
            } else {
                Err("written, and not in the book".into())
            }
        }
        Err(_) if image == before => Ok(Survived::Told(1)),
        Err(error) => Err(format!("{error}, and something was written")),
    }
}

fn damaged(rng: &mut Rng, how: fn(&mut Rng, &mut Plain)) -> Result<Survived, String> {
    let mut plain = sound(rng);
    let ranges = others(&plain);
    how(rng, &mut plain);
    append_and_compare(rng, &ranges, plain.image)
}

/// A cluster of any file, most often.
fn any_cluster(rng: &mut Rng, plain: &Plain) -> u32 {
    let items = plain.items();
    let used: Vec<u32> = items.iter().flat_map(|item| item.clusters.clone()).collect();
    if used.is_empty() || rng.chance(10) { 2 + rng.below(60) as u32 } else { rng.pick(&used) }
}

fn value(rng: &mut Rng, plain: &Plain) -> u32 {
    match rng.below(4) {
        0 => 0,
        1 => plain.end(),
        2 => any_cluster(rng, plain),
        _ => rng.bits() as u32,
    }
}

fn entry(rng: &mut Rng, plain: &mut Plain, copies: Option<usize>) {
    let (cluster, value) = (any_cluster(rng, plain), value(rng, plain));
    let copy = rng.below(2);
    for copy in if copies.is_some() { copy..copy + 1 } else { 0..2 } {
        plain.set_entry(copy, cluster, value);
    }
}

/// The end of one chain leads into another's.
fn join(rng: &mut Rng, plain: &mut Plain) {
    let items: Vec<Item> = plain.items().into_iter().filter(|item| !item.clusters.is_empty()).collect();
    let (one, other) = (rng.below(items.len()), rng.below(items.len()));
    let from = rng.pick(&items[one].clusters);
    let to = rng.pick(&items[other].clusters);
    for copy in 0..2 {
        plain.set_entry(copy, from, to);
    }
}

fn start(rng: &mut Rng, plain: &mut Plain) {
    let items = plain.items();
    let at = items[rng.below(items.len())].at;
    if rng.chance(70) {
        let first = any_cluster(rng, plain);
        plain.image[at + 26..at + 28].copy_from_slice(&(first as u16).to_le_bytes());
    } else {
        let size = rng.below(20_000) as u32;
        plain.image[at + 28..at + 32].copy_from_slice(&size.to_le_bytes());
    }
}

fn scribble(rng: &mut Rng, image: &mut [u8], at: usize) {
    let (length, kind) = (1 + rng.below(64), rng.below(3));
    for cell in image.iter_mut().skip(at).take(length) {
        *cell = match kind {
            0 => 0,
            1 => 0xFF,
            _ => (rng.bits() >> 20) as u8,
        };
    }
}

fn tables(rng: &mut Rng, plain: &mut Plain) {
    let used = (plain.table_bytes).min(400);
    let at = plain.tables[rng.below(2)] + rng.below(used);
    scribble(rng, &mut plain.image, at);
}

fn folders(rng: &mut Rng, plain: &mut Plain) {
    let items = plain.items();
    let at = items[rng.below(items.len())].at + rng.below(40);
    scribble(rng, &mut plain.image, at);
}

/// A row cut short at any written block; the next one, by whatever way, is written whole.
fn cut_then_row(rng: &mut Rng) -> Result<Survived, String> {
    let plain = sound(rng);
    let ranges = others(&plain);
    let mut device = Image::from_bytes(plain.image);
    let cut = Fault::PowerCutAfterWrites(rng.below(14) as u64);
    let _ = append(rng, Faulty::new(&mut device, cut), 98);
    match append_and_compare(rng, &ranges, device.into_bytes()) {
        Ok(Survived::Told(_)) => Err("a cut alone makes the card one that is not written".into()),
        outcome => outcome,
    }
}

fn cut_then_damage(rng: &mut Rng) -> Result<Survived, String> {
    let mut plain = sound(rng);
    let ranges = others(&plain);
    let mut device = Image::from_bytes(plain.image.clone());
    let cut = Fault::PowerCutAfterWrites(rng.below(14) as u64);
    let _ = append(rng, Faulty::new(&mut device, cut), 98);
    plain.image = device.into_bytes();
    tables(rng, &mut plain);
    append_and_compare(rng, &ranges, plain.image)
}
