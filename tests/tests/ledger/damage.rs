//! Flash that a power cut cannot have left: never begun anew, each value as it was or named as lost.

use holdpoint_shared::ledger::{Ledger, LedgerError, Lost};
use holdpoint_tests::kept::{Change, Kept, make, read_all};
use holdpoint_tests::nor::Nor;
use holdpoint_tests::oracle::{Survived, judge};

use crate::{Chip, begun, day, error_of, text};

const PAGE: usize = 1024;

/// A ledger of some days, and every state that it ever had.
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

/// How the damaged flash comes through, twice: what was lost stays named until somebody has read it.
fn survives(chip: Chip, history: &[Kept], told: &str) -> Survived {
    let last = history.last().expect("not empty");
    let mut seen = None;
    let mut chip = chip;
    for _ in 0..2 {
        let mut ledger = Ledger::open(chip).unwrap_or_else(|refused| panic!("{told}: {}", refused.error));
        let found = read_all(&mut ledger, last).unwrap_or_else(|error| panic!("{told}: {error}"));
        let survived =
            judge(&found, history, ledger.losses()).unwrap_or_else(|error| panic!("{told}: {error}"));
        assert!(seen.is_none_or(|seen| seen == survived), "{told}: {seen:?}, then {survived:?}");
        seen = Some(survived);
        chip = ledger.close();
    }
    // And it goes on from there; once read, nothing is named any more.
    let mut ledger = Ledger::open(chip).expect("a third time");
    ledger.losses_are_read().expect("room for it");
    for change in day(40).into_iter().chain(day(41)) {
        make(&mut ledger, &change).unwrap_or_else(|error| panic!("{told}: {error} in {change:?}"));
    }
    let ledger = Ledger::open(ledger.close()).expect("once more");
    assert!(ledger.losses().is_empty(), "{told}: {:?}", ledger.losses());
    seen.expect("seen")
}

#[test]
fn blank_and_foreign_are_told_apart() {
    assert_eq!(error_of(Ledger::open(Chip::blank(18))), LedgerError::Blank);
    let mut foreign = Chip::blank(18);
    for (cell, byte) in foreign.cells.iter_mut().zip(b"another program's settings. ".iter().cycle()) {
        *cell = *byte;
    }
    let before = foreign.cells.clone();
    let refused = Ledger::open(foreign).expect_err("foreign");
    assert_eq!((refused.error, &refused.flash.cells), (LedgerError::Foreign, &before));
    // Something in the last page only.
    let mut behind = Chip::blank(18);
    behind.cells[17 * PAGE + 500] = 0;
    assert_eq!(error_of(Ledger::open(behind)), LedgerError::Foreign);
    for pages in [0, 4, 65] {
        assert_eq!(error_of(Ledger::open(Chip::blank(pages))), LedgerError::Unfit, "{pages} pages");
        assert_eq!(
            error_of(Ledger::format(Nor::<1024, 8>::blank(pages))),
            LedgerError::Unfit,
            "{pages} pages"
        );
    }
}

/// Each single bit of a young ledger's first page, and here and there over an old one: nothing at all is lost.
#[test]
fn one_flipped_bit_costs_nothing() {
    for (days, stride) in [(1, 7), (12, 211)] {
        let (chip, history) = used(days);
        assert_eq!(survives(chip.clone(), &history, "no damage"), Survived::Exact);
        for bit in (0..8 * chip.cells.len()).step_by(stride) {
            if days == 1 && bit >= 8 * 2 * PAGE {
                break;
            }
            let mut damaged = chip.clone();
            damaged.cells[bit / 8] ^= 1 << (bit % 8);
            let told = format!("{days} days, bit {bit}");
            assert_eq!(survives(damaged, &history, &told), Survived::Exact, "{told}");
        }
    }
}

