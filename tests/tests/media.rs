//! Cards written by other writers, read by the core: listing, order, paging, bytes, kinds, and records.

use std::cell::Cell;

use holdpoint_desk::image::Image;
use holdpoint_shared::limits::NAME_BYTES;
use holdpoint_shared::media::{
    Entry, EntryPlace, JobFiles, MediaError, MediaFault, MountToken, Page, PageFrom, SortKey, Volume,
    VolumeKind,
};
use holdpoint_tests::cards::{Changed, Counted, all_jobs, in_memory, page, read_job, read_part};
use holdpoint_tests::exfat::{self, Place};
use holdpoint_tests::images::{
    FileSpec, KINDS, Kind, TABLES, Table, card, clock, fat_volume, fat_volume_in_turn, in_gpt, in_mbr,
    in_table, numbered_bytes, small_fat, volume,
};

/// A class's card: 210 jobs in four folders, with names that need every part of the reading.
fn class_card() -> Vec<FileSpec> {
    let mut files = Vec::new();
    for number in 0..210_u32 {
        let folder = ["", "Klasse 9b/", "Klasse 9b/Förderbänder/", "spät/"][number as usize % 4];
        let name = match number % 6 {
            0 => format!("Halter größer {number}.gcode"),
            1 => format!("café crème {number}.GCODE"),
            2 => format!("PART{number}.GCO"),
            3 => format!("🦷 Zahnrad {number} 🛠.gco"),
            4 => format!("{}-{number}.gcode", "sehr langer Name ß ".repeat(8)),
            _ => format!("Calibration cube v{number}.nc"),
        };
        // Three to a minute, so that times tie and names decide.
        let minute = number / 3 % 60;
        let bytes = numbered_bytes(200 + number as usize, number);
        files.push(FileSpec::new(&format!("{folder}{name}"), bytes, 8 + number / 180, minute));
    }
    files
}

/// The jobs as the listing must give them, by sorting the sources: newest first, ties by the kept name.
fn expected_order(files: &[FileSpec]) -> Vec<&FileSpec> {
    let mut order: Vec<&FileSpec> = files.iter().collect();
    order.sort_by(|a, b| b.saved.cmp(&a.saved).then_with(|| cut(a.name()).cmp(cut(b.name()))));
    order
}

/// The name as kept: cut at a character.
fn cut(name: &str) -> &str {
    let end = (0..=NAME_BYTES.min(name.len())).rev().find(|at| name.is_char_boundary(*at)).unwrap();
    &name[..end]
}

#[test]
fn hundreds_of_jobs_are_listed_and_read_on_every_kind_of_card() {
    let mut files = class_card();
    let order: Vec<FileSpec> = expected_order(&files).into_iter().cloned().collect();
    files.push(FileSpec::new("model.stl", "solid", 9, 0));
    files.push(FileSpec::new("notes.txt", "notes", 9, 0));
    files.push(FileSpec::new(".hidden.gcode", "G28", 9, 0));
    files.push(FileSpec::new("HOLDPT/inside.gcode", "G28", 9, 0));
    for kind in KINDS {
        let written = volume(kind, &files);
        for table in TABLES {
            in_memory(in_table(&written, kind, table), |volume| {
                let what = format!("{kind:?} in {table:?}");
                let (jobs, census) = all_jobs(volume).unwrap();
                assert_eq!(jobs.len(), 210, "{what}");
                assert_eq!((census.jobs, census.models, census.others), (210, 1, 1), "{what}");
                assert_eq!((census.folders, census.too_deep, census.dirty), (3, 0, false), "{what}");
                for (job, source) in jobs.iter().zip(&order) {
                    assert_eq!(job.name.as_str(), cut(source.name()), "{what}");
                    assert_eq!(job.name_cut, source.name().len() > NAME_BYTES, "{what}: {}", job.name);
                    assert_eq!(job.folder.as_str(), source.folder(), "{what}: {}", job.name);
                    assert_eq!(job.saved, Some(source.saved), "{what}: {}", job.name);
                    assert_eq!(job.size_bytes, source.bytes.len() as u64, "{what}: {}", job.name);
                    assert_eq!(job.short_name.is_empty(), kind == Kind::ExFat, "{what}: {}", job.name);
                    assert_eq!(
                        read_job(volume, job.place, 300).unwrap(),
                        source.bytes,
                        "{what}: {}",
                        job.name
                    );
                }
            });
        }
    }
}

