//! What is full, too long or forgotten is said; what must fit always fits.

use holdpoint_shared::ledger::{Ledger, LedgerError, MachineState, Record, SettledFor};
use holdpoint_shared::limits::{
    LEARNED_VALUES, LEDGER_EVENTS, LEDGER_SPOOLS, LEDGER_VALUE_BYTES, MATERIAL_BYTES, PICTURE_BYTES,
    RECORD_BYTES, ROW_KEPT_BYTES, ROWS_GIVEN_UP, ROWS_KEPT, RUN_STATE_BYTES, SETTLED_CHECKS, TAG_BYTES,
};
use holdpoint_shared::units::Milligrams;
use holdpoint_tests::kept::{Change, Kept, RECORDS, make, read_all};
use holdpoint_tests::nor::Nor;

use crate::{begun, text};

/// Everything but records, as long as it may be.
fn most_of_everything(seed: u8) -> Vec<Change> {
    let mut changes = vec![Change::BeginRun, Change::CloseRun(seed), Change::Hold(Some(seed))];
    for spool in 0..LEDGER_SPOOLS {
        let tag = format!("{spool:0>width$}", width = TAG_BYTES);
        changes.push(Change::Weigh(tag.clone(), 2_000_000_000, 2_000_000_000));
        changes.push(Change::Deduct(tag.clone(), i64::from(seed)));
        changes.push(Change::Settle(seed % SETTLED_CHECKS, Some(tag), true));
    }
    changes.extend((0..LEDGER_EVENTS).map(|event| Change::Log(u16::from(event) << 6 | u16::from(seed))));
    changes.extend((0..LEARNED_VALUES).map(|key| Change::Learn(key, text(LEDGER_VALUE_BYTES, key ^ seed))));
    changes.push(Change::Settle(seed % SETTLED_CHECKS, None, true));
    changes.push(Change::SaveRun(text(RUN_STATE_BYTES, seed)));
    changes.push(Change::SaveRun(text(RUN_STATE_BYTES, seed ^ 0x80)));
    changes
}

/// As many rows of the longest as may wait, and names of those that were given up.
fn most_rows(seed: u8) -> Vec<Change> {
    let from = u32::from(seed) * 1_000;
    let rows = (from..).zip(0..ROWS_KEPT);
    let mut changes: Vec<Change> =
        rows.map(|(number, row)| Change::KeepRow(number, text(ROW_KEPT_BYTES, row ^ seed))).collect();
    changes.extend((from..).take(ROWS_GIVEN_UP.into()).map(Change::GiveUp));
    changes
}

fn make_all<const P: usize, const W: usize>(
    ledger: &mut Ledger<Nor<P, W>>,
    kept: &mut Kept,
    changes: &[Change],
) {
    for change in changes {
        let done = make(ledger, change);
        assert!(done.is_ok(), "{done:?} for {:.60}", format!("{change:?}"));
        kept.make(change);
    }
}

/// Three records of the longest, one more while it is replaced, and the most of everything else.
fn holds_everything<const P: usize>(pages: usize, rows: bool) {
    let mut ledger = begun::<P, 4>(pages);
    let mut kept = Kept::default();
    assert_eq!(ledger.keeps_rows(), rows);
    for seed in [1, 2] {
        for record in 0..RECORDS.len() {
            let change = Change::TakeOver(record, text(RECORD_BYTES, seed ^ record as u8));
            make_all(&mut ledger, &mut kept, &[change]);
        }
        make_all(&mut ledger, &mut kept, &most_of_everything(seed));
        if rows {
            make_all(&mut ledger, &mut kept, &most_rows(seed));
            assert_eq!(make(&mut ledger, &Change::KeepRow(9, vec![1])), Err(LedgerError::Full));
            if seed == 1 {
                make_all(&mut ledger, &mut kept, &[const { Change::DropRow }; ROWS_KEPT as usize]);
                make_all(&mut ledger, &mut kept, &[const { Change::Told }; ROWS_GIVEN_UP as usize]);
            }
        }
        // Two, so that each piece has both its places.
        for seed in [seed, seed ^ 0x40] {
            make_all(&mut ledger, &mut kept, &[Change::SavePicture(text(PICTURE_BYTES, seed))]);
        }
    }
    let mut ledger = Ledger::open(ledger.close()).expect("whole");
    assert_eq!(read_all(&mut ledger, &kept).expect("readable"), kept);
}

