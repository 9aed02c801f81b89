//! Damaged cards, and cards that fail: a clean error and never a panic or an endless walk.

use std::collections::HashSet;

use holdpoint_desk::image::Image;
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault, MountToken, PageFrom, Volume};
use holdpoint_tests::cards::{Changed, all_jobs, page, read_job, read_record, session};
use holdpoint_tests::exfat::{self, Place};
use holdpoint_tests::faults::{Fault, Faulty};
use holdpoint_tests::images::{FileSpec, KINDS, Kind, TABLES, Table, card, in_gpt, in_mbr, numbered_bytes};
use proptest::prelude::*;

/// Blocks that no session on these small cards may need more than, however damaged: a whole one needs a few
/// hundred, and a listing of 65,535 entries that a circle would give needs far more.
const CEILING: u64 = 150_000;

fn files() -> Vec<FileSpec> {
    vec![
        FileSpec::new("Halter größer.gcode", numbered_bytes(3_000, 0), 8, 0),
        FileSpec::new("Klasse 9b/Förderband.gcode", numbered_bytes(20_000, 9), 9, 0),
        FileSpec::new("Klasse 9b/innen/PART.GCO", numbered_bytes(700, 99), 9, 0),
        FileSpec::new("HOLDPT/SPOOL.JSN", "{}", 9, 0),
    ]
}

fn blocks(image: &[u8]) -> u64 {
    (image.len() / 512) as u64
}

fn fault_of(image: Vec<u8>) -> Option<MediaFault> {
    session(Image::from_bytes(image)).err().map(|error| error.fault)
}

#[test]
fn a_card_that_is_none_says_what_it_is() {
    assert_eq!(fault_of(Vec::new()), Some(MediaFault::NoCard));
    assert_eq!(fault_of(vec![0; 1 << 20]), Some(MediaFault::Blank));
    assert_eq!(fault_of(vec![0xFF; 1 << 20]), Some(MediaFault::Blank));
    assert_eq!(fault_of(numbered_bytes(1 << 20, 7)), Some(MediaFault::Foreign));
    let mut foreign_volume = vec![0; 1 << 20];
    foreign_volume[..11].copy_from_slice(b"\xEB\x52\x90NTFS    ");
    // Its BPB: 512 bytes a sector, 8 sectors a cluster, no reserved ones, no tables.
    foreign_volume[11..14].copy_from_slice(&[0, 2, 8]);
    foreign_volume[510..512].copy_from_slice(&[0x55, 0xAA]);
    assert_eq!(fault_of(foreign_volume.clone()), Some(MediaFault::Foreign));
    assert_eq!(fault_of(in_mbr(&foreign_volume, 0x07)), Some(MediaFault::Foreign));
    assert_eq!(fault_of(in_gpt(&foreign_volume)), Some(MediaFault::Foreign));
    assert_eq!(fault_of(in_mbr(&numbered_bytes(1 << 20, 7), 0x83)), Some(MediaFault::Foreign));
    let mut lost_table = in_gpt(&card(Kind::Fat12, Table::None, &files()));
    lost_table[512..1_024].fill(0x11);
    let last = lost_table.len() - 512;
    lost_table[last..].fill(0x11);
    assert_eq!(fault_of(lost_table), Some(MediaFault::Damaged));
    let mut no_tables = card(Kind::Fat16, Table::None, &files());
    no_tables[16] = 7;
    assert_eq!(fault_of(no_tables), Some(MediaFault::Damaged));
}

#[test]
fn every_fault_has_its_own_line() {
    let lines: HashSet<&str> = MediaFault::ALL.iter().map(|fault| fault.line()).collect();
    assert_eq!(lines.len(), MediaFault::ALL.len());
    let said = MediaError::at(MediaFault::ReadFailed, 77).to_string();
    assert!(said.contains("77") && said.contains("read"), "{said}");
}

#[test]
fn a_card_cut_off_anywhere_says_so() {
    for kind in [Kind::Fat12, Kind::Fat16, Kind::ExFat] {
        for table in TABLES {
            let image = card(kind, table, &files());
            let start = if table == Table::None { 0 } else { 1 << 20 };
            let volume_bytes = card(kind, Table::None, &files()).len();
            for length in (4_096..image.len()).step_by(4_096) {
                // The last sectors of a volume may belong to no cluster, and a GPT's second copy stands behind it.
                if length + 8 * 512 > start + volume_bytes {
                    continue;
                }
                let device = Changed::new(&image, (length / 512) as u64).with_ceiling(CEILING);
                let fault = session(device).expect_err("a part of a card is none").fault;
                let expected = if length <= start && table == Table::None {
                    MediaFault::Foreign
                } else {
                    MediaFault::Truncated
                };
                assert_eq!(fault, expected, "{kind:?} in {table:?} cut at {length}");
            }
        }
    }
}

