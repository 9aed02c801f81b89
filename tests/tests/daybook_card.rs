//! The day book on a card whose power goes at every block of an append: what any reader then finds, and what the
//! system's checker says (`fsck.vfat`; a machine without it says so).

use std::fs::{File, OpenOptions};
use std::io::{Seek, SeekFrom, Write};
use std::path::Path;

use holdpoint_desk::image::Image;
use holdpoint_shared::daybook::{HEADER, LineState, ROW_BYTES, ROWS_FILE, Row, row_state};
use holdpoint_shared::media::{
    BlockDevice, JobFiles, MediaError, MediaFault, MountToken, PageFrom, Volume, append_rows,
};
use holdpoint_tests::cards::{Changed, page, read_job, read_record};
use holdpoint_tests::faults::{Fault, Faulty};
use holdpoint_tests::images::{
    FatShape, FileSpec, Kind, Table, card, fat_volume, fat_volume_in_turn, numbered_bytes, small_fat,
};
use holdpoint_tests::tools::{have, output, text};

/// The kinds that are written.
const FATS: [Kind; 3] = [Kind::Fat12, Kind::Fat16, Kind::Fat32];

fn row(rec: u32) -> Vec<u8> {
    let mut row = Row { rec, findings: [58, 71].into_iter().collect(), firmware: "0.3.0", ..Row::default() };
    row.set_machine("M2");
    row.set_job("Größe, links v2", Some(4_183_221), Some(0x9F3A_11C0));
    row.set_spool("S17", "PLA", "black");
    row.write(&mut [0; ROW_BYTES]).to_vec()
}

/// How a row comes onto the card: through a mounted volume, or without one as on a board that is short of flash.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Volume,
    Bare,
}

const WAYS: [Way; 2] = [Way::Volume, Way::Bare];

fn append(way: Way, device: impl BlockDevice, rows: &[u8]) -> Result<(), MediaError> {
    match way {
        Way::Volume => {
            let mut token = MountToken::new();
            Volume::mount(device, &mut token)?.append_record(ROWS_FILE, HEADER.as_bytes(), rows)
        }
        Way::Bare => append_rows(device, ROWS_FILE, HEADER.as_bytes(), rows),
    }
}

/// The book as any reader finds it; empty where there is none.
fn book(device: impl BlockDevice) -> Vec<u8> {
    let mut token = MountToken::new();
    let mut volume = Volume::mount(device, &mut token).expect("a card");
    match read_record(&mut volume, ROWS_FILE) {
        Ok(book) => book,
        Err(error) => {
            assert_eq!(error.fault, MediaFault::NotFound);
            Vec::new()
        }
    }
}

fn newest(device: impl BlockDevice) -> Vec<u8> {
    let mut token = MountToken::new();
    let mut volume = Volume::mount(device, &mut token).expect("a card");
    let place = page(&mut volume, PageFrom::Newest).expect("a listing").entries[0].place;
    read_job(&mut volume, place, 4_096).expect("the job")
}

/// The rows of a book, each whole; at most one cut line, and that the last that was written before `next`.
#[track_caller]
fn whole_rows(book: &[u8], what: &str) -> Vec<Vec<u8>> {
    let mut rows = Vec::new();
    let mut cut = 0;
    for (number, line) in book.split_inclusive(|byte| *byte == b'\n').enumerate() {
        match row_state(line) {
            LineState::Header => assert_eq!(number, 0, "{what}: the header stands first"),
            LineState::Whole => rows.push(line.to_vec()),
            LineState::Cut => cut += 1,
            state => panic!("{what}: {state:?} {:?}", String::from_utf8_lossy(line)),
        }
    }
    assert!(cut <= 1, "{what}: {cut} cut lines");
    rows
}

fn with_rows(image: &[u8], rows: std::ops::Range<u32>) -> Vec<u8> {
    let mut device = Image::from_bytes(image.to_vec());
    for rec in rows {
        append(WAYS[rec as usize % 2], &mut device, &row(rec)).expect("a row");
    }
    device.into_bytes()
}

fn blocks(image: &[u8]) -> u64 {
    (image.len() / 512) as u64
}