/// The sizes that the room's documentation names.
#[test]
fn a_chip_for_everything_is_never_full() {
    holds_everything::<4096>(11, false);
    holds_everything::<4096>(13, true);
    holds_everything::<1024>(40, false);
    holds_everything::<1024>(53, true);
}

/// A chip without room for records says so, changes nothing, and keeps everything else.
#[test]
fn records_never_take_what_balances_and_runs_need() {
    let mut ledger = begun::<1024, 4>(16);
    let mut kept = Kept::default();
    make_all(&mut ledger, &mut kept, &[Change::TakeOver(0, text(500, 1))]);
    let written = |ledger: Ledger<Nor<1024, 4>>| {
        let chip = ledger.close();
        (chip.written, Ledger::open(chip).expect("whole"))
    };
    let (before, mut ledger) = written(ledger);
    assert_eq!(ledger.take_over(Record::Room, &text(3000, 2)), Err(LedgerError::Full));
    let (after, mut ledger) = written(ledger);
    assert_eq!(before, after, "written though there is no room");
    for seed in [3, 4] {
        make_all(&mut ledger, &mut kept, &most_of_everything(seed));
    }
    assert_eq!(read_all(&mut ledger, &kept).expect("readable"), kept);
}

/// Little flash keeps the pictures that it has room for; a record that is taken over may cost the last one.
#[test]
fn a_picture_never_takes_what_records_and_runs_need() {
    let mut ledger = begun::<1024, 4>(18);
    ledger.save_picture(&text(300, 1)).expect("room");
    ledger.take_over(Record::Room, &text(1200, 1)).expect("the picture makes room");
    let mut buffer = [0; RECORD_BYTES];
    assert_eq!(ledger.saved_picture(&mut buffer), Ok(None));
    ledger.save_picture(&text(300, 2)).expect("room");
    ledger.save_picture(&text(850, 2)).expect("room without the old one");
    ledger.save_picture(&text(300, 2)).expect("room without the old one");
    assert_eq!(ledger.save_picture(&text(PICTURE_BYTES, 3)), Err(LedgerError::Full));
    assert_eq!(ledger.saved_picture(&mut buffer), Ok(Some(300)), "the old one stays");
    let mut kept = Kept::default();
    make_all(&mut ledger, &mut kept, &most_of_everything(4));
    assert_eq!(ledger.saved_picture(&mut buffer), Ok(Some(300)));
    assert_eq!(buffer[..300], text(300, 2)[..]);
}

#[test]
fn what_is_too_long_is_refused() {
    let mut ledger = begun::<1024, 4>(18);
    let long = Err(LedgerError::TooLong);
    assert_eq!(ledger.learn(0, &text(LEDGER_VALUE_BYTES + 1, 0)), long);
    assert_eq!(ledger.learn(LEARNED_VALUES, &[1]), long);
    assert_eq!(ledger.save_run(&text(RUN_STATE_BYTES + 1, 0)), long);
    assert_eq!(ledger.save_picture(&text(PICTURE_BYTES + 1, 0)), long);
    assert_eq!(ledger.take_over(Record::Room, &text(RECORD_BYTES + 1, 0)), long);
    assert_eq!(ledger.settle(SETTLED_CHECKS, SettledFor::Machine, true), long);
    assert_eq!(
        ledger.weigh(&"S".repeat(TAG_BYTES + 1), Milligrams(1), Milligrams(1)).err(),
        Some(LedgerError::TooLong)
    );
    assert_eq!(ledger.weigh("S1", Milligrams(1 << 40), Milligrams(1)).err(), Some(LedgerError::TooLong));
    assert_eq!(ledger.deduct("S1", 1, Milligrams(1)), Err(LedgerError::UnknownSpool));
    assert_eq!(ledger.settle(3, SettledFor::Spool("S1"), true), Err(LedgerError::UnknownSpool));
    assert_eq!(read_all(&mut ledger, &Kept::default()), Ok(Kept::default()));
    ledger.save_run(&text(100, 0)).expect("room");
    assert_eq!(ledger.saved_run(&mut [0; 99]), Err(LedgerError::TooLong));
}

/// The longest texts fit their rows.
#[test]
fn the_longest_machine_state_comes_back() {
    let mut ledger = begun::<1024, 4>(18);
    let grade = "G".repeat(MATERIAL_BYTES).as_str().try_into().expect("fits");
    let state = MachineState { run: u32::MAX, grade, nozzle_minutes: u32::MAX, ..MachineState::default() };
    ledger.set_machine(&state).expect("room");
    assert_eq!(ledger.machine(), Ok(state));
}