#[test]
fn circles_in_tables_and_folders_end() {
    // A file whose chain leads back to its own first cluster (FAT16, entries of two bytes).
    let long = [FileSpec::new("long.gcode", numbered_bytes(1_000_000, 0), 8, 0)];
    let image = card(Kind::Fat16, Table::None, &long);
    let table = 512;
    let cluster = usize::from(u16::from_le_bytes([image[table + 4], image[table + 5]])) - 1;
    assert_eq!(cluster, 2, "the file begins at the first cluster");
    let mut device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
    device.put(table + 2 * 12, &2_u16.to_le_bytes());
    assert_eq!(session(device).unwrap_err().fault, MediaFault::ChainBroken);
    // The chain ends before the file's size.
    let mut device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
    device.put(table + 2 * 12, &0xFFFF_u16.to_le_bytes());
    assert_eq!(session(device).unwrap_err().fault, MediaFault::ChainBroken);
    // A size that no volume of this size can hold.
    let short =
        image.chunks(32).position(|entry| entry.starts_with(b"LONG~1  GCO")).expect("a short entry") * 32;
    let mut device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
    device.put(short + 28, &u32::MAX.to_le_bytes());
    assert_eq!(session(device).unwrap_err().fault, MediaFault::ChainBroken);

    // A folder that holds itself: the inner folder's cluster is that of the folder above it.
    let nested = [FileSpec::new("OUTER/INNER/A.GCO", "G28", 8, 0)];
    let image = card(Kind::Fat16, Table::None, &nested);
    let find = |name: &[u8; 11]| image.chunks(32).position(|entry| entry.starts_with(name)).unwrap() * 32;
    let (outer, inner) = (find(b"OUTER      "), find(b"INNER      "));
    let mut device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
    device.put(inner + 26, &image[outer + 26..outer + 28]);
    // It costs that folder, and its place is named; the rest is listed.
    let mut token = MountToken::new();
    let mut volume = Volume::mount(device, &mut token).unwrap();
    let listed = page(&mut volume, PageFrom::Newest).unwrap();
    assert_eq!((listed.census.jobs, listed.census.circular, listed.census.left_out()), (0, 1, 1));
    assert_eq!(listed.first_left_out, "OUTER/INNER");
    // A folder that does not begin as one is left out and counted; the rest is listed.
    let mut device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
    device.put(inner + 26, &4_u16.to_le_bytes());
    let mut token = MountToken::new();
    let mut volume = Volume::mount(device, &mut token).unwrap();
    let (jobs, census) = all_jobs(&mut volume).unwrap();
    assert_eq!((jobs.len(), census.unreadable), (0, 1));
}

#[test]
fn one_folder_under_a_thousand_names_is_refused() {
    let image = card(Kind::Fat16, Table::None, &[FileSpec::new("OUTER/A.GCO", "G28", 8, 0)]);
    let outer = image.chunks(32).position(|entry| entry.starts_with(b"OUTER      ")).unwrap() * 32;
    let mut device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
    for number in 0..1_100 {
        let mut entry = image[outer..outer + 32].to_vec();
        entry[..8].copy_from_slice(format!("F{number:07}").as_bytes());
        device.put(outer + 32 + number * 32, &entry);
    }
    assert_eq!(session(device).unwrap_err().fault, MediaFault::TooManyFiles);
}

/// SplitMix64 (Steele, Lea and Flood 2014), for damage that is the same in every run.
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.next() % end as u64).expect("a small number")
    }
}

