//! Cards written and checked by the system's own tools (dosfstools, mtools, exfatprogs), where they are.
//!
//! On a machine without them a test says that it did not run; with `CI` set it fails, so that no run of
//! continuous integration leaves it out unseen.

use std::path::Path;

use holdpoint_cli::folder_card::{Making, make_card};
use holdpoint_cli::image_file::ImageFile;
use holdpoint_desk::card::{CardKind, CardOptions, CardTable};
use holdpoint_shared::media::{JobFiles, MountToken, PageFrom, Volume, VolumeKind};
use holdpoint_tests::cards::{all_jobs, page, read_job, read_record};
use holdpoint_tests::exfat::{self, Place};
use holdpoint_tests::images::{FileSpec, PARTITION_BLOCK, numbered_bytes};
use holdpoint_tests::tools::{have, run, text};

fn empty_image(path: &Path, bytes: u64) {
    std::fs::File::create(path).and_then(|file| file.set_len(bytes)).expect("an image file");
}

#[test]
fn cards_of_mkfs_vfat_and_mcopy_are_listed_read_and_written() {
    if !have(&["mkfs.vfat", "mcopy", "mmd", "mtype", "fsck.vfat"]) {
        return;
    }
    let here = tempfile::tempdir().unwrap();
    let jobs = here.path().join("jobs");
    std::fs::create_dir(&jobs).unwrap();
    let mut files = Vec::new();
    for number in 0..200_usize {
        let name = match number % 4 {
            0 => format!("Halter größer {number}.gcode"),
            // mcopy 4.0.32 stores no pairs of UTF-16: letters beyond its 16 bits are tested with the other writers.
            1 => format!("café ☕ {number}.gcode"),
            2 => format!("PART{number}.GCO"),
            _ => format!("{} {number}.gcode", "langer Name ".repeat(7)),
        };
        let bytes = numbered_bytes(100 + number * 37, 0);
        std::fs::write(jobs.join(&name), &bytes).unwrap();
        files.push((name, bytes));
    }
    // Sectors: 1440 KiB, 16 MiB and 128 MiB with the tool's own choices; clusters as mkfs.vfat 4.2 made them and
    // as the published sums give them.
    for (kind, kib, arguments, clusters) in [
        (VolumeKind::Fat12, 1_440, &["-F", "12"], 2_847),
        (VolumeKind::Fat16, 16 * 1_024, &["-F", "16"], 8_167),
        (VolumeKind::Fat32, 128 * 1_024, &["-F", "32"], 258_078),
    ] {
        let image = here.path().join(format!("{kind:?}.img"));
        empty_image(&image, kib * 1_024);
        run("mkfs.vfat", &[arguments[0], arguments[1], text(&image)]);
        run("mmd", &["-i", text(&image), "::/Klasse 9b", "::/HOLDPT"]);
        let into = "::/Klasse 9b/";
        for (name, _) in &files {
            run("mcopy", &["-i", text(&image), text(&jobs.join(name)), into]);
        }
        let mut token = MountToken::new();
        let mut volume = Volume::mount(ImageFile::open_writable(&image).unwrap(), &mut token).unwrap();
        assert_eq!((volume.kind(), volume.clusters()), (kind, clusters));
        let (listed, census) = all_jobs(&mut volume).unwrap();
        assert_eq!((listed.len(), census.jobs, census.folders), (200, 200, 1), "{kind:?}");
        for job in &listed {
            let (_, bytes) = files.iter().find(|(name, _)| name.starts_with(job.name.as_str())).unwrap();
            if !job.name_cut {
                assert_eq!(&read_job(&mut volume, job.place, 4_096).unwrap(), bytes, "{}", job.name);
            }
        }
        for row in 0..20 {
            volume.append_record("DAYBOOK.CSV", b"a,b\r\n", format!("{row},x\r\n").as_bytes()).unwrap();
        }
        drop(volume);
        // The checker finds nothing to mend, and another reader finds the rows.
        run("fsck.vfat", &["-n", text(&image)]);
        let book = run("mtype", &["-i", text(&image), "::/HOLDPT/DAYBOOK.CSV"]);
        assert!(book.starts_with("a,b\r\n0,x\r\n") && book.ends_with("19,x\r\n"), "{book}");
    }
}