/// One spool more than are kept: the one that no run used for the longest makes room, and it is said which.
#[test]
fn the_spool_unused_for_longest_makes_room() {
    let mut ledger = begun::<1024, 4>(18);
    let tag = |number: u8| format!("S{number}");
    for number in 0..LEDGER_SPOOLS {
        ledger.begin_run().expect("room");
        assert_eq!(ledger.weigh(&tag(number), Milligrams(1000), Milligrams(5)), Ok(None));
    }
    // The first is used again; the second is then the one unused for longest.
    let run = ledger.begin_run().expect("room");
    assert_eq!(ledger.deduct(&tag(0), run, Milligrams(10)), Ok(true));
    let forgotten = ledger.weigh("S99", Milligrams(1000), Milligrams(5)).expect("room");
    assert_eq!(forgotten.as_deref(), Some("S1"));
    assert_eq!(ledger.balance("S1"), Ok(None));
    assert_eq!(ledger.balance("S99").map(|balance| balance.is_some()), Ok(true));
    for number in (0..LEDGER_SPOOLS).filter(|number| *number != 1) {
        assert!(ledger.balance(&tag(number)).expect("readable").is_some(), "{number}");
    }
}

/// Weighing begins the error anew and keeps what was deducted last.
#[test]
fn weighing_begins_anew() {
    let mut ledger = begun::<1024, 4>(18);
    ledger.weigh("S1", Milligrams(500_000), Milligrams(20_000)).expect("room");
    let run = ledger.begin_run().expect("room");
    ledger.load("S1").expect("known");
    ledger.deduct("S1", run, Milligrams(100_000)).expect("known");
    let worn = ledger.balance("S1").expect("readable").expect("known");
    assert_eq!((worn.left.0, worn.error.0, worn.used.0, worn.loads), (400_000, 20_000, 100_000, 1));
    ledger.weigh("S1", Milligrams(390_000), Milligrams(5_000)).expect("room");
    let weighed = ledger.balance("S1").expect("readable").expect("known");
    assert_eq!((weighed.left.0, weighed.error.0, weighed.used.0, weighed.loads), (390_000, 5_000, 0, 0));
    assert_eq!(ledger.deduct("S1", run, Milligrams(100_000)), Ok(false), "deducted before the weighing");
}

/// A cell that takes no write: the value goes elsewhere, or it is said that it was not kept.
#[test]
fn a_worn_cell_is_never_confirmed() {
    let mut confirmed = 0;
    for worn in (0..18 * 1024).step_by(97) {
        let mut chip = Nor::<1024, 4>::blank(18);
        chip.worn = Some(worn);
        let Ok(mut ledger) = Ledger::format(chip) else { continue };
        for number in 0..100_u16 {
            if ledger.learn(3, &text(100, number as u8)).is_err() {
                break;
            }
            confirmed += 1;
            if number % 10 == 0 {
                ledger = match Ledger::open(ledger.close()) {
                    Ok(ledger) => ledger,
                    // A note or a mark that cannot be written is found out now at the latest.
                    Err(_) => break,
                };
                assert_eq!(
                    ledger.learned(3),
                    Ok(Some(&text(100, number as u8)[..])),
                    "cell {worn}, {number}"
                );
            }
        }
    }
    assert!(confirmed > 5_000, "{confirmed}");
}

/// 8 KiB of RAM in the place of flash: a run with its state saved over and over, some spools, the last eight events.
#[test]
fn little_ram_holds_a_run() {
    let mut ledger = begun::<512, 4>(16);
    let mut kept = Kept::default();
    let mut state = text(1200, 1);
    for number in 0..30_u8 {
        let mut changes = vec![Change::BeginRun];
        changes.extend(
            (0..4).map(|spool| Change::Weigh(format!("S{spool}"), 500_000 + i64::from(number), 5_000)),
        );
        for piece in 0..10 {
            state[piece * 120] ^= 0x3C;
            changes.push(Change::SaveRun(state.clone()));
        }
        changes.extend([Change::Log(number.into()), Change::Learn(number & 1, text(40, number))]);
        changes.push(Change::Deduct("S1".into(), 77));
        changes.extend([Change::CloseRun(number), Change::SaveRun(Vec::new())]);
        make_all(&mut ledger, &mut kept, &changes);
    }
    assert_eq!(ledger.take_over(Record::Machine, &text(300, 1)), Err(LedgerError::Full));
    kept.events.truncate(8);
    let mut ledger = Ledger::open(ledger.close()).expect("whole");
    assert_eq!(read_all(&mut ledger, &kept).expect("readable"), kept);
}
