//! Flash that a power cut cannot have left: told apart, never changed unasked, and read as far as it can be.

use std::collections::BTreeSet;

use holdpoint_shared::ledger::{Ledger, LedgerError};
use holdpoint_tests::kept::{Change, Kept, make, read_all};
use holdpoint_tests::nor::Nor;

use crate::{Chip, begun, day, error_of, text};

const PAGE: usize = 1024;

/// A ledger whose pages went round, what it holds, and every value that each thing in it ever had.
fn used(days: u8) -> (Chip, Vec<Kept>) {
    let mut ledger = begun::<PAGE, 4>(18);
    let mut history = vec![Kept::default()];
    for number in 0..days {
        for change in day(number) {
            let mut kept = history.last().expect("not empty").clone();
            kept.make(&change);
            history.push(kept);
            make(&mut ledger, &change).expect("room for it");
        }
    }
    (ledger.close(), history)
}

/// Whether each value is one that it had at some time, and how many are not the last.
fn older_values(found: &Kept, history: &[Kept]) -> usize {
    let last = history.last().expect("not empty");
    let mut older = 0;
    let mut holds = |was: bool, is: bool, what: &str| {
        assert!(was, "{what} was never so: {found:?}");
        older += usize::from(!is);
    };
    for (tag, spool) in &last.spools {
        let now = found.spools.get(tag);
        holds(history.iter().any(|kept| kept.spools.get(tag) == now), Some(spool) == now, "a spool");
    }
    holds(history.iter().any(|kept| kept.settled == found.settled), last.settled == found.settled, "settled");
    holds(history.iter().any(|kept| kept.machine == found.machine), last.machine == found.machine, "machine");
    holds(history.iter().any(|kept| kept.hold == found.hold), last.hold == found.hold, "hold");
    holds(history.iter().any(|kept| kept.run == found.run), last.run == found.run, "run");
    for key in 0..16 {
        let now = found.learned.get(&key);
        holds(
            history.iter().any(|kept| kept.learned.get(&key) == now),
            last.learned.get(&key) == now,
            "a learned value",
        );
    }
    for event in &found.events {
        holds(history.iter().any(|kept| kept.events.contains(event)), true, "an event");
    }
    older
}

/// What can be read of a damaged chip: `None` when nothing but beginning anew remains, else how many values are old.
fn kept_of(chip: Chip, history: &[Kept], told: &str) -> Option<usize> {
    let last = history.last().expect("not empty");
    let before = chip.cells.clone();
    let mut ledger = match Ledger::open(chip) {
        Ok(ledger) => ledger,
        Err(refused) => {
            assert!(
                matches!(refused.error, LedgerError::Damaged | LedgerError::Foreign),
                "{told}: {refused:?}"
            );
            assert_eq!(refused.flash.cells, before, "{told}: changed unasked");
            Ledger::rescue(refused.flash).ok()?
        }
    };
    match read_all(&mut ledger, last) {
        Ok(found) => Some(older_values(&found, history)),
        // Pieces of a record that do not belong together are told, not given; the rest is read one by one.
        Err(error) => {
            assert_eq!(error, LedgerError::Damaged, "{told}");
            for record in 0..3 {
                make(&mut ledger, &Change::TakeOver(record, Vec::new())).expect("taken away");
            }
            make(&mut ledger, &Change::SaveRun(Vec::new())).expect("cleared");
            let found = read_all(&mut ledger, last).expect("readable without what was damaged");
            Some(older_values(&found, history) + 1)
        }
    }
}

