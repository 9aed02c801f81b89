//! Each row of the catalogue fires on the whole device, or says "not yet".

use std::collections::BTreeSet;

use holdpoint_shared::checks::{CATALOGUE, Level, Live};
use holdpoint_tests::corpus::faulty;
use holdpoint_tests::on_device;

use super::scenes;

/// Scenes in which a row fires on a device, at this level, and scenes that come close.
macro_rules! scenes {
    ($($name:ident: $check:literal $level:ident $fires:ident, not $near:ident;)+) => {
        /// The rows that the scenes make fire.
        const STAGED: &[u8] = &[$($check),+];
        $(
            #[test]
            fn $name() {
                assert_eq!(scenes::$fires(), Some(Level::$level));
                assert_eq!(scenes::$near(), None);
            }
        )+
    };
}

scenes! {
    row_1_chain: 1 Hold a_chain_that_breaks_off, not a_chain_that_is_whole;
    row_7: 7 Hold another_file_comes_back, not the_same_file_comes_back;
    row_64: 64 Look the_nozzle_held_pc, not the_nozzle_held_pla;
    row_66: 66 Hold the_spool_sticks, not the_spool_turns;
    row_67_answer: 67 Hold a_part_is_on_the_plate, not the_plate_is_bare;
    row_67_open_run: 67 Look the_last_run_was_never_closed_out, not no_run_is_open;
    row_68: 68 Hold scrap_of_the_purge_is_left, not the_purge_is_gone;
    row_69: 69 Hold the_plate_rocks, not the_plate_sits;
    row_71_starts: 71 Look eleven_starts, not ten_starts;
    row_71_days: 71 Look washed_eight_days_ago, not washed_seven_days_ago;
    row_72: 72 Look a_nozzle_of_401_hours, not a_nozzle_of_400_hours;
    row_73: 73 Hold the_lead_holds_the_machine, not nobody_holds_the_machine;
    row_74: 74 Note the_plate_is_at_46, not the_plate_is_at_40;
    row_75: 75 Note the_plates_probe_is_open, not there_is_no_probe;
    row_80_answer: 80 Look abs_with_its_door_open, not abs_with_its_door_shut;
    row_81_answer: 81 Look pla_with_its_door_shut, not pla_with_its_door_open;
    row_83: 83 Note a_card_is_pulled_while_it_is_read, not a_card_is_pulled_after_it_was_read;
    row_84: 84 Note another_job_is_shown, not the_vetted_job_is_shown;
    row_85_past: 85 Note an_event_of_tomorrow, not an_event_of_yesterday;
    row_85_unset: 85 Note a_clock_that_is_not_set, not an_event_of_yesterday;
    row_85_other_job: 85 Note another_job_of_the_day_after_tomorrow, not an_event_of_yesterday;
    row_87: 87 Look it_came_off_twice, not it_failed_for_two_reasons;
    row_91: 91 Hold a_ticket_is_refused, not a_ticket_is_empty_of_filament;
    row_93: 93 Note the_sticker_says_petg, not the_sticker_says_pla;
}

/// The planted faults of the corpus on the device: one job for each row that nothing before it made fire.
fn planted() -> BTreeSet<u8> {
    let mut fired = BTreeSet::new();
    let mut faults = faulty::jobs();
    faults.extend(faulty::crowd::jobs());
    for fault in faults {
        if fault.raises.iter().all(|point| fired.contains(&point.check)) {
            continue;
        }
        let found = on_device::found(&fault.job);
        for point in &fault.raises {
            let fires = found.iter().any(|finding| point.is(finding));
            assert!(fires, "{}: {point:?} fires at a desk, not on the device: {found:?}", fault.job.what);
            fired.insert(point.check);
        }
    }
    fired
}

#[test]
fn every_row_fires_on_the_device() {
    let mut fired = planted();
    fired.extend(STAGED);
    let silent: Vec<_> = CATALOGUE
        .iter()
        .filter(|row| row.live != Live::Unfed && !fired.contains(&row.number))
        .map(|row| format!("{} {} ({})", row.number, row.id, row.live.word()))
        .collect();
    assert!(silent.is_empty(), "no job makes them fire on a whole device: {silent:#?}");
    let unfed = CATALOGUE.iter().filter(|row| row.live == Live::Unfed);
    let wrong: Vec<_> = unfed.filter(|row| fired.contains(&row.number)).map(|row| row.number).collect();
    assert!(wrong.is_empty(), "they say \"not yet\", and fire: {wrong:?}");
}