#[test]
fn one_call_of_a_listing_reads_a_few_blocks() {
    for kind in KINDS {
        let blocks_read = Cell::new(0);
        let device = Counted::new(Image::from_bytes(card(kind, Table::None, &class_card())), &blocks_read);
        let mut token = MountToken::new();
        let mut volume = Volume::mount(device, &mut token).unwrap();
        let (mut most, mut calls, start) = (0, 0, blocks_read.get());
        volume.start_listing(PageFrom::Newest);
        let mut page = Page::default();
        loop {
            let before = blocks_read.get();
            let polled = volume.poll_listing(&mut page);
            most = most.max(blocks_read.get() - before);
            calls += 1;
            match polled {
                Ok(()) => break,
                Err(nb::Error::WouldBlock) => {
                    assert!(page.entries.is_empty(), "the page comes when it is whole")
                }
                Err(nb::Error::Other(error)) => panic!("{error}"),
            }
        }
        let all = blocks_read.get() - start;
        // 32 entries of up to 20 slots are 40 blocks at the most, each perhaps with one of the table, and a
        // folder's name may stand at its parent's end.
        assert!(most <= 100, "{kind:?}: {most} blocks in one call");
        assert!(calls >= 7 && all < 600, "{kind:?}: {all} blocks in {calls} calls");
    }
}

#[test]
fn pages_lead_back_as_they_lead_forward() {
    in_memory(card(Kind::Fat16, Table::Mbr, &class_card()), |volume| {
        let (jobs, _) = all_jobs(volume).unwrap();
        let mut back: Vec<Entry> = Vec::new();
        let mut first = SortKey { saved: None, ..jobs.last().unwrap().key() };
        loop {
            let before = page(volume, PageFrom::Before(first)).unwrap();
            let Some(entry) = before.entries.first() else { break };
            first = entry.key();
            back.splice(0..0, before.entries.iter().cloned());
        }
        assert_eq!(back, jobs);
    });
}

#[test]
fn files_longer_than_a_cluster_are_read_whole_through_any_buffer() {
    for length in [0, 1, 511, 512, 513, 4_095, 4_096, 4_097, 70_001] {
        let file = FileSpec::new("job.gcode", numbered_bytes(length, 5), 8, 0);
        for kind in KINDS {
            in_memory(card(kind, Table::None, std::slice::from_ref(&file)), |volume| {
                let place = page(volume, PageFrom::Newest).unwrap().entries[0].place;
                for buffer in [1_000, 512, 16_384] {
                    assert_eq!(
                        read_job(volume, place, buffer).unwrap(),
                        file.bytes,
                        "{kind:?} {length} {buffer}"
                    );
                }
            });
        }
    }
}

#[test]
fn scattered_files_are_read_whole() {
    let files = [
        FileSpec::new("one.gcode", numbered_bytes(60_000, 0), 8, 1),
        FileSpec::new("two.gcode", numbered_bytes(30_000, 1 << 20), 8, 0),
    ];
    let mut images: Vec<Vec<u8>> = [Kind::Fat12, Kind::Fat16, Kind::Fat32]
        .map(|kind| fat_volume_in_turn(small_fat(kind), [&files[0], &files[1]]))
        .into();
    for place in [Place::OneRun, Place::Chained, Place::Scattered] {
        images.push(exfat::volume(2 << 20, &files, place));
    }
    for (number, image) in images.into_iter().enumerate() {
        in_memory(image, |volume| {
            let (jobs, _) = all_jobs(volume).unwrap();
            for (job, file) in jobs.iter().zip(&files) {
                assert_eq!(read_job(volume, job.place, 4_096).unwrap(), file.bytes, "image {number}");
                // Forward, back and forward again.
                for offset in [29_000, 100, 29_999, 0] {
                    let part = read_part(volume, offset, 1, 512).unwrap();
                    let from = usize::try_from(offset).unwrap();
                    assert_eq!(part, file.bytes[from..from + part.len()], "image {number} from {offset}");
                    assert!(!part.is_empty());
                }
            }
        });
    }
}

