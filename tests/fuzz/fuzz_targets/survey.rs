//! Any bytes, in blocks of any size: no panic, no hang, and the same survey as in one piece.
//!
//! `.ci/fuzz survey`; longer: `HOLDPOINT_SECONDS=3600 .ci/fuzz survey`.

#![no_main]

use holdpoint_shared::survey::Surveyor;
use holdpoint_tests::generate::sheet;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: (u16, &[u8])| {
    let (block, bytes) = input;
    let machine = sheet();
    let mut cut = Surveyor::new(&machine);
    bytes.chunks(usize::from(block % 600) + 1).for_each(|chunk| cut.feed(chunk));
    let mut whole = Surveyor::new(&machine);
    whole.feed(bytes);
    assert!(cut.finish() == whole.finish());
});
