//! How often pages are erased, and that they wear alike.

use holdpoint_shared::ledger::Ledger;
use holdpoint_shared::units::Milligrams;
use holdpoint_tests::nor::Nor;

use crate::{begun, text};

/// Runs of the longest state, saved 40 times each with one piece changed; what is kept besides is a room's usual.
fn runs<const PAGE: usize>(pages: usize, runs: u8) -> (Vec<u32>, u32) {
    let mut ledger: Ledger<Nor<PAGE, 4>> = begun(pages);
    for spool in 0..6 {
        ledger.weigh(&format!("S{spool}"), Milligrams(700_000), Milligrams(5_000)).expect("room");
    }
    let (mut state, mut saves) = (text(1536, 3), 0);
    for run in 0..runs {
        let number = ledger.begin_run().expect("room");
        for save in 0..40_u8 {
            state[usize::from(save) * 37] ^= 0x11;
            ledger.save_run(&state).expect("room");
            saves += 1;
        }
        ledger
            .log(holdpoint_shared::ledger::LoggedEvent { code: run.into(), ..Default::default() })
            .expect("room");
        ledger.deduct("S1", number, Milligrams(10_000)).expect("room");
        ledger.save_run(&[]).expect("room");
    }
    (ledger.close().erases, saves)
}

/// The pages take turns, so none is erased more often than another by more than one.
#[test]
fn pages_wear_alike() {
    let (erases, saves) = runs::<1024>(18, 60);
    let (least, most) = (erases.iter().min().expect("pages"), erases.iter().max().expect("pages"));
    println!("1 KiB pages: {erases:?} erases in {saves} saves");
    assert!(most - least <= 1, "{erases:?}");
}

/// What the room's documentation says of saves: at 10,000 erases a page.
#[test]
fn saves_that_a_pair_of_pages_stands() {
    let (small, saves) = runs::<1024>(18, 60);
    let small = small.iter().sum::<u32>();
    let a_pair = u64::from(saves) * 2 * 10_000 / u64::from(small);
    println!("1 KiB: {a_pair} saves a pair of pages");
    assert!((40_000..200_000).contains(&a_pair), "{a_pair}");
    let (large, saves) = runs::<4096>(10, 120);
    let large_sum = large.iter().sum::<u32>();
    let a_pair = u64::from(saves) * 2 * 10_000 / u64::from(large_sum);
    println!("4 KiB: {a_pair} saves a pair of pages, {large:?}");
    assert!((200_000..1_000_000).contains(&a_pair), "{a_pair}");
}

/// A state that did not change, and a value that is there already, cost no write.
#[test]
fn what_is_there_already_is_not_written() {
    let mut ledger: Ledger<Nor<1024, 4>> = begun(18);
    let state = text(900, 5);
    ledger.save_run(&state).expect("room");
    ledger.learn(2, &state[..50]).expect("room");
    let chip = ledger.close();
    let written = chip.written;
    let mut ledger = Ledger::open(chip).expect("whole");
    ledger.save_run(&state).expect("room");
    ledger.learn(2, &state[..50]).expect("room");
    assert_eq!(ledger.close().written, written);
}
