//! Cards made by our own command: read back by the core, and clear errors where none can be made.

use std::collections::HashSet;

use holdpoint_cli::folder_card::{Making, make_card};
use holdpoint_cli::image_file::ImageFile;
use holdpoint_desk::card::{CardKind, CardOptions, CardTable};
use holdpoint_shared::media::{MountToken, PageFrom, Volume};
use holdpoint_tests::cards::{page, read_job};
use holdpoint_tests::images::numbered_bytes;

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
