//! Power cuts at every byte and every erase.

use holdpoint_shared::ledger::{Ledger, LedgerError};
use holdpoint_shared::units::Milligrams;
use holdpoint_tests::kept::{Change, Kept, make, read, read_all};
use holdpoint_tests::nor::{HalfErased, Nor};
use proptest::prelude::*;

use crate::{Chip, begun, day, error_of};

/// Opens after a cut, cutting the opening itself `again` steps in when it takes so many.
fn reopened<const P: usize, const W: usize>(chip: Nor<P, W>, again: Option<u64>) -> Ledger<Nor<P, W>> {
    let chip = match Ledger::open(chip.powered(again)) {
        Ok(ledger) => ledger.close(),
        Err(refused) => refused.flash,
    };
    let ledger =
        Ledger::open(chip.powered(None)).unwrap_or_else(|refused| panic!("after a cut: {}", refused.error));
    assert!(ledger.losses().is_empty(), "a cut passes for damage: {:?}", ledger.losses());
    ledger
}

/// Makes `change` with the power cut at step `cut`, then holds what is read against before and after.
fn cut_at<const P: usize, const W: usize>(
    chip: Nor<P, W>,
    change: &Change,
    (before, after): (&Kept, &Kept),
    (cut, again): (u64, Option<u64>),
) {
    // The opening only reads: the first step is the change's.
    let mut ledger = Ledger::open(chip.powered(Some(cut))).expect("whole before");
    let done = make(&mut ledger, change);
    let chip = ledger.close();
    assert_eq!(done.is_ok(), !chip.is_dead(), "{change:?}, step {cut}: {done:?}");
    let confirmed = done.is_ok();
    let mut ledger = reopened(chip, again);
    let found = read(&mut ledger, after).expect("readable");
    let told = format!("{change:?}, cut at step {cut} and {again:?}");
    assert!(found == *after || (!confirmed && found == *before), "{told}: {found:#?}");
    // Done over again, as the phases do that do not know whether it was done: what has a run's number counts once.
    if found != *after || matches!(change, Change::Deduct(..) | Change::CloseRun(_) | Change::TakeOver(..)) {
        make(&mut ledger, change).expect("room for it");
        assert_eq!(read(&mut ledger, after).expect("readable"), *after, "{told}, done again");
    }
    assert_eq!(ledger.close().bits_not_set, 0, "{told}: written over what was not blank");
}

/// The chip after `change`, made without a cut.
fn made<const P: usize, const W: usize>(chip: &Nor<P, W>, change: &Change) -> Nor<P, W> {
    let mut ledger = Ledger::open(chip.clone().powered(None)).expect("whole");
    make(&mut ledger, change).expect("room for it");
    ledger.close()
}

/// Every change of some days, cut at each step; on the way the pages go round several times.
fn history<const P: usize, const W: usize>(
    pages: usize,
    days: std::ops::Range<u8>,
    stride: u64,
) -> (u64, u64) {
    let mut ledger = begun::<P, W>(pages);
    let (mut kept, mut cuts, mut cut_erases) = (Kept::default(), 0, 0);
    // Few pages have no room for records: those keep clear of what balances and runs need. And 8 events are kept.
    let few = P * pages < 16 * 1024;
    for number in 0..days.end {
        for change in day(number) {
            if few && matches!(change, Change::TakeOver(..) | Change::SavePicture(_)) {
                continue;
            }
            let before = kept.clone();
            kept.make(&change);
            if few {
                kept.events.truncate(8);
            }
            let chip = ledger.close();
            if days.contains(&number) {
                let dry = made(&chip, &change);
                let erases = dry.erases.iter().sum::<u32>() - chip.erases.iter().sum::<u32>();
                // With an erase among them every step counts; else every so many, from another one each time.
                let stride = if erases > 0 { stride.div_ceil(4) } else { stride };
                for cut in (cuts % stride..=dry.steps).step_by(stride as usize) {
                    let kind = HalfErased::ALL[(cuts % 6) as usize];
                    let mut chip = chip.clone().seeded(cuts + 1);
                    chip.half_erased = kind;
                    let again = (cuts % 3 == 0).then_some(cuts % 31);
                    cut_at(chip, &change, (&before, &kept), (cut, again));
                    cuts += 1;
                }
                cut_erases += u64::from(erases);
            }
            ledger = Ledger::open(chip.powered(None)).expect("whole");
            make(&mut ledger, &change).expect("room for it");
        }
    }
    assert_eq!(read_all(&mut ledger, &kept).expect("readable"), kept, "at the end");
    (cuts, cut_erases)
}