#[test]
fn thousands_of_damaged_cards_never_panic_and_never_hang() {
    let mut outcomes = [0_u32; 2];
    for (kind, rounds) in
        [(Kind::Fat12, 1_500_u32), (Kind::Fat16, 1_000), (Kind::Fat32, 500), (Kind::ExFat, 1_500)]
    {
        let image = card(kind, Table::Mbr, &files());
        // Where the numbers are: table, boot sectors, FATs, root and folders. What holds only the files' bytes or
        // nothing is left alone, so that nearly every change matters.
        let used: Vec<usize> = (0..image.len() / 512)
            .filter(|block| image[block * 512..][..512].iter().any(|byte| *byte != 0))
            .collect();
        let mut draw = Draw(u64::from(rounds));
        for round in 0..rounds {
            let mut device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
            for _ in 0..=draw.below(6) {
                // Half of the changes go to the first 24 used blocks, the boot sectors and the tables' beginning.
                let end = if draw.below(2) == 0 { used.len().min(24) } else { used.len() };
                let at = used[draw.below(end)] * 512 + draw.below(512);
                let length = [1, 1, 2, 4, 32, 64][draw.below(6)];
                let value = [0, 0xFF, 0x80, 1, 2, 0x7F, draw.below(256)][draw.below(7)];
                let bytes: Vec<u8> = (0..length).map(|_| u8::try_from(value).expect("a byte")).collect();
                device.put(at.min(image.len() - length), &bytes);
            }
            let seen = session(&mut device);
            outcomes[usize::from(seen.is_ok())] += 1;
            // Also the writing side must end in an answer, on whatever can be mounted.
            if round % 4 == 0 {
                let mut token = MountToken::new();
                if let Ok(mut volume) = Volume::mount(device, &mut token) {
                    let answer = volume.append_record("DAYBOOK.CSV", b"a,b\r\n", b"1,2\r\n");
                    outcomes[usize::from(answer.is_ok())] += 1;
                }
            }
        }
    }
    assert!(outcomes.iter().all(|count| *count > 100), "both outcomes were met: {outcomes:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn any_bytes_end_in_an_answer(bytes in proptest::collection::vec(any::<u8>(), 0..6_000), at in 0_usize..40) {
        // Anything at all as a card, and anything at all over a card's first blocks.
        let _any = session(Changed::new(&bytes, blocks(&bytes)).with_ceiling(CEILING));
        let image = card(Kind::Fat12, Table::None, &files());
        let mut device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
        device.put(at * 128, &bytes);
        let _over = session(device);
    }

    #[test]
    fn any_place_ends_in_an_answer(folder: u64, entry: u64, slot in 0_u64..64) {
        let image = card(Kind::Fat12, Table::None, &files());
        let mut token = MountToken::new();
        let mut volume = Volume::mount(Changed::new(&image, blocks(&image)), &mut token).unwrap();
        for entry in [entry, slot] {
            let place = holdpoint_shared::media::EntryPlace { folder: folder % 8, entry };
            let _opened = volume.open(place);
            let _opened = volume.open(holdpoint_shared::media::EntryPlace { folder, entry });
        }
    }
}

#[test]
fn random_flips_never_panic() {
    for kind in KINDS {
        let image = card(kind, Table::Gpt, &files());
        for seed in 0..100 {
            let device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
            let _outcome = session(Faulty::new(device, Fault::RandomFlips { seed, per_million: 20_000 }));
        }
    }
}

#[test]
fn a_failed_read_anywhere_is_one_clean_error_and_the_next_try_works() {
    for kind in KINDS {
        let image = card(kind, Table::Mbr, &files());
        let whole = session(Image::from_bytes(image.clone())).unwrap();
        let mut device = Image::from_bytes(image);
        let mut counted = Faulty::new(&mut device, Fault::None);
        session(&mut counted).unwrap();
        let reads = counted.reads();
        assert!(reads > 20, "a session reads often enough to be worth failing: {reads}");
        for after in 0..reads {
            let failed = session(Faulty::new(&mut device, Fault::FailedRead { after }));
            assert_eq!(failed.unwrap_err().fault, MediaFault::ReadFailed, "{kind:?} after {after} reads");
            let gone = session(Faulty::new(&mut device, Fault::VanishAfterReads(after)));
            assert_eq!(gone.unwrap_err().fault, MediaFault::Gone, "{kind:?} after {after} reads");
        }
        assert_eq!(session(&mut device).unwrap(), whole, "{kind:?}");
    }
}

#[test]
fn after_a_failed_read_the_file_is_closed() {
    let image = card(Kind::Fat12, Table::None, &files());
    let mut token = MountToken::new();
    let mut volume =
        Volume::mount(Faulty::new(Image::from_bytes(image), Fault::FailedRead { after: 40 }), &mut token)
            .unwrap();
    let jobs = all_jobs(&mut volume).unwrap().0;
    let job = jobs.iter().find(|job| job.size_bytes == 20_000).unwrap().place;
    let mut failed = 0;
    for _ in 0..3 {
        if read_job(&mut volume, job, 512).is_err() {
            failed += 1;
            assert_eq!(volume.poll_read(&mut [0; 9]), Err(MediaError::new(MediaFault::NotFound).into()));
        }
    }
    assert_eq!(failed, 1, "one read failed, and the file can be opened again");
}

