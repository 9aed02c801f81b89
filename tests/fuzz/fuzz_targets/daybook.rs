//! Any bytes as lines of the day book and its events: never a panic, and a whole line cut anywhere is no whole line.

#![no_main]

use holdpoint_shared::daybook::{LineState, event_state, row_state};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: &[u8]| {
    for line in input.split_inclusive(|byte| *byte == b'\n') {
        for state in [row_state, event_state] {
            if state(line) == LineState::Whole && line.len() > 4 {
                let cut = &line[..line.len() - 3];
                assert_ne!(state(cut), LineState::Whole);
            }
        }
    }
});
