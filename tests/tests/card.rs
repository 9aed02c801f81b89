//! Cards made by our own command: read back by the core, and clear errors where none can be made.

use std::collections::HashSet;

use holdpoint_cli::folder_card::{Making, make_card};
use holdpoint_cli::image_file::ImageFile;
use holdpoint_desk::card::{CardKind, CardOptions, CardTable};
use holdpoint_shared::media::{MountToken, PageFrom, Volume};
use holdpoint_tests::cards::{page, read_job};
use holdpoint_tests::images::numbered_bytes;
use holdpoint_tests::tools::have;

#[test]
fn a_folder_becomes_a_card() {
    let from = tempfile::tempdir().unwrap();
    let to = tempfile::tempdir().unwrap();
    let inner = from.path().join("Klasse 9b");
    std::fs::create_dir(&inner).unwrap();
    let job = numbered_bytes(100_000, 0);
    std::fs::write(inner.join("Größe é.gcode"), &job).unwrap();
    std::fs::write(from.path().join(".hidden"), "").unwrap();
    // 1_764_057_600 is 2025-11-25 08:00 UTC.
    let saved = std::time::UNIX_EPOCH + std::time::Duration::from_secs(1_764_057_600);
    let file = std::fs::File::options().write(true).open(inner.join("Größe é.gcode")).unwrap();
    file.set_modified(saved).unwrap();
    let mut made = HashSet::new();
    for (number, (kind, size)) in [
        (None, None),
        (Some(CardKind::Fat12), None),
        (Some(CardKind::Fat16), None),
        (Some(CardKind::Fat32), None),
        (Some(CardKind::Fat32), Some(600 << 20)),
        (None, Some(64 << 20)),
    ]
    .into_iter()
    .enumerate()
    {
        for table in [CardTable::None, CardTable::Mbr] {
            let image = to.path().join(format!("{number}{table:?}.img"));
            let options = Making {
                card: CardOptions { kind, table, size_bytes: size },
                utc_offset_min: 60,
                replace: false,
            };
            let summary = make_card(from.path(), &image, &options).unwrap();
            assert_eq!((summary.files, summary.folders, summary.hidden), (1, 1, 1));
            assert_eq!(summary.first_hidden.as_deref(), Some(".hidden"));
            assert_eq!(summary.content_bytes, 100_000);
            assert_eq!(kind.unwrap_or(summary.kind), summary.kind);
            made.insert(format!("{:?}", summary.kind));
            let mut token = MountToken::new();
            let mut volume = Volume::mount(ImageFile::open(&image).unwrap(), &mut token).unwrap();
            assert_eq!(format!("{:?}", volume.kind()), format!("{:?}", summary.kind));
            let listed = page(&mut volume, PageFrom::Newest).unwrap().entries[0].clone();
            assert_eq!((listed.folder.as_str(), listed.name.as_str()), ("Klasse 9b", "Größe é.gcode"));
            assert_eq!(listed.saved.unwrap().to_string(), "2025-11-25 09:00:00");
            assert_eq!(read_job(&mut volume, listed.place, 4_096).unwrap(), job);
        }
    }
    assert_eq!(made.len(), 3, "every kind was made");
}

#[test]
fn a_card_that_cannot_be_made_says_why_and_leaves_nothing() {
    let from = tempfile::tempdir().unwrap();
    let to = tempfile::tempdir().unwrap();
    let image = to.path().join("card.img");
    std::fs::write(from.path().join("a.gcode"), vec![0; 3 << 20]).unwrap();
    let said = |from: &std::path::Path, card: CardOptions| {
        format!("{:#}", make_card(from, &image, &Making { card, ..Making::default() }).unwrap_err())
    };
    assert!(said(&from.path().join("none"), CardOptions::default()).contains("none"));
    let small = CardOptions { size_bytes: Some(3 << 20), ..CardOptions::default() };
    assert!(said(from.path(), small).contains("do not fit"));
    let wrong =
        CardOptions { kind: Some(CardKind::Fat32), size_bytes: Some(8 << 20), ..CardOptions::default() };
    assert!(said(from.path(), wrong).contains("Fat32"));
    if cfg!(unix) {
        std::fs::write(from.path().join("a:b.gcode"), "").unwrap();
        assert!(said(from.path(), CardOptions::default()).contains("a:b.gcode"));
        std::fs::remove_file(from.path().join("a:b.gcode")).unwrap();
    }
    assert_eq!(std::fs::read_dir(to.path()).unwrap().count(), 0, "nothing is left behind");
    std::fs::write(&image, "mine").unwrap();
    assert!(said(from.path(), CardOptions::default()).contains("already there"));
    assert_eq!(std::fs::read(&image).unwrap(), b"mine");
}

