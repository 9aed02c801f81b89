//! The ledger's flash with any of its bytes changed: it opens, everything in it is read, and it can be used on; flash
//! with data in it is never blank.
//!
//! Input: changes of three bytes each: a place (16 bits) and its byte.

#![no_main]

use std::sync::OnceLock;

use holdpoint_shared::ledger::{Ledger, LedgerError};
use holdpoint_tests::attacks::ledger::day;
use holdpoint_tests::kept::{Kept, make, read_all};
use holdpoint_tests::nor::Nor;
use libfuzzer_sys::fuzz_target;

type Chip = Nor<1024, 4>;

fn used() -> &'static Chip {
    static USED: OnceLock<Chip> = OnceLock::new();
    USED.get_or_init(|| {
        let mut ledger = Ledger::format(Chip::blank(18)).expect("a blank chip");
        for change in (0..6).flat_map(day) {
            make(&mut ledger, &change).expect("room for it");
        }
        ledger.close()
    })
}

fuzz_target!(|input: &[u8]| {
    let mut chip = used().clone();
    for change in input.chunks_exact(3) {
        let at = usize::from(u16::from_le_bytes([change[0], change[1]])) % chip.cells.len();
        chip.cells[at] = change[2];
    }
    match Ledger::open(chip) {
        Ok(mut ledger) => {
            read_all(&mut ledger, &Kept::default()).expect("what is in it can be read");
            for change in day(9) {
                make(&mut ledger, &change).expect("room for it");
            }
            ledger.losses_are_read().expect("room for it");
            let ledger = Ledger::open(ledger.close()).expect("opens again");
            assert!(ledger.losses().is_empty(), "{:?}", ledger.losses());
        }
        Err(refused) => assert_ne!(refused.error, LedgerError::Blank),
    }
});
