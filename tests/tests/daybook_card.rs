//! The day book on a card whose power goes at every block of an append: what any reader then finds, and what the
//! system's checker says (`fsck.vfat`; a machine without it says so).

use std::fs::{File, OpenOptions};
use std::io::{Seek, SeekFrom, Write};
use std::path::Path;

use holdpoint_shared::daybook::{HEADER, LineState, ROW_BYTES, ROWS_FILE, Row, row_state};
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault, MountToken, PageFrom, Volume};
use holdpoint_sim::faults::{Fault, Faulty};
use holdpoint_sim::image::Image;
use holdpoint_tests::cards::{Changed, page, read_job, read_record};
use holdpoint_tests::images::{FileSpec, Kind, Table, card, fat_volume_in_turn, numbered_bytes, small_fat};
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

fn append(volume: &mut impl JobFiles, rows: &[u8]) -> Result<(), MediaError> {
    volume.append_record(ROWS_FILE, HEADER.as_bytes(), rows)
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
    let mut token = MountToken::new();
    let mut volume = Volume::mount(&mut device, &mut token).expect("a card");
    for rec in rows {
        append(&mut volume, &row(rec)).expect("a row");
    }
    drop(volume);
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
    for kind in FATS {
        for (name, image, rows) in cards(kind, &job) {
            std::fs::write(&file, &image).unwrap();
            let mut cuts = 0;
            for after in 0.. {
                let what = format!("{kind:?} {name} with {rows} rows, cut after {after} blocks");
                let mut device = Changed::new(&image, blocks(&image));
                let mut token = MountToken::new();
                let mut volume =
                    Volume::mount(Faulty::new(&mut device, Fault::PowerCutAfterWrites(after)), &mut token)
                        .unwrap();
                let answer = append(&mut volume, &row(rows));
                drop(volume);
                if checker {
                    let worse: Vec<_> = checked(&file, &image, &device)
                        .into_iter()
                        .filter(|line| !is_bearable(line))
                        .collect();
                    assert!(worse.is_empty(), "{what}: {worse:#?}");
                }
                let mut volume = Volume::mount(&mut device, &mut token).expect(&what);
                let place = page(&mut volume, PageFrom::Newest).expect(&what).entries[0].place;
                assert_eq!(read_job(&mut volume, place, 512).expect(&what), job.bytes, "{what}");
                let book = read_record(&mut volume, ROWS_FILE).unwrap_or_else(|error| {
                    assert_eq!(error.fault, MediaFault::NotFound, "{what}");
                    assert_eq!(rows, 0, "{what}: the book is lost");
                    Vec::new()
                });
                let found = whole_rows(&book, &what);
                let before: Vec<_> = (0..rows).map(row).collect();
                assert_eq!(found[..before.len()], before, "{what}");
                assert!(found[before.len()..].iter().all(|new| *new == row(rows)), "{what}");
                assert!(answer.is_err() || found.len() == before.len() + 1, "{what}: told as written");
                // The next row finds its place, and nothing before it is lost.
                append(&mut volume, &row(99)).expect(&what);
                let book = read_record(&mut volume, ROWS_FILE).expect(&what);
                let after_it = whole_rows(&book, &what);
                assert_eq!(after_it.len(), found.len() + 1, "{what}");
                assert_eq!(after_it.last(), Some(&row(99)), "{what}");
                if answer.is_ok() {
                    break;
                }
                cuts += 1;
                assert!(cuts < 200, "an append ends");
            }
            assert!(cuts >= 2, "{kind:?} {name}: cut at {cuts} blocks");
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
    for kind in FATS {
        for cut in [5, 100, second.len() - 10, second.len() - 2, second.len() - 1] {
            let bytes = [HEADER.as_bytes(), &first, &second[..cut]].concat();
            let image = card(kind, Table::Mbr, &[FileSpec::new("HOLDPT/DAYBOOK.CSV", bytes.clone(), 8, 0)]);
            let mut token = MountToken::new();
            let mut volume = Volume::mount(Image::from_bytes(image), &mut token).unwrap();
            append(&mut volume, &row(3)).unwrap();
            let book = read_record(&mut volume, ROWS_FILE).unwrap();
            assert!(book.starts_with(&bytes), "nothing that stood there is lost");
            let rows = whole_rows(&book, "closed");
            assert_eq!((rows.first(), rows.last()), (Some(&first), Some(&row(3))), "{kind:?} cut at {cut}");
        }
    }
}

/// What each trouble of a card is answered with; the rows before it stay, and the device goes on.
#[test]
fn each_trouble_has_an_answer_of_its_own_and_costs_no_row() {
    let job = FileSpec::new("a.gcode", numbered_bytes(900_000, 0), 8, 0);
    for kind in [Kind::Fat12, Kind::Fat16] {
        let begun = with_rows(&card(kind, Table::None, std::slice::from_ref(&job)), 0..2);
        let mut token = MountToken::new();
        let mut volume = Volume::mount(Image::from_bytes(begun.clone()).protected(), &mut token).unwrap();
        assert_eq!(append(&mut volume, &row(2)), Err(MediaError::new(MediaFault::ReadOnly)), "{kind:?}");
        assert_eq!(whole_rows(&read_record(&mut volume, ROWS_FILE).unwrap(), "protected"), [row(0), row(1)]);
        drop(volume);

        let writes = Fault::FailedWrite { after: 0 };
        let mut volume =
            Volume::mount(Faulty::new(Image::from_bytes(begun.clone()), writes), &mut token).unwrap();
        assert_eq!(append(&mut volume, &row(2)).unwrap_err().fault, MediaFault::WriteFailed, "{kind:?}");
        append(&mut volume, &row(3)).unwrap();
        let rows = whole_rows(&read_record(&mut volume, ROWS_FILE).unwrap(), "one write failed");
        assert_eq!((&rows[..2], rows.last()), (&[row(0), row(1)][..], Some(&row(3))));
        drop(volume);

        // Rows until the card is full: the last answer says so, and every row that was told as written is there.
        let mut volume = Volume::mount(Image::from_bytes(begun), &mut token).unwrap();
        let many: Vec<u8> = (2..102).flat_map(row).collect();
        let mut written = 2;
        let full = loop {
            match append(&mut volume, &many) {
                Ok(()) => written += 100,
                Err(error) => break error,
            }
        };
        assert_eq!(full.fault, MediaFault::Full, "{kind:?}");
        assert_eq!(whole_rows(&read_record(&mut volume, ROWS_FILE).unwrap(), "full").len(), written);
        let place = page(&mut volume, PageFrom::Newest).unwrap().entries[0].place;
        assert_eq!(read_job(&mut volume, place, 4_096).unwrap(), job.bytes);
    }
    let exfat = card(Kind::ExFat, Table::None, &[job]);
    let mut token = MountToken::new();
    let mut volume = Volume::mount(Image::from_bytes(exfat), &mut token).unwrap();
    assert_eq!(append(&mut volume, &row(0)), Err(MediaError::new(MediaFault::OnlyRead)));
}

/// A row is written between two turns of the knob, however long the book has grown.
#[test]
fn a_row_costs_few_blocks() {
    let job = FileSpec::new("a.gcode", numbered_bytes(5_000, 0), 8, 0);
    for kind in FATS {
        let image = with_rows(&card(kind, Table::None, std::slice::from_ref(&job)), 0..400);
        let reads = |append_too: bool| {
            let mut device = Image::from_bytes(image.clone());
            let mut token = MountToken::new();
            let mut volume = Volume::mount(&mut device, &mut token).unwrap();
            if append_too {
                append(&mut volume, &row(400)).unwrap();
            }
            drop(volume);
            let counters = device.counters();
            (counters.blocks_read, counters.blocks_written)
        };
        let (mounted, appended) = (reads(false), reads(true));
        let (read, written) = (appended.0 - mounted.0, appended.1 - mounted.1);
        assert!(read <= 60 && written <= 12, "{kind:?}: {read} blocks read, {written} written");
    }
}