/// Thousands of files in one folder, with the aliases that they share, are what the `fatfs` crate finds, and nothing that
/// a checker of the system would mend.
#[test]
fn thousands_of_files_in_one_folder_are_made_at_once() {
    let from = tempfile::tempdir().unwrap();
    let jobs = from.path().join("Jobs für alle");
    std::fs::create_dir_all(jobs.join("innen")).unwrap();
    std::fs::create_dir(from.path().join("EMPTY")).unwrap();
    let name = |number: usize| match number % 4 {
        0 => format!("job {number}.gcode"),
        1 => format!("J{number}.GCO"),
        2 => format!("ein langer Name für Teil {number} \u{1F600}.gcode"),
        _ => format!("JOB~{number}.GCO"),
    };
    for number in 0..3_000 {
        std::fs::write(jobs.join(name(number)), format!("; {number}\n")).unwrap();
    }
    std::fs::write(jobs.join("innen/leer.gcode"), "").unwrap();
    let to = tempfile::tempdir().unwrap();
    for kind in [CardKind::Fat12, CardKind::Fat16, CardKind::Fat32] {
        let image = to.path().join(format!("{kind:?}.img"));
        let card = CardOptions { kind: Some(kind), table: CardTable::None, ..CardOptions::default() };
        let card =
            if kind == CardKind::Fat12 { CardOptions { size_bytes: Some(28 << 20), ..card } } else { card };
        let summary = make_card(from.path(), &image, &Making { card, ..Making::default() }).unwrap();
        assert_eq!((summary.files, summary.folders), (3_001, 3));
        let card = fatfs::FileSystem::new(std::fs::File::open(&image).unwrap(), fatfs::FsOptions::new());
        let card = card.unwrap();
        let folder = card.root_dir().open_dir("Jobs für alle").unwrap();
        let found: Vec<_> = folder.iter().map(|entry| entry.unwrap()).collect();
        // Itself, its parent and the folder in it.
        assert_eq!(found.len(), 3_003);
        let aliases: HashSet<_> = found.iter().map(fatfs::DirEntry::short_file_name).collect();
        assert_eq!(aliases.len(), 3_003, "no alias twice");
        let mut token = MountToken::new();
        let mut volume = Volume::mount(ImageFile::open(&image).unwrap(), &mut token).unwrap();
        let mut names = HashSet::new();
        let mut newest = page(&mut volume, PageFrom::Newest).unwrap();
        assert_eq!(newest.census.jobs, 3_001);
        while let Some(last) = newest.entries.last().cloned() {
            for entry in &newest.entries {
                let number = entry.name.chars().filter(char::is_ascii_digit).collect::<String>();
                if let Ok(number) = number.parse::<usize>() {
                    assert_eq!(entry.name.as_str(), name(number));
                    let job = read_job(&mut volume, entry.place, 512).unwrap();
                    assert_eq!(job, format!("; {number}\n").into_bytes());
                }
                names.insert(entry.name.to_string());
            }
            if names.len() > 40 {
                break;
            }
            newest = page(&mut volume, PageFrom::After(last.key())).unwrap();
        }
        if have(&["fsck.vfat"]) {
            let checked = std::process::Command::new("fsck.vfat").arg("-n").arg(&image).output().unwrap();
            assert!(checked.status.success(), "{kind:?}: {}", String::from_utf8_lossy(&checked.stdout));
        }
    }
}