#[test]
fn blank_foreign_and_damaged_are_told_apart() {
    assert_eq!(error_of(Ledger::open(Chip::blank(18))), LedgerError::Blank);
    let mut foreign = Chip::blank(18);
    for (cell, byte) in foreign.cells.iter_mut().zip(b"another program's settings. ".iter().cycle()) {
        *cell = *byte;
    }
    let before = foreign.cells.clone();
    let refused = Ledger::open(foreign).expect_err("foreign");
    assert_eq!((refused.error, &refused.flash.cells), (LedgerError::Foreign, &before));
    assert_eq!(error_of(Ledger::rescue(refused.flash)), LedgerError::Damaged);
    // Something in the last page only.
    let mut behind = Chip::blank(18);
    behind.cells[17 * PAGE + 500] = 0;
    assert_eq!(error_of(Ledger::open(behind)), LedgerError::Foreign);
    for pages in [0, 4, 251] {
        assert_eq!(error_of(Ledger::open(Chip::blank(pages))), LedgerError::Unfit, "{pages} pages");
        assert_eq!(
            error_of(Ledger::format(Nor::<1024, 8>::blank(pages))),
            LedgerError::Unfit,
            "{pages} pages"
        );
    }
}

/// One byte changed, here and there over all of the chip: at most one value is older than it should be.
#[test]
fn one_changed_byte_costs_one_value_at_most() {
    let (chip, history) = used(12);
    let whole = kept_of(chip.clone(), &history, "nothing");
    assert_eq!(whole, Some(0));
    for at in (0..chip.cells.len()).step_by(211) {
        let mut damaged = chip.clone();
        damaged.cells[at] ^= 1 << (at & 7);
        let older = kept_of(damaged, &history, &format!("byte {at}"));
        assert!(older.is_some_and(|older| older <= 1), "byte {at}: {older:?}");
    }
}

/// A whole page blank, clear or overwritten: what stands in the others is read.
#[test]
fn one_lost_page_costs_what_stood_in_it() {
    for days in [3, 12] {
        let (chip, history) = used(days);
        for page in 0..18 {
            for (kind, fill) in [text(PAGE, 7), vec![0xFF; PAGE], vec![0; PAGE]].into_iter().enumerate() {
                let mut damaged = chip.clone();
                damaged.cells[page * PAGE..][..PAGE].copy_from_slice(&fill);
                let told = format!("{days} days, page {page}, kind {kind}");
                let older = kept_of(damaged, &history, &told);
                // The page may hold the only row that says what this is.
                let holds_version =
                    chip.cells[page * PAGE..][..PAGE].windows(4).any(|bytes| bytes == b"HPL1");
                assert!(older.is_some() || holds_version, "{told}");
                assert!(page > 1 || older == Some(0), "{told}: a page of notes holds no value");
            }
        }
    }
}

/// Both pages of notes lost: the map is whole, and asked for it is read.
#[test]
fn lost_notes_cost_nothing_when_asked() {
    let (mut chip, history) = used(12);
    chip.cells[..2 * PAGE].fill(0xFF);
    assert_eq!(error_of(Ledger::open(chip.clone())), LedgerError::Foreign);
    assert_eq!(kept_of(chip.clone(), &history, "no notes"), Some(0));
    // And it goes on from there.
    let mut ledger = Ledger::rescue(chip).expect("rescued");
    for number in 12..24 {
        for change in day(number) {
            make(&mut ledger, &change).expect("room for it");
        }
    }
    assert!(Ledger::open(ledger.close()).is_ok());
}

/// Any bytes at all, with a beginning that passes for notes or not: never a panic, and nothing that was not written.
#[test]
fn many_changed_bytes_never_panic() {
    let (chip, _) = used(12);
    let mut seen = BTreeSet::new();
    for seed in 1..60_u64 {
        let mut damaged = chip.clone();
        let mut random = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
        for _ in 0..=seed * seed / 8 {
            random ^= random << 13;
            random ^= random >> 7;
            random ^= random << 17;
            let at = (random >> 16) as usize % damaged.cells.len();
            damaged.cells[at] = random as u8;
        }
        let outcome = match Ledger::open(damaged.clone()) {
            Ok(mut ledger) => read_all(&mut ledger, &Kept::default()).err().map(LedgerError::line),
            Err(refused) => Some(refused.error.line()),
        };
        seen.insert(outcome);
        if let Ok(mut ledger) = Ledger::rescue(damaged) {
            let _ = read_all(&mut ledger, &Kept::default());
            let _ = make(&mut ledger, &Change::Hold(Some(3)));
        }
    }
    assert!(seen.len() > 1, "only {seen:?}");
}
