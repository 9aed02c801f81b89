//! A card, FAT or exFAT, with any of its bytes changed: it is mounted, listed, read and written in a bounded number of
//! blocks, and no panic.
//!
//! Input: the kind of the card, then changes of five bytes each: a place (32 bits) and its byte. Places are taken within
//! the first 400 blocks, where tables and folders lie.

#![no_main]

use std::sync::OnceLock;

use holdpoint_desk::image::Image;
use holdpoint_shared::media::{JobFiles, MountToken, PageFrom, Volume, append_rows};
use holdpoint_tests::cards::{page, read_job};
use holdpoint_tests::images::{FileSpec, KINDS, Table, card, numbered_bytes};
use libfuzzer_sys::fuzz_target;

/// Of the largest card so many bytes: the rest of it is blank.
const BYTES: usize = 4 << 20;

fn cards() -> &'static [Vec<u8>] {
    static CARDS: OnceLock<Vec<Vec<u8>>> = OnceLock::new();
    CARDS.get_or_init(|| {
        let files = [
            FileSpec::new("a.gcode", numbered_bytes(3_000, 0), 8, 0),
            FileSpec::new("parts/ein langer Name.gcode", numbered_bytes(700, 9), 9, 0),
            FileSpec::new("HOLDPT/DAYBOOK.CSV", "a,b\r\n1,2\r\n", 9, 0),
        ];
        // FAT32 cards have 34 MB at the least: too much to be copied each time.
        KINDS
            .into_iter()
            .map(|kind| card(kind, Table::None, &files))
            .filter(|card| card.len() <= BYTES)
            .collect()
    })
}

fuzz_target!(|input: &[u8]| {
    let Some((kind, changes)) = input.split_first() else { return };
    let cards = cards();
    let mut bytes = cards[usize::from(*kind) % cards.len()].clone();
    for change in changes.chunks_exact(5) {
        let at = u32::from_le_bytes([change[0], change[1], change[2], change[3]]) as usize % (400 * 512);
        bytes[at] = change[4];
    }
    let mut token = MountToken::new();
    if let Ok(mut volume) = Volume::mount(Image::from_bytes(bytes.clone()), &mut token) {
        if let Ok(page) = page(&mut volume, PageFrom::Newest) {
            for entry in page.entries.iter().filter(|entry| entry.size_bytes < 1 << 20) {
                let _ = read_job(&mut volume, entry.place, 4_096);
            }
        }
        let _ = volume.open_record("DAYBOOK.CSV");
        let _ = volume.append_record("DAYBOOK.CSV", b"a,b\r\n", b"3,4\r\n");
    }
    let _ = append_rows(Image::from_bytes(bytes), "DAYBOOK.CSV", b"a,b\r\n", b"3,4\r\n");
});