#[test]
fn a_far_place_is_reached_in_bounded_steps() {
    // 20,000 clusters of 512 bytes: more than one call follows.
    let file = FileSpec::new("long.gcode", numbered_bytes(10_240_000, 0), 8, 0);
    let mut shape = small_fat(Kind::Fat16);
    shape.bytes = 16 << 20;
    in_memory(fat_volume(shape, std::slice::from_ref(&file)), |volume| {
        let place = page(volume, PageFrom::Newest).unwrap().entries[0].place;
        volume.open(place).unwrap();
        volume.seek(10_000_000).unwrap();
        let mut buffer = [0; 512];
        let mut waits = 0;
        let read = loop {
            match volume.poll_read(&mut buffer) {
                Ok(read) => break read,
                Err(nb::Error::WouldBlock) => waits += 1,
                Err(nb::Error::Other(error)) => panic!("{error}"),
            }
        };
        assert_eq!(buffer[..read], file.bytes[10_000_000..10_000_000 + read]);
        assert_eq!(waits, 9, "10,000,000 bytes are 9 steps of 2,048 clusters and a rest");
    });
}

#[test]
fn big_buffers_read_many_blocks_a_call() {
    let file = FileSpec::new("job.gcode", numbered_bytes(65_536, 0), 8, 0);
    let mut token = MountToken::new();
    let mut image = Image::from_bytes(card(Kind::Fat16, Table::None, std::slice::from_ref(&file)));
    let mut volume = Volume::mount(&mut image, &mut token).unwrap();
    let place = page(&mut volume, PageFrom::Newest).unwrap().entries[0].place;
    volume.open(place).unwrap();
    drop(volume);
    let before = image.counters();
    let mut volume = Volume::mount(&mut image, &mut token).unwrap();
    assert_eq!(read_job(&mut volume, place, 65_536).unwrap(), file.bytes);
    drop(volume);
    let calls = image.counters().reads - before.reads;
    assert!(calls < 20, "128 blocks in {calls} calls, mounting and finding the file included");
}

#[test]
fn the_kind_follows_from_the_count_of_clusters_alone() {
    // Microsoft's FAT overview 1.03: fewer than 4,085 FAT12, fewer than 65,525 FAT16, else FAT32.
    for (clusters, kind) in [
        (1, VolumeKind::Fat12),
        (4_084, VolumeKind::Fat12),
        (4_085, VolumeKind::Fat16),
        (65_524, VolumeKind::Fat16),
    ] {
        let boot = boot_16(clusters);
        let mut token = MountToken::new();
        let volume =
            Volume::mount(Changed::new(&boot, u64::from(1 + 512 + 32 + clusters)), &mut token).unwrap();
        assert_eq!((volume.kind(), volume.clusters()), (kind, clusters));
    }
    let boot = boot_32(65_525);
    let mut token = MountToken::new();
    let volume = Volume::mount(Changed::new(&boot, 32 + 1_024 + 65_525), &mut token).unwrap();
    assert_eq!((volume.kind(), volume.clusters()), (VolumeKind::Fat32, 65_525));
}

/// A boot sector of one-sector clusters with a root of 512 entries and two tables of 256 sectors.
fn boot_16(clusters: u32) -> Vec<u8> {
    let mut boot = vec![0; 512];
    let mut put = |at: usize, bytes: &[u8]| boot[at..at + bytes.len()].copy_from_slice(bytes);
    put(0, &[0xEB, 0x3C, 0x90]);
    put(11, &512_u16.to_le_bytes());
    put(13, &[1, 1, 0, 2]);
    put(17, &512_u16.to_le_bytes());
    put(21, &[0xF8]);
    put(22, &256_u16.to_le_bytes());
    put(32, &(1 + 512 + 32 + clusters).to_le_bytes());
    put(510, &[0x55, 0xAA]);
    boot
}

/// A boot sector of one-sector clusters with two tables of 512 sectors and the root in cluster 2.
fn boot_32(clusters: u32) -> Vec<u8> {
    let mut boot = vec![0; 512];
    let mut put = |at: usize, bytes: &[u8]| boot[at..at + bytes.len()].copy_from_slice(bytes);
    put(0, &[0xEB, 0x58, 0x90]);
    put(11, &512_u16.to_le_bytes());
    put(13, &[1, 32, 0, 2]);
    put(21, &[0xF8]);
    put(32, &(32 + 1_024 + clusters).to_le_bytes());
    put(36, &512_u32.to_le_bytes());
    put(44, &2_u32.to_le_bytes());
    put(510, &[0x55, 0xAA]);
    boot
}