#[test]
fn every_step_of_a_history_on_a_small_chip() {
    let (cuts, erases) = history::<1024, 4>(18, 0..3, 7);
    println!("{cuts} cuts, {erases} erases among them");
    assert!(cuts > 600, "only {cuts} cuts");
}

/// Only few pages: they go round often, so that a good part of the cuts falls into moving and erasing.
#[test]
fn every_step_while_pages_go_round() {
    let (cuts, erases) = history::<512, 8>(12, 4..9, 29);
    println!("{cuts} cuts, {erases} erases among them");
    assert!(erases > 10, "only {erases} erases");
}

/// The first erase of all since the beginning: until it is noted, no page is blank and none was erased last.
#[test]
fn every_step_while_the_pages_are_full_for_the_first_time() {
    let erased = |chip: &Chip| chip.erases.iter().sum::<u32>();
    let mut chip = begun::<1024, 4>(18).close();
    let mut kept = Kept::default();
    for number in 0..40 {
        for change in day(number) {
            let before = kept.clone();
            kept.make(&change);
            let done = made(&chip, &change);
            if erased(&done) > erased(&chip) {
                for cut in 0..=done.steps {
                    cut_at(chip.clone(), &change, (&before, &kept), (cut, None));
                }
                println!("{} steps, on day {number}", done.steps);
                return;
            }
            chip = done;
        }
    }
    panic!("the pages never went round");
}

/// A page is erased: at each step of each erase, with each thing that a cut erase can leave.
#[test]
fn every_kind_of_half_erased_page() {
    let mut chip = begun::<1024, 4>(18).close();
    let (mut kept, mut tried) = (Kept::default(), 0);
    for number in 0..40 {
        for change in day(number) {
            let before = kept.clone();
            kept.make(&change);
            let probe = made(&chip, &change);
            if probe.erases != chip.erases && tried < 250 {
                // The erase is somewhere among the steps: found by the first cut after which its page was begun.
                let begins = |cut: u64| {
                    let mut ledger = Ledger::open(chip.clone().powered(Some(cut))).expect("whole");
                    let _ = make(&mut ledger, &change);
                    ledger.close().erases != chip.erases
                };
                let (mut low, mut high) = (0, probe.steps);
                while low < high {
                    let middle = (low + high) / 2;
                    if begins(middle) { high = middle } else { low = middle + 1 }
                }
                for cut in low.saturating_sub(1)..(low + 12).min(probe.steps) {
                    for (half_erased, seed) in HalfErased::ALL.into_iter().zip(1..) {
                        let mut chip = chip.clone().seeded(seed + cut);
                        chip.half_erased = half_erased;
                        cut_at(chip, &change, (&before, &kept), (cut, Some(seed)));
                        tried += 1;
                    }
                }
            }
            chip = probe;
        }
    }
    assert!(tried >= 250, "only {tried} tried");
}

/// The beginning itself: cut at any step a blank chip counts as blank, and is begun at the next try.
#[test]
fn beginning_cut_short_is_blank() {
    let steps = Ledger::format(Chip::blank(8).powered(None)).expect("begun").close().steps;
    let mut blank = 0;
    for cut in 0..steps {
        let refused = Ledger::format(Chip::blank(8).seeded(cut).powered(Some(cut))).expect_err("cut");
        let mut ledger = match Ledger::open(refused.flash.powered(None)) {
            Ok(ledger) => ledger,
            Err(refused) => {
                assert_eq!(refused.error, LedgerError::Blank, "step {cut}");
                blank += 1;
                Ledger::format(refused.flash).expect("begun")
            }
        };
        assert_eq!(read_all(&mut ledger, &Kept::default()), Ok(Kept::default()));
    }
    assert!(blank > 10, "{blank} of {steps}");
}

