//! Files and folders on a FAT volume that was just formatted: all contiguous, one after the other.
//!
//! Each folder is made at once from all its names, so that a card with thousands of files in one folder takes no longer
//! than its bytes. Places and forms after Microsoft's FAT overview 1.03 (`Microsoft Extensible Firmware Initiative FAT32
//! File System Specification`).

use std::collections::{HashMap, HashSet};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};

use chrono::{Datelike, NaiveDate, NaiveDateTime, Timelike};

use super::names::{ShortNames, long_entries, needs_long};
use super::{CardKind, Entry};

const SECTOR: u64 = 512;
/// Bytes of an entry of a folder.
pub(super) const ENTRY: usize = 32;
/// Entries of a folder at most: 2 MiB of them.
const MOST_ENTRIES: usize = 65_536;
const FOLDER: u8 = 0x10;
const FILE: u8 = 0x20;

/// What went wrong with which of the entries.
#[derive(Debug)]
pub(super) struct Failed {
    /// Its place in the list; `None` for the volume as a whole.
    pub(super) at: Option<usize>,
    pub(super) error: io::Error,
}

impl From<io::Error> for Failed {
    fn from(error: io::Error) -> Self {
        Self { at: None, error }
    }
}

fn full(what: &'static str) -> io::Error {
    io::Error::new(ErrorKind::WriteZero, what)
}

/// Where the volume's parts are, as its boot sector says.
struct Volume<'v, V> {
    disk: &'v mut V,
    kind: CardKind,
    cluster_bytes: u64,
    clusters: u32,
    table: u64,
    table_bytes: u64,
    tables: u64,
    root: u64,
    root_entries: usize,
    data: u64,
    info: u64,
    /// The next free cluster.
    next: u32,
    /// First cluster and count of each file and folder.
    chains: Vec<(u32, u32)>,
}

impl<'v, V: Read + Write + Seek> Volume<'v, V> {
    fn open(disk: &'v mut V) -> io::Result<Self> {
        let mut boot = [0; SECTOR as usize];
        disk.seek(SeekFrom::Start(0))?;
        disk.read_exact(&mut boot)?;
        let half = |at: usize| u64::from(u16::from_le_bytes([boot[at], boot[at + 1]]));
        let word = |at: usize| half(at) | half(at + 2) << 16;
        let short_or = |at: usize, long: usize| if half(at) == 0 { word(long) } else { half(at) };
        let table_bytes = short_or(22, 36) * SECTOR;
        let (table, tables) = (half(14) * SECTOR, u64::from(boot[16]));
        let root = table + tables * table_bytes;
        let data = root + half(17) * ENTRY as u64;
        let cluster_bytes = u64::from(boot[13]) * SECTOR;
        let room = (short_or(19, 32) * SECTOR).saturating_sub(data);
        let clusters = u32::try_from(room / cluster_bytes.max(1)).unwrap_or(u32::MAX);
        let kind = match clusters {
            0..4_085 => CardKind::Fat12,
            4_085..65_525 => CardKind::Fat16,
            _ => CardKind::Fat32,
        };
        let info = if kind == CardKind::Fat32 { half(48) * SECTOR } else { 0 };
        let root_entries = usize::try_from(half(17)).unwrap_or_default();
        let chains = Vec::new();
        Ok(Self {
            disk,
            kind,
            cluster_bytes,
            clusters,
            table,
            table_bytes,
            tables,
            root,
            root_entries,
            data,
            info,
            next: 2,
            chains,
        })
    }

    /// Clusters that are left, in bytes.
    fn room(&self) -> u64 {
        u64::from((self.clusters + 2).saturating_sub(self.next)) * self.cluster_bytes
    }

    fn place(&self, cluster: u32) -> u64 {
        self.data + u64::from(cluster - 2) * self.cluster_bytes
    }

    /// The next clusters, as many as these bytes take; 0 for none.
    fn take(&mut self, bytes: u64) -> io::Result<u32> {
        if bytes > self.room() {
            return Err(full("the volume is full"));
        }
        let count = u32::try_from(bytes.div_ceil(self.cluster_bytes)).unwrap_or(u32::MAX);
        if count == 0 {
            return Ok(0);
        }
        let first = self.next;
        self.next += count;
        self.chains.push((first, count));
        Ok(first)
    }

    fn write_at(&mut self, at: u64, bytes: &[u8]) -> io::Result<()> {
        self.disk.seek(SeekFrom::Start(at))?;
        self.disk.write_all(bytes)
    }

