//! A job of 30 MB through the core's survey: exact to its last line, in the memory that it begins with.
//!
//! On the desktop, because the emulated board would take minutes for its 30 MB. The board's memory follows all the same:
//! the core has no heap, so the surveyor's own size is all that a job of any length takes, and `.ci/sizes` holds what the
//! board's image sets aside for it.

use std::fmt::Write as _;

use holdpoint_shared::records::Machine;
use holdpoint_shared::survey::Surveyor;

const BYTES: usize = 30_000_000;

/// What a survey may take on a desktop, its height map included: a board of 32 bits, which may give it 24 KiB, takes less
/// for the same lists.
const MOST_BYTES: usize = 30 * 1024;

/// A layer of a plate-filling zigzag: lines of 180 mm, half a millimetre apart.
fn layer(number: u32) -> String {
    let mut text = String::new();
    let z = f64::from(number) * 0.2;
    // Writing to a String cannot fail.
    let _ = writeln!(text, "; layer {number}\nG0 Z{z:.1} F600\nG0 X20.000 Y20.000 F9000");
    for line in 0..360_u32 {
        let (x, y) = (if line % 2 == 0 { 200 } else { 20 }, 20.0 + f64::from(line) * 0.5);
        let _ = writeln!(text, "G1 X{x}.000 E6.00001 F2400\nG1 Y{:.3} E0.01667", y + 0.5);
    }
    text
}

#[test]
fn thirty_megabytes_in_the_same_memory() {
    let before = std::mem::size_of::<Surveyor>();
    assert!(before <= MOST_BYTES, "{before} bytes");
    let mut surveyor = Box::new(Surveyor::new(&Machine::default()));
    let (mut fed, mut layers) = (0, 0_u32);
    surveyor.feed(b"G21\nG90\nM83\nM104 S210\nM109 S210\nG28\n");
    while fed < BYTES {
        layers += 1;
        let text = layer(layers);
        fed += text.len();
        // As a card hands them over: eight blocks a call, lines cut anywhere.
        for blocks in text.as_bytes().chunks(4096) {
            surveyor.feed(blocks);
        }
    }
    surveyor.feed(b"M104 S0\nG0 Z220\nM84\n");
    let survey = surveyor.finish();
    assert!(survey.reading.bytes >= BYTES as u64);
    assert_eq!((survey.layers.passes, survey.layers.count), (layers, layers));
    // 360 × (6.00001 + 0.01667) mm a layer, in nanometres.
    assert_eq!(survey.filament.tools[0].net_nm, i64::from(layers) * 360 * 6_016_680);
    assert_eq!(survey.reading.malformed.count, 0);
}