/// The cards that an append is cut on: no folder yet; a book whose row fits its last cluster; one that grows by a
/// cluster; a volume cut up by two files that lie in turn.
fn cards(kind: Kind, job: &FileSpec) -> Vec<(&'static str, Vec<u8>, u32)> {
    let empty = card(kind, Table::None, std::slice::from_ref(job));
    let mut cards = vec![("no folder", empty.clone(), 0)];
    for rows in 1..4 {
        cards.push(("rows", with_rows(&empty, 0..rows), rows));
    }
    let other = FileSpec::new("b.gcode", numbered_bytes(5_000, 7), 7, 0);
    cards.push(("in turn", fat_volume_in_turn(small_fat(kind), [job, &other]), 0));
    cards
}

#[test]
fn a_cut_at_any_block_leaves_whole_rows_and_the_job() {
    let job = FileSpec::new("a.gcode", numbered_bytes(5_000, 0), 8, 0);
    let checker = have(&["fsck.vfat"]);
    let here = tempfile::tempdir().unwrap();
    let file = here.path().join("card.img");
    for (way, kind) in WAYS.into_iter().flat_map(|way| FATS.map(|kind| (way, kind))) {
        for (name, image, rows) in cards(kind, &job) {
            std::fs::write(&file, &image).unwrap();
            let mut cuts = 0;
            for after in 0.. {
                let what = format!("{way:?} {kind:?} {name} with {rows} rows, cut after {after} blocks");
                let mut device = Changed::new(&image, blocks(&image));
                let fault = Fault::PowerCutAfterWrites(after);
                let answer = append(way, Faulty::new(&mut device, fault), &row(rows));
                if checker {
                    let worse: Vec<_> = checked(&file, &image, &device)
                        .into_iter()
                        .filter(|line| !is_bearable(line))
                        .collect();
                    assert!(worse.is_empty(), "{what}: {worse:#?}");
                }
                assert_eq!(newest(&mut device), job.bytes, "{what}");
                let found = whole_rows(&book(&mut device), &what);
                let before: Vec<_> = (0..rows).map(row).collect();
                assert_eq!(found[..before.len()], before, "{what}");
                assert!(found[before.len()..].iter().all(|new| *new == row(rows)), "{what}");
                assert!(answer.is_err() || found.len() == before.len() + 1, "{what}: told as written");
                // The next row finds its place, and nothing before it is lost.
                append(way, &mut device, &row(99)).expect(&what);
                let after_it = whole_rows(&book(&mut device), &what);
                assert_eq!(after_it.len(), found.len() + 1, "{what}");
                assert_eq!(after_it.last(), Some(&row(99)), "{what}");
                if answer.is_ok() {
                    break;
                }
                cuts += 1;
                assert!(cuts < 200, "an append ends");
            }
            assert!(cuts >= 2, "{way:?} {kind:?} {name}: cut at {cuts} blocks");
        }
    }
}

/// What the checker may say after a cut: the mark that the card was not taken out cleanly, the second copy of the table
/// behind the first, clusters taken and not yet used, of the book or of nobody. All of it costs a few kilobytes of the
/// card until it is checked, and no file.
fn is_bearable(line: &str) -> bool {
    const SAID: [&str; 11] = [
        "fsck.fat ",
        "Dirty bit is set.",
        " Automatically removing dirty bit.",
        "FATs differ but appear to be intact.",
        "  Using first FAT.",
        "Reclaimed 1 unused cluster (512 bytes).",
        // The writer of the test's cards leaves it so.
        "Free cluster summary uninitialized",
        "/HOLDPT/DAYBOOK.CSV",
        "  File size is ",
        "  Truncating file to ",
        "Leaving filesystem unchanged.",
    ];
    let shorter = !line.contains("File size is") || line.contains("cluster chain length is >");
    line.is_empty()
        || line.contains("card.img: ")
        || shorter && SAID.iter().any(|said| line.starts_with(said))
}

/// What the system's checker says of the card as the cut left it.
fn checked(file: &Path, image: &[u8], device: &Changed<'_>) -> Vec<String> {
    let mut card = OpenOptions::new().write(true).open(file).unwrap();
    let put = |card: &mut File, block: u64, bytes: &[u8]| {
        card.seek(SeekFrom::Start(block * 512)).and_then(|_| card.write_all(bytes)).unwrap();
    };
    let changes: Vec<u64> = device.changes().map(|(block, _)| block).collect();
    device.changes().for_each(|(block, bytes)| put(&mut card, block, bytes));
    let said = output("fsck.vfat", &["-n", text(file)]);
    for block in changes {
        let at = usize::try_from(block).unwrap() * 512;
        put(&mut card, block, &image[at..at + 512]);
    }
    said.lines().map(str::to_owned).collect()
}

