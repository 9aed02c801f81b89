//! Any bytes as each of the JSON records, and as a job header: an answer, never a panic.

#![no_main]

use holdpoint_shared::header::read_header;
use holdpoint_shared::records::{Machine, Room, Spool};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: &[u8]| {
    // Read again, a record says the same.
    assert_eq!(Machine::from_json(input).is_ok(), Machine::from_json(input).is_ok());
    let _ = Spool::from_json(input);
    let _ = Room::from_json(input);
    let _ = read_header(input, true);
    let _ = read_header(input, false);
});