    /// A file's bytes into the next clusters: the first of them, and how many bytes there were.
    fn file(&mut self, from: &mut impl Read) -> io::Result<(u32, u32)> {
        let room = self.room().min(u32::MAX.into());
        let at = self.data + u64::from(self.next - 2) * self.cluster_bytes;
        self.disk.seek(SeekFrom::Start(at))?;
        let bytes = io::copy(&mut from.take(room), self.disk)?;
        if bytes == room && from.read(&mut [0])? > 0 {
            return Err(full("the volume is full"));
        }
        Ok((self.take(bytes)?, u32::try_from(bytes).unwrap_or(u32::MAX)))
    }

    /// Both tables and, on FAT32, how much is free.
    fn finish(&mut self) -> io::Result<()> {
        let end: u32 = match self.kind {
            CardKind::Fat12 => 0xFFF,
            CardKind::Fat16 => 0xFFFF,
            CardKind::Fat32 => 0x0FFF_FFFF,
        };
        // The first two say what kind of medium it is, and that it was left in order.
        let mut entries = vec![(end & !0xFF) | 0xF8, end];
        let last_of = |first: u32, count: u32| first + count - 1;
        for (first, count) in &self.chains {
            entries.extend(first + 1..=last_of(*first, *count));
            entries.push(end);
        }
        let mut table = Vec::new();
        match self.kind {
            CardKind::Fat12 => {
                for pair in entries.chunks(2) {
                    let both = pair[0] | pair.get(1).copied().unwrap_or_default() << 12;
                    table.extend_from_slice(&both.to_le_bytes()[..3]);
                }
            }
            CardKind::Fat16 => entries.iter().for_each(|entry| table.extend(&entry.to_le_bytes()[..2])),
            CardKind::Fat32 => entries.iter().for_each(|entry| table.extend(entry.to_le_bytes())),
        }
        for copy in 0..self.tables {
            self.write_at(self.table + copy * self.table_bytes, &table)?;
        }
        if self.info > 0 {
            let free = (self.clusters + 2).saturating_sub(self.next);
            let mut counts = free.to_le_bytes().to_vec();
            counts.extend(self.next.to_le_bytes());
            self.write_at(self.info + 488, &counts)?;
        }
        self.disk.flush()
    }
}

/// Writes these files and folders, each folder before what is in it; `open` opens the file of an entry.
pub(super) fn write<R: Read>(
    disk: &mut (impl Read + Write + Seek),
    sources: &[Entry],
    mut open: impl FnMut(usize) -> io::Result<R>,
) -> Result<CardKind, Failed> {
    let mut volume = Volume::open(disk)?;
    let folders = Folder::all(sources)?;
    // Folders first, the root before all others: where each begins must be known before its entry is written.
    let mut firsts: Vec<(u32, u32)> = vec![(0, 0); sources.len()];
    let mut root = 0;
    for folder in &folders {
        let entries = folder.entries(sources);
        let failed = |error| Failed { at: folder.at, error };
        match folder.at {
            None if volume.kind != CardKind::Fat32 => {
                if entries > volume.root_entries {
                    return Err(failed(full("the volume's first folder has no room for so many names")));
                }
            }
            None => root = volume.take(folder_bytes(entries)).map_err(failed)?,
            Some(at) => firsts[at].0 = volume.take(folder_bytes(entries)).map_err(failed)?,
        }
    }
    for (at, _) in sources.iter().enumerate().filter(|(_, source)| !source.is_folder) {
        let written = open(at).and_then(|mut from| volume.file(&mut from));
        firsts[at] = written.map_err(|error| Failed { at: Some(at), error })?;
    }
    for folder in &folders {
        let first = folder.at.map_or(root, |at| firsts[at].0);
        let bytes = folder.bytes(sources, &firsts, first);
        let place = if first == 0 { volume.root } else { volume.place(first) };
        volume.write_at(place, &bytes).map_err(|error| Failed { at: folder.at, error })?;
    }
    volume.finish()?;
    Ok(volume.kind)
}

/// An empty folder has a cluster too.
fn folder_bytes(entries: usize) -> u64 {
    (entries.max(1) * ENTRY) as u64
}

/// A folder, and what is in it.
struct Folder {
    /// Its place in the list; `None` for the root.
    at: Option<usize>,
    /// The folder that it is in; `None` for the root.
    parent: Option<usize>,
    children: Vec<usize>,
}