/// What stands in the day book: what was written before, and of each further row all or nothing. A new book may
/// hold its first row, the header, alone.
fn is_whole_rows(book: &[u8], before: &[&[u8]], header: &[u8], appended: &[u8]) -> bool {
    let old = before.concat();
    book == old || book == [old.as_slice(), appended].concat() || (old.is_empty() && book == header)
}

#[test]
fn a_failure_at_any_block_of_an_append_costs_at_most_the_row() {
    const HEADER: &[u8] = b"a,b\r\n";
    const FIRST: &[u8] = b"1,2\r\n";
    let long = [b"3,".as_slice(), &[b'4'; 1_400], b"\r\n"].concat();
    let job = FileSpec::new("a.gcode", numbered_bytes(5_000, 0), 8, 0);
    for kind in [Kind::Fat12, Kind::Fat16, Kind::Fat32] {
        let empty = card(kind, Table::Mbr, std::slice::from_ref(&job));
        let begun = {
            let mut device = Image::from_bytes(empty.clone());
            let mut token = MountToken::new();
            let mut volume = Volume::mount(&mut device, &mut token).unwrap();
            volume.append_record("DAYBOOK.CSV", HEADER, FIRST).unwrap();
            drop(volume);
            device.into_bytes()
        };
        let first = [HEADER, FIRST].concat();
        for (image, before, row, appended) in [
            (&empty, [].as_slice(), FIRST, first.as_slice()),
            (&begun, [HEADER, FIRST].as_slice(), &long, &long),
        ] {
            let mut after = 0;
            let mut faults = 0;
            loop {
                let mut finished = 0;
                for fault in [Fault::PowerCutAfterWrites(after), Fault::FailedWrite { after }] {
                    let what = format!("{kind:?} {fault:?} with {} rows", before.len());
                    let mut device = Changed::new(image, blocks(image));
                    let mut token = MountToken::new();
                    let faulty = Faulty::new(&mut device, fault);
                    let mut volume = Volume::mount(faulty, &mut token).unwrap();
                    let answer = volume.append_record("DAYBOOK.CSV", HEADER, row);
                    finished += u32::from(answer.is_ok());
                    faults += u32::from(answer.is_err());
                    drop(volume);
                    // The card as the failure left it, mounted anew.
                    let mut volume = Volume::mount(&mut device, &mut token).expect(&what);
                    let place = page(&mut volume, PageFrom::Newest).expect(&what).entries[0].place;
                    assert_eq!(read_job(&mut volume, place, 512).expect(&what), job.bytes, "{what}");
                    let book = match read_record(&mut volume, "DAYBOOK.CSV") {
                        Ok(book) => book,
                        Err(error) => {
                            assert_eq!(error.fault, MediaFault::NotFound, "{what}");
                            Vec::new()
                        }
                    };
                    assert!(
                        is_whole_rows(&book, before, HEADER, appended),
                        "{what}: {:?}",
                        String::from_utf8_lossy(&book)
                    );
                    if answer.is_ok() {
                        assert_eq!(book, [&before.concat(), appended].concat(), "{what}: told as written");
                    }
                    // And the next row finds its place.
                    volume.append_record("DAYBOOK.CSV", HEADER, b"5,6\r\n").expect(&what);
                    let book = read_record(&mut volume, "DAYBOOK.CSV").expect(&what);
                    assert!(book.starts_with(HEADER) && book.ends_with(b"\r\n5,6\r\n"), "{what}");
                }
                if finished == 2 {
                    break;
                }
                after += 1;
                assert!(after < 500, "an append ends");
            }
            assert!(faults > 6, "the append was cut at several blocks: {faults}");
        }
    }
}

#[test]
fn scattered_exfat_survives_the_same() {
    let image = exfat::volume(2 << 20, &files(), Place::Scattered);
    let mut draw = Draw(11);
    for _ in 0..500 {
        let mut device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
        // The FAT and the folders at the heap's beginning.
        let at = 24 * 512 + draw.below(160 * 512);
        device.put(at, &draw.next().to_le_bytes()[..1 + draw.below(7)]);
        let _outcome = session(device);
    }
}