#[test]
fn stored_names_and_times_are_those_of_the_published_worked_values() {
    let mut file = FileSpec::new("Calibration cube v2.gcode", "G28", 7, 46);
    file.saved = clock(7, 46, 26);
    let image = card(Kind::Fat12, Table::None, &[file]);
    // The root of this volume is where the writer put the short entry.
    let entry = image.chunks(32).position(|entry| entry.starts_with(b"CALIBR~1GCO")).expect("a short entry");
    let stored = |at: usize| &image[at * 32..at * 32 + 32];
    // 2026-11-25 is 0x5D79 and 07:46:26 is 0x3DCD, by Microsoft's packing.
    assert_eq!(stored(entry)[22..26], [0xCD, 0x3D, 0x79, 0x5D]);
    // The check of 'CALIBR~1GCO' is 0x72: worked by hand and stored by a third writer in an image of its own.
    assert_eq!((stored(entry - 1)[13], stored(entry - 2)[13]), (0x72, 0x72));
    in_memory(image, |volume| {
        let job = page(volume, PageFrom::Newest).unwrap().entries[0].clone();
        assert_eq!(job.name.as_str(), "Calibration cube v2.gcode");
        assert_eq!(job.short_name.as_str(), "CALIBR~1.GCO");
        assert_eq!(job.saved, Some(clock(7, 46, 26)));
    });
}

#[test]
fn the_exfat_writers_sums_are_those_of_the_published_worked_values() {
    let units: Vec<u16> = "test.gcode".encode_utf16().collect();
    assert_eq!(exfat::name_hash(&units), 0x2AE1, "worked by hand from the specification");
}

#[test]
fn an_impossible_time_is_none_and_sorts_last() {
    let files = [FileSpec::new("a.gcode", "G28", 8, 0), FileSpec::new("b.gco", "G28", 9, 0)];
    let mut image = card(Kind::Fat12, Table::None, &files);
    let entry =
        image.chunks(32).position(|entry| entry.starts_with(b"B       GCO")).expect("a short entry") * 32;
    // Month 15 of a year, and hour 31.
    image[entry + 22..entry + 26].copy_from_slice(&[0xFF, 0xFF, 0xE1, 0x5D]);
    in_memory(image, |volume| {
        let (jobs, _) = all_jobs(volume).unwrap();
        let seen: Vec<_> = jobs.iter().map(|job| (job.name.as_str(), job.saved)).collect();
        assert_eq!(seen, [("a.gcode", Some(clock(8, 0, 0))), ("b.gco", None)]);
    });
}

#[test]
fn folders_too_deep_are_counted_and_not_entered() {
    let files = [
        FileSpec::new("1/2/3/4/5/6/deep.gcode", "G28", 8, 0),
        FileSpec::new("1/2/3/4/5/6/7/deeper.gcode", "G28", 8, 0),
    ];
    for kind in [Kind::Fat32, Kind::ExFat] {
        in_memory(card(kind, Table::None, &files), |volume| {
            let (jobs, census) = all_jobs(volume).unwrap();
            assert_eq!((jobs.len(), census.folders, census.too_deep), (1, 6, 1), "{kind:?}");
            assert_eq!(jobs[0].folder.as_str(), "1/2/3/4/5/6");
            let listed = page(volume, PageFrom::Newest).unwrap();
            assert_eq!((listed.census.left_out(), &*listed.first_left_out), (1, "1/2/3/4/5/6/7"), "{kind:?}");
            assert_eq!(read_job(volume, jobs[0].place, 512).unwrap(), b"G28");
        });
    }
}

#[test]
fn hidden_jobs_are_counted_and_not_listed() {
    let files = [
        FileSpec::new("a.gcode", "G28", 8, 0),
        FileSpec::new(".b.gcode", "G28", 8, 0),
        FileSpec::new(".notes.txt", "", 8, 0),
        FileSpec::new("._a.gcode", "companion", 8, 0),
        FileSpec::new(".Trash/inner/c.gcode", "G28", 8, 0),
        FileSpec::new(".Trash/notes.txt", "", 8, 0),
    ];
    for kind in KINDS {
        in_memory(card(kind, Table::None, &files), |volume| {
            let listed = page(volume, PageFrom::Newest).unwrap();
            let census = listed.census;
            assert_eq!(
                (census.jobs, census.others, census.hidden, census.left_out()),
                (1, 0, 2, 2),
                "{kind:?}"
            );
            assert!([".b.gcode", ".Trash/inner/c.gcode"].contains(&&*listed.first_left_out), "{kind:?}");
        });
    }
}