/// A ledger that is begun anew on purpose, cut at any step, never passes for blank while a byte of it is left.
#[test]
fn a_ledger_begun_anew_and_cut_short_is_told() {
    let mut used = begun::<1024, 4>(8);
    used.weigh("S17", Milligrams(5), Milligrams(1)).expect("room");
    let used = used.close();
    let steps = Ledger::format(used.clone().powered(None)).expect("begun").close().steps;
    for cut in 0..steps {
        for (half_erased, seed) in HalfErased::ALL.into_iter().zip(cut..) {
            let mut chip = used.clone().seeded(seed);
            chip.half_erased = half_erased;
            let refused = Ledger::format(chip.powered(Some(cut))).expect_err("cut");
            let blank = refused.flash.cells[16..].iter().all(|cell| *cell == 0xFF);
            match Ledger::open(refused.flash.powered(None)) {
                // As it was, or as it was to become.
                Ok(_) => {}
                Err(refused) => {
                    let wanted = if blank { LedgerError::Blank } else { LedgerError::Foreign };
                    assert_eq!(refused.error, wanted, "step {cut}, {half_erased:?}");
                    Ledger::format(refused.flash).expect("begun");
                }
            }
        }
    }
}

fn any_change() -> impl Strategy<Value = Change> {
    let spool = || (0..12_u8).prop_map(|number| format!("S{number}"));
    let bytes = |most| prop::collection::vec(any::<u8>(), 0..most);
    prop_oneof![
        3 => (spool(), 0..2_000_000_i64, 0..30_000_i64).prop_map(|(s, l, e)| Change::Weigh(s, l, e)),
        2 => spool().prop_map(Change::Load),
        3 => Just(Change::BeginRun),
        6 => (spool(), 0..400_000_i64).prop_map(|(s, used)| Change::Deduct(s, used)),
        2 => (0..128_u8, prop::option::of(spool()), any::<bool>())
            .prop_map(|(check, s, on)| Change::Settle(check, s, on)),
        3 => any::<u8>().prop_map(Change::CloseRun),
        1 => prop::option::of(any::<u8>()).prop_map(Change::Hold),
        6 => any::<u16>().prop_map(Change::Log),
        2 => (0..16_u8, bytes(126)).prop_map(|(key, value)| Change::Learn(key, value)),
        1 => (0..3_usize, bytes(900)).prop_map(|(record, text)| Change::TakeOver(record, text)),
        3 => bytes(1536).prop_map(Change::SaveRun),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Any history, with the power cut now and then at any step: always as before the change or after it.
    #[test]
    fn any_history_is_as_the_maps_say(
        changes in prop::collection::vec((any_change(), prop::option::of(0..2_500_u64)), 1..120),
        half in 0..6_usize,
    ) {
        let mut ledger = begun::<1024, 4>(24);
        let mut kept = Kept::default();
        for (number, (change, fuel)) in changes.iter().enumerate() {
            let before = kept.clone();
            kept.make(change);
            let mut chip = ledger.close().powered(*fuel);
            chip.half_erased = HalfErased::ALL[half];
            ledger = Ledger::open(chip).expect("whole");
            let done = make(&mut ledger, change);
            ledger = reopened(ledger.close(), Some(number as u64));
            let found = read(&mut ledger, &kept).expect("readable");
            if done.is_ok() {
                prop_assert_eq!(&found, &kept, "change {}: {:?}", number, change);
            } else {
                prop_assert!(found == kept || found == before, "change {}: {:?}", number, change);
                if found != kept {
                    kept = before;
                }
            }
        }
        prop_assert_eq!(ledger.close().bits_not_set, 0);
    }
}

/// Row on the card, then deduction: whichever of the two a cut leaves out is made up for, and neither comes twice.
#[test]
fn a_run_is_deducted_once_however_often_it_is_closed() {
    let mut ledger = begun::<1024, 4>(8);
    ledger.weigh("S17", Milligrams(500_000), Milligrams(5_000)).expect("room");
    let run = ledger.begin_run().expect("room");
    let chip = ledger.close();
    for cut in 0..200 {
        let mut ledger = Ledger::open(chip.clone().powered(Some(cut))).expect("whole");
        let _ = ledger.deduct("S17", run, Milligrams(31_415));
        let mut ledger = reopened(ledger.close(), None);
        let _ = ledger.deduct("S17", run, Milligrams(31_415)).expect("room");
        assert_eq!(ledger.deduct("S17", run, Milligrams(31_415)), Ok(false), "the third time");
        let balance = ledger.balance("S17").expect("readable").expect("kept");
        assert_eq!((balance.left.0, balance.used.0), (500_000 - 31_415, 31_415), "cut at step {cut}");
    }
    assert_eq!(error_of(Ledger::open(Chip::blank(8))), LedgerError::Blank);
}