impl Folder {
    /// The root, then each folder in the order of the list.
    fn all(sources: &[Entry]) -> Result<Vec<Self>, Failed> {
        let mut folders = vec![Self { at: None, parent: None, children: Vec::new() }];
        let mut known: HashMap<&str, usize> = HashMap::from([("", 0)]);
        for (at, source) in sources.iter().enumerate() {
            let (parent, _) = source.name.rsplit_once('/').unwrap_or(("", &source.name));
            let Some(&inside) = known.get(parent) else {
                return Err(Failed { at: Some(at), error: ErrorKind::NotFound.into() });
            };
            folders[inside].children.push(at);
            if source.is_folder {
                known.insert(&source.name, folders.len());
                folders.push(Self { at: Some(at), parent: folders[inside].at, children: Vec::new() });
            }
        }
        for folder in &folders {
            if folder.entries(sources) > MOST_ENTRIES {
                return Err(Failed { at: folder.at, error: full("a folder has no room for so many names") });
            }
        }
        Ok(folders)
    }

    fn names<'s>(&self, sources: &'s [Entry]) -> impl Iterator<Item = &'s str> {
        self.children.iter().map(|child| sources[*child].name.rsplit('/').next().unwrap_or_default())
    }

    fn entries(&self, sources: &[Entry]) -> usize {
        let own = if self.at.is_some() { 2 } else { 0 };
        let of = |name: &str| {
            if needs_long(name) { 1 + name.encode_utf16().count().div_ceil(13) } else { 1 }
        };
        own + self.names(sources).map(of).sum::<usize>()
    }

    fn bytes(&self, sources: &[Entry], firsts: &[(u32, u32)], first: u32) -> Vec<u8> {
        let mut bytes = Vec::new();
        if self.at.is_some() {
            // 0 stands for the root, also where that is a chain like the others.
            let parent = self.parent.map_or(0, |parent| firsts[parent].0);
            bytes.extend(entry(*b".          ", FOLDER, None, (first, 0)));
            bytes.extend(entry(*b"..         ", FOLDER, None, (parent, 0)));
        }
        let plain: HashSet<[u8; 11]> =
            self.names(sources).filter(|name| !needs_long(name)).map(super::names::plain).collect();
        let mut short = ShortNames::beside(plain);
        for (child, name) in self.children.iter().zip(self.names(sources)) {
            let source = &sources[*child];
            let alias = if needs_long(name) {
                let alias = short.alias(name);
                bytes.extend(long_entries(name, &alias));
                alias
            } else {
                super::names::plain(name)
            };
            let kind = if source.is_folder { FOLDER } else { FILE };
            let saved = if source.is_folder { None } else { source.saved };
            bytes.extend(entry(alias, kind, saved, firsts[*child]));
        }
        bytes
    }
}

fn entry(name: [u8; 11], kind: u8, saved: Option<NaiveDateTime>, (first, length): (u32, u32)) -> [u8; ENTRY] {
    let (date, time) = stamp(saved);
    let [c0, c1, c2, c3] = first.to_le_bytes();
    let mut entry = [0; ENTRY];
    entry[..11].copy_from_slice(&name);
    entry[11] = kind;
    for at in [14, 22] {
        entry[at..at + 2].copy_from_slice(&time.to_le_bytes());
    }
    for at in [16, 18, 24] {
        entry[at..at + 2].copy_from_slice(&date.to_le_bytes());
    }
    entry[20..22].copy_from_slice(&[c2, c3]);
    entry[26..28].copy_from_slice(&[c0, c1]);
    entry[28..32].copy_from_slice(&length.to_le_bytes());
    entry
}

/// Date and time as FAT keeps them, 1980 to 2107; what lies beyond counts as the first or the last, and so does none.
fn stamp(saved: Option<NaiveDateTime>) -> (u16, u16) {
    let clock = |year, month, day, hour, minute, second| {
        NaiveDate::from_ymd_opt(year, month, day).and_then(|day| day.and_hms_opt(hour, minute, second))
    };
    let (Some(oldest), Some(newest)) = (clock(1980, 1, 1, 0, 0, 0), clock(2107, 12, 31, 23, 59, 58)) else {
        return (0, 0);
    };
    let saved = saved.unwrap_or(oldest).clamp(oldest, newest);
    let years = u32::try_from(saved.year() - 1980).unwrap_or_default();
    let date = years << 9 | saved.month() << 5 | saved.day();
    let time = saved.hour() << 11 | saved.minute() << 5 | (saved.second() / 2);
    let half = |number: u32| u16::try_from(number).unwrap_or(u16::MAX);
    (half(date), half(time))
}