#[test]
fn a_row_that_was_cut_is_closed_and_the_next_is_whole() {
    let (first, second) = (row(1), row(2));
    for (way, kind) in WAYS.into_iter().flat_map(|way| FATS.map(|kind| (way, kind))) {
        for cut in [5, 100, second.len() - 10, second.len() - 2, second.len() - 1] {
            let bytes = [HEADER.as_bytes(), &first, &second[..cut]].concat();
            let image = card(kind, Table::Mbr, &[FileSpec::new("HOLDPT/DAYBOOK.CSV", bytes.clone(), 8, 0)]);
            let mut device = Image::from_bytes(image);
            append(way, &mut device, &row(3)).unwrap();
            let book = book(&mut device);
            assert!(book.starts_with(&bytes), "nothing that stood there is lost");
            let rows = whole_rows(&book, "closed");
            assert_eq!((rows.first(), rows.last()), (Some(&first), Some(&row(3))), "{way:?} {kind:?} {cut}");
        }
    }
}

/// What each trouble of a card is answered with; the rows before it stay, and the device goes on.
#[test]
fn each_trouble_has_an_answer_of_its_own_and_costs_no_row() {
    let job = FileSpec::new("a.gcode", numbered_bytes(900_000, 0), 8, 0);
    for (way, kind) in WAYS.into_iter().flat_map(|way| [(way, Kind::Fat12), (way, Kind::Fat16)]) {
        let begun = with_rows(&card(kind, Table::None, std::slice::from_ref(&job)), 0..2);
        let mut device = Image::from_bytes(begun.clone()).protected();
        assert_eq!(append(way, &mut device, &row(2)), Err(MediaError::new(MediaFault::ReadOnly)), "{kind:?}");
        assert_eq!(whole_rows(&book(&mut device), "protected"), [row(0), row(1)]);

        let mut device = Image::from_bytes(begun.clone());
        let failed = append(way, Faulty::new(&mut device, Fault::FailedWrite { after: 0 }), &row(2));
        assert_eq!(failed.unwrap_err().fault, MediaFault::WriteFailed, "{kind:?}");
        append(way, &mut device, &row(3)).unwrap();
        let rows = whole_rows(&book(&mut device), "one write failed");
        assert_eq!((&rows[..2], rows.last()), (&[row(0), row(1)][..], Some(&row(3))));

        // Rows until the card is full: the last answer says so, and every row that was told as written is there.
        let mut device = Image::from_bytes(begun);
        let many: Vec<u8> = (2..102).flat_map(row).collect();
        let mut written = 2;
        let full = loop {
            match append(way, &mut device, &many) {
                Ok(()) => written += 100,
                Err(error) => break error,
            }
        };
        assert_eq!(full.fault, MediaFault::Full, "{kind:?}");
        assert_eq!(whole_rows(&book(&mut device), "full").len(), written);
        assert_eq!(newest(&mut device), job.bytes);
    }
    let exfat = card(Kind::ExFat, Table::None, &[job]);
    for way in WAYS {
        let answer = append(way, Image::from_bytes(exfat.clone()), &row(0));
        assert_eq!(answer, Err(MediaError::new(MediaFault::OnlyRead)));
    }
}

/// A row is written between two turns of the knob, however long the book has grown.
#[test]
fn a_row_costs_few_blocks() {
    let job = FileSpec::new("a.gcode", numbered_bytes(5_000, 0), 8, 0);
    for (way, kind) in WAYS.into_iter().flat_map(|way| FATS.map(|kind| (way, kind))) {
        let mut device =
            Image::from_bytes(with_rows(&card(kind, Table::None, std::slice::from_ref(&job)), 0..400));
        let before = device.counters();
        append(way, &mut device, &row(400)).unwrap();
        let (read, written) = (
            device.counters().blocks_read - before.blocks_read,
            device.counters().blocks_written - before.blocks_written,
        );
        // Mounting is among them.
        assert!(read <= 100 && written <= 12, "{way:?} {kind:?}: {read} blocks read, {written} written");
    }
}