/// Eight bytes overwritten at once, at every place of a young ledger and here and there of an old one.
#[test]
fn a_few_bytes_cost_what_is_named() {
    for (days, stride) in [(1, 5), (12, 127)] {
        let (chip, history) = used(days);
        let mut lost = 0;
        for (number, at) in (0..chip.cells.len() - 8).step_by(stride).enumerate() {
            if days == 1 && at >= 3 * PAGE {
                break;
            }
            let mut damaged = chip.clone();
            for (place, cell) in damaged.cells[at..at + 8].iter_mut().enumerate() {
                *cell = [*cell ^ 0x5A, 0, 0xFF, (at + place) as u8][number % 4];
            }
            let told = format!("{days} days, byte {at}, kind {}", number % 4);
            lost += usize::from(survives(damaged, &history, &told) != Survived::Exact);
        }
        assert!(lost > 5, "the damage hits nothing: {lost}");
    }
}

/// A whole page blank, clear, overwritten, or another one's copy.
#[test]
fn one_lost_page_costs_what_stood_in_it() {
    for days in [3, 12] {
        let (chip, history) = used(days);
        for page in 0..18 {
            let other = chip.cells[(page + 5) % 18 * PAGE..][..PAGE].to_vec();
            for (kind, fill) in
                [text(PAGE, 7), vec![0xFF; PAGE], vec![0; PAGE], other].into_iter().enumerate()
            {
                let mut damaged = chip.clone();
                damaged.cells[page * PAGE..][..PAGE].copy_from_slice(&fill);
                survives(damaged, &history, &format!("{days} days, page {page}, kind {kind}"));
            }
        }
    }
}

/// Pages that changed places are read where they are.
#[test]
fn swapped_pages_cost_nothing() {
    let (chip, history) = used(12);
    for (one, other) in [(0, 1), (3, 9), (16, 17), (2, 17)] {
        let mut damaged = chip.clone();
        let (left, right) = damaged.cells.split_at_mut(other * PAGE);
        left[one * PAGE..][..PAGE].swap_with_slice(&mut right[..PAGE]);
        assert_eq!(survives(damaged, &history, &format!("{one} and {other}")), Survived::Exact);
    }
}

/// What was lost is named by its kind: the one balance that was hit, and nothing else.
#[test]
fn a_lost_balance_is_named() {
    let mut ledger = begun::<PAGE, 4>(18);
    let weigh = |ledger: &mut Ledger<Chip>, spool: &str, mg| {
        make(ledger, &Change::Weigh(spool.into(), mg, 5_000)).expect("room");
    };
    weigh(&mut ledger, "S17", 110_000);
    weigh(&mut ledger, "S4", 900_000);
    weigh(&mut ledger, "S17", 105_000);
    let mut chip = ledger.close();
    let last = chip.cells.windows(3).rposition(|bytes| bytes == b"S17").expect("its row");
    chip.cells[last..last + 3].copy_from_slice(b"S99");
    let mut ledger = Ledger::open(chip).expect("opens");
    assert_eq!(ledger.losses().iter().collect::<Vec<_>>(), [Lost::Spool]);
    let slot = (0..16).find(|slot| ledger.losses().has_spool(*slot)).expect("which");
    let (tag, balance) = ledger.spool_in(slot).expect("readable").expect("the older one is kept");
    assert_eq!((tag.as_str(), balance.left.0), ("S17", 110_000));
    assert_eq!(ledger.balance("S4").expect("readable").expect("kept").left.0, 900_000);
    assert_eq!(ledger.losses().rows(), 1);
}

/// Any bytes at all, here and there: never a panic, never begun anew, and nothing that was not written.
#[test]
fn many_changed_bytes_are_told() {
    let (chip, history) = used(12);
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
        match Ledger::open(damaged.clone()) {
            Ok(_) => {
                survives(damaged, &history, &format!("seed {seed}"));
            }
            Err(refused) => assert_eq!(refused.error, LedgerError::Foreign, "seed {seed}"),
        }
    }
}