#[test]
fn the_name_check_of_a_third_writer_is_the_published_one() {
    if !have(&["mkfs.vfat", "mcopy"]) {
        return;
    }
    let here = tempfile::tempdir().unwrap();
    let (image, job) = (here.path().join("card.img"), here.path().join("Calibration cube v2.gcode"));
    std::fs::write(&job, "G28\n").unwrap();
    empty_image(&image, 1_440 * 1_024);
    run("mkfs.vfat", &["-F", "12", text(&image)]);
    run("mcopy", &["-i", text(&image), text(&job), "::/"]);
    let bytes = std::fs::read(&image).unwrap();
    let entry = bytes.chunks(32).position(|entry| entry.starts_with(b"CALIBR~1GCO")).unwrap();
    assert_eq!(bytes[(entry - 1) * 32 + 13], 0x72);
    let mut token = MountToken::new();
    let mut volume = Volume::mount(ImageFile::open(&image).unwrap(), &mut token).unwrap();
    let job = page(&mut volume, PageFrom::Newest).unwrap().entries[0].clone();
    assert_eq!((job.name.as_str(), job.short_name.as_str()), ("Calibration cube v2.gcode", "CALIBR~1.GCO"));
}

#[test]
fn cards_made_here_pass_the_systems_checker() {
    if !have(&["fsck.vfat", "mdir"]) {
        return;
    }
    let here = tempfile::tempdir().unwrap();
    let from = here.path().join("from");
    for folder in ["Klasse 9b/innen", "leer"] {
        std::fs::create_dir_all(from.join(folder)).unwrap();
    }
    for number in 0..30 {
        let name = from.join(format!("Klasse 9b/innen/Halter größer {number}.gcode"));
        std::fs::write(name, numbered_bytes(3_000, number)).unwrap();
    }
    for kind in [CardKind::Fat12, CardKind::Fat16, CardKind::Fat32] {
        let image = here.path().join(format!("{kind:?}.img"));
        let card = CardOptions { kind: Some(kind), table: CardTable::Mbr, ..CardOptions::default() };
        let options = Making { card, ..Making::default() };
        make_card(&from, &image, &options).unwrap();
        let bytes = std::fs::read(&image).unwrap();
        let volume = here.path().join("volume.img");
        std::fs::write(&volume, &bytes[PARTITION_BLOCK * 512..]).unwrap();
        run("fsck.vfat", &["-n", text(&volume)]);
        let seen = run("mdir", &["-i", text(&volume), "-b", "::/Klasse 9b/innen"]);
        assert_eq!(seen.lines().count(), 30, "{seen}");
    }
}

#[test]
fn our_exfat_volumes_pass_the_systems_checker() {
    if !have(&["fsck.exfat"]) {
        return;
    }
    let here = tempfile::tempdir().unwrap();
    let files = [
        FileSpec::new("Halter größer.gcode", numbered_bytes(30_000, 0), 8, 0),
        FileSpec::new("Klasse 9b/innen/Zahnrad 🦷.gcode", numbered_bytes(9_000, 0), 8, 1),
        FileSpec::new("leer.gcode", "", 8, 2),
    ];
    for place in [Place::OneRun, Place::Chained, Place::Scattered] {
        let image = here.path().join(format!("{place:?}.img"));
        std::fs::write(&image, exfat::volume(4 << 20, &files, place)).unwrap();
        let said = run("fsck.exfat", &["-n", text(&image)]);
        assert!(said.contains("clean"), "{said}");
    }
}

#[test]
fn a_volume_of_mkfs_exfat_mounts_and_has_our_sums() {
    if !have(&["mkfs.exfat"]) {
        return;
    }
    let here = tempfile::tempdir().unwrap();
    let image = here.path().join("card.img");
    empty_image(&image, 64 << 20);
    run("mkfs.exfat", &[text(&image)]);
    let bytes = std::fs::read(&image).unwrap();
    let stored = u32::from_le_bytes(bytes[11 * 512..11 * 512 + 4].try_into().unwrap());
    assert_eq!(exfat::checksum(&bytes[..11 * 512], &[106, 107, 112]), stored, "the boot region's sum");
    let mut token = MountToken::new();
    let mut volume = Volume::mount(ImageFile::open(&image).unwrap(), &mut token).unwrap();
    assert_eq!(volume.kind(), VolumeKind::ExFat);
    assert_eq!(all_jobs(&mut volume).unwrap().0.len(), 0);
    assert!(read_record(&mut volume, "SPOOL.JSN").is_err());
}