/// Folders that are full, or lie in a card's root: another writer's entries stay where they are.
#[test]
fn a_full_folder_grows_by_a_cluster_and_a_full_root_is_full() {
    for (kind, table) in [(Kind::Fat12, Table::Mbr), (Kind::Fat32, Table::Gpt)] {
        // 16 entries fill a cluster of 512 bytes: the two dots and seven files, a long name and a short one each.
        let files: Vec<_> = (0..7)
            .map(|number| {
                FileSpec::new(&format!("HOLDPT/other {number}.txt"), numbered_bytes(700, number), 8, 0)
            })
            .chain([FileSpec::new("a.gcode", "G28\n", 8, 0)])
            .collect();
        let mut device = Image::from_bytes(card(kind, table, &files));
        append(Way::Bare, &mut device, &row(1)).unwrap();
        append(Way::Volume, &mut device, &row(2)).unwrap();
        append(Way::Bare, &mut device, &row(3)).unwrap();
        assert_eq!(whole_rows(&book(&mut device), "a full folder"), [row(1), row(2), row(3)]);
        let mut token = MountToken::new();
        let mut volume = Volume::mount(&mut device, &mut token).unwrap();
        for number in 0..7 {
            let bytes = read_record(&mut volume, &format!("OTHER {number}.TXT")).unwrap();
            assert_eq!(bytes, numbered_bytes(700, number));
        }
    }
    // A root of FAT12 does not grow; the writer of these cards takes two places a file.
    let files: Vec<_> =
        (0..8).map(|number| FileSpec::new(&format!("J{number}.GCO"), "G28\n", 8, number)).collect();
    let full =
        |files: &[FileSpec]| fat_volume(FatShape { root_entries: 16, ..small_fat(Kind::Fat12) }, files);
    for way in WAYS {
        let mut device = Image::from_bytes(full(&files));
        assert_eq!(append(way, &mut device, &row(1)).unwrap_err().fault, MediaFault::Full, "{way:?}");
        let mut device = Image::from_bytes(full(&files[1..]));
        append(way, &mut device, &row(1)).unwrap();
        assert_eq!(whole_rows(&book(&mut device), "the last places of a root"), [row(1)]);
    }
}

/// Something of the name stands in the way, or must not be written: nothing is.
#[test]
fn what_stands_in_the_way_stays() {
    for way in WAYS {
        for (path, fault) in
            [("HOLDPT", MediaFault::InTheWay), ("HOLDPT/DAYBOOK.CSV/x", MediaFault::InTheWay)]
        {
            let image = card(Kind::Fat16, Table::None, &[FileSpec::new(path, "x", 8, 0)]);
            let mut device = Image::from_bytes(image.clone());
            assert_eq!(append(way, &mut device, &row(1)).unwrap_err().fault, fault, "{way:?} {path}");
            assert!(device.into_bytes() == image, "{way:?} {path}: nothing was written");
        }
    }
}

/// Whatever is wrong with a card, an append ends in an answer after a bounded number of blocks.
#[test]
fn damaged_cards_end_in_an_answer() {
    const CEILING: u64 = 200_000;
    let job = FileSpec::new("a.gcode", numbered_bytes(5_000, 0), 8, 0);
    let (mut done, mut refused) = (0, 0);
    // Knuth's MMIX numbers: enough to scatter damage, the same at every run.
    let mut drawn = 1_u64;
    let mut draw = || {
        drawn = drawn.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        drawn >> 24
    };
    for kind in FATS {
        let image = with_rows(&card(kind, Table::None, std::slice::from_ref(&job)), 0..3);
        // Few places are mostly in what nobody uses.
        for (way, scattered) in
            WAYS.into_iter().flat_map(|way| [(way, 1), (way, 1_500)]).flat_map(|try_| [try_; 50])
        {
            let mut device = Changed::new(&image, blocks(&image)).with_ceiling(CEILING);
            // Tables, the root and the first folders lie in the first blocks, and so does all that is changed here.
            for _ in 0..scattered {
                let at = usize::try_from(draw() % (600 * 512)).unwrap();
                device.put(at, &draw().to_le_bytes()[..4]);
            }
            match append(way, device, &row(3)) {
                Ok(()) => done += 1,
                Err(_) => refused += 1,
            }
        }
    }
    assert!(done > 20 && refused > 20, "some cards bear it, some do not: {done} and {refused}");
}
