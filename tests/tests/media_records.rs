//! The card's own records: read, and rows appended where the card can be written.

use holdpoint_desk::image::Image;
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault, MountToken, PageFrom, Volume};
use holdpoint_tests::cards::{all_jobs, in_memory, page, read_job, read_part, read_record};
use holdpoint_tests::images::{FileSpec, KINDS, Kind, Table, card, numbered_bytes};

#[test]
fn records_are_read_and_rows_appended() {
    for kind in KINDS {
        let record = FileSpec::new("holdpt/spool.jsn", "{}", 8, 0);
        let job = FileSpec::new("a.gcode", numbered_bytes(3_000, 0), 8, 0);
        in_memory(card(kind, Table::Mbr, &[record, job.clone()]), |volume| {
            assert_eq!(read_record(volume, "SPOOL.JSN").unwrap(), b"{}", "{kind:?}");
            let place = page(volume, PageFrom::Newest).unwrap().entries[0].place;
            let first = volume.append_record("DAYBOOK.CSV", b"a,b\r\n", b"1,2\r\n");
            if kind == Kind::ExFat {
                assert_eq!(first, Err(MediaError::new(MediaFault::OnlyRead)));
                assert!(!volume.writable());
                return;
            }
            first.unwrap();
            let long = b"3,".iter().chain(&[b'4'; 1_200]).chain(b"\r\n").copied().collect::<Vec<u8>>();
            volume.open(place).unwrap();
            volume.append_record("DAYBOOK.CSV", b"a,b\r\n", &long).unwrap();
            // The open job is read on as if nothing had happened.
            assert_eq!(read_part(volume, 0, usize::MAX, 700).unwrap(), job.bytes, "{kind:?}");
            let book = read_record(volume, "DAYBOOK.CSV").unwrap();
            assert_eq!(book, [b"a,b\r\n1,2\r\n".as_slice(), &long].concat(), "{kind:?}");
            let (jobs, census) = all_jobs(volume).unwrap();
            assert_eq!((jobs.len(), census.others), (1, 0), "our own records are left out");
        });
    }
}

#[test]
fn a_row_begins_a_line_after_another_writers_last_one() {
    let record = FileSpec::new("HOLDPT/DAYBOOK.CSV", "a,b\r\n1,2", 8, 0);
    in_memory(card(Kind::Fat16, Table::None, &[record]), |volume| {
        volume.append_record("DAYBOOK.CSV", b"a,b\r\n", b"3,4\r\n").unwrap();
        assert_eq!(read_record(volume, "DAYBOOK.CSV").unwrap(), b"a,b\r\n1,2\r\n3,4\r\n");
    });
}

#[test]
fn a_full_or_protected_card_says_so_and_keeps_its_job() {
    let job = FileSpec::new("a.gcode", numbered_bytes(800_000, 0), 8, 0);
    let image = card(Kind::Fat12, Table::None, std::slice::from_ref(&job));
    in_memory(image.clone(), |volume| {
        let rows = vec![b'x'; 200_000];
        assert_eq!(volume.append_record("DAYBOOK.CSV", b"", &rows), Err(MediaError::new(MediaFault::Full)));
        let place = page(volume, PageFrom::Newest).unwrap().entries[0].place;
        assert_eq!(read_job(volume, place, 4_096).unwrap(), job.bytes);
        volume.append_record("DAYBOOK.CSV", b"", b"1\r\n").unwrap();
        assert_eq!(read_record(volume, "DAYBOOK.CSV").unwrap(), b"1\r\n");
    });
    let mut token = MountToken::new();
    let mut volume = Volume::mount(Image::from_bytes(image).protected(), &mut token).unwrap();
    assert_eq!(volume.append_record("X", b"", b"1"), Err(MediaError::new(MediaFault::ReadOnly)));
}