#[test]
fn what_is_not_there_is_not_found() {
    let not_found = Err(MediaError::new(MediaFault::NotFound));
    for kind in KINDS {
        in_memory(card(kind, Table::Gpt, &[FileSpec::new("f/a.gcode", "G28", 8, 0)]), |volume| {
            let place = page(volume, PageFrom::Newest).unwrap().entries[0].place;
            assert_eq!(volume.open_record("SPOOL.JSN"), not_found);
            for wrong in [
                EntryPlace { entry: place.entry + 40, ..place },
                EntryPlace { folder: place.folder + 1_000, ..place },
                EntryPlace { folder: u64::MAX, entry: u64::MAX },
            ] {
                assert!(volume.open(wrong).is_err(), "{kind:?} {wrong:?}");
            }
            assert_eq!(volume.seek(0), not_found.map(|_: u64| ()));
            assert_eq!(volume.open(place), Ok(3));
        });
    }
}

#[test]
fn a_card_that_was_not_taken_out_cleanly_is_marked() {
    let files = [FileSpec::new("a.gcode", "G28", 8, 0)];
    for kind in [Kind::Fat16, Kind::Fat32, Kind::ExFat] {
        let mut image = card(kind, Table::None, &files);
        match kind {
            // FAT[1]: bit 15 or 27 is 1 on a clean volume. exFAT: VolumeFlags bit 1 is 1 on a dirty one.
            Kind::ExFat => image[106] |= 2,
            Kind::Fat16 => image[512 + 3] &= 0x7F,
            _ => image[8 * 512 + 7] &= 0xF7,
        }
        in_memory(image, |volume| assert!(all_jobs(volume).unwrap().1.dirty, "{kind:?}"));
    }
}

#[test]
fn the_second_and_the_logical_partition_are_found() {
    let files = [FileSpec::new("a.gcode", "G28", 8, 0)];
    let volume = card(Kind::Fat12, Table::None, &files);
    let mut second = in_mbr(&volume, 0x0C);
    let entry: Vec<u8> = second[446..462].to_vec();
    second[462..478].copy_from_slice(&entry);
    // The first is a partition of another system, with nothing we know in it.
    second[446 + 4] = 0x83;
    second[446 + 8..446 + 16].copy_from_slice(&[64, 0, 0, 0, 64, 0, 0, 0]);
    let mut hidden_type = in_mbr(&volume, 0x99);
    hidden_type[446] = 0x80;
    let mut backup_only = in_gpt(&volume);
    backup_only[512..1_024].fill(0);
    for image in [second, hidden_type, backup_only] {
        in_memory(image, |volume| assert_eq!(all_jobs(volume).unwrap().0.len(), 1));
    }
}

#[test]
fn a_mounted_volume_takes_a_known_part_of_the_ram() {
    // The library's state alone is about 1 KiB and the page of the listing 1.5 KiB; 4 KiB is this room's part.
    let bytes = Volume::<'_, ()>::BYTES;
    assert!((2_000..=4_096).contains(&bytes), "a mounted volume takes {bytes} bytes");
}

/// A folder as the `fatfs` crate (0.3.6) leaves it, with long names before its own dots, is listed and read all the
/// same.
#[test]
fn folders_that_begin_with_long_names_of_their_dots_are_read() {
    for kind in [fatfs::FatType::Fat12, fatfs::FatType::Fat16, fatfs::FatType::Fat32] {
        let bytes = if kind == fatfs::FatType::Fat32 { 40 << 20 } else { 8 << 20 };
        let mut image = std::io::Cursor::new(vec![0; bytes]);
        let cluster = if kind == fatfs::FatType::Fat12 { 4096 } else { 512 };
        let format = fatfs::FormatVolumeOptions::new().fat_type(kind).bytes_per_cluster(cluster);
        fatfs::format_volume(&mut image, format).unwrap();
        let card = fatfs::FileSystem::new(&mut image, fatfs::FsOptions::new()).unwrap();
        let inner = card.root_dir().create_dir("Klasse 9b").unwrap().create_dir("spät").unwrap();
        std::io::Write::write_all(&mut inner.create_file("größer.gcode").unwrap(), b"G28\n").unwrap();
        drop(inner);
        card.unmount().unwrap();
        in_memory(image.into_inner(), |volume| {
            let (jobs, census) = all_jobs(volume).unwrap();
            assert_eq!((jobs.len(), census.folders, census.unreadable), (1, 2, 0), "{kind:?}");
            assert_eq!(jobs[0].folder, "Klasse 9b/spät");
            assert_eq!(read_job(volume, jobs[0].place, 512).unwrap(), b"G28\n");
        });
    }
}
