//! Jobs written by hand, and what each must give.

use holdpoint_shared::app::Setup;
use holdpoint_shared::checks::{Level, Value, Verdict};
use holdpoint_shared::units::{Celsius, Micrometres};
use holdpoint_tests::corpus::rooms::{bench, spool, with_pla};
use holdpoint_tests::corpus::{Job, Outcome};

fn vet_on(setup: Setup, bytes: &[u8]) -> Outcome {
    Job::new("a file", bytes.to_vec(), setup).vet()
}

fn vet(bytes: &[u8]) -> Outcome {
    vet_on(with_pla(bench()), bytes)
}

/// Number and level of each point, worst first.
fn points(outcome: &Outcome) -> Vec<(u8, Level)> {
    outcome.points().iter().map(|point| (point.check, point.level)).collect()
}

/// The first numbers of a check's point.
fn values<const N: usize>(outcome: &Outcome, check: u8) -> [Value; N] {
    let point = outcome.findings.iter().find(|point| point.check == check).expect("the point");
    std::array::from_fn(|place| point.values[place].clone())
}

#[test]
fn a_sound_one_is_clear() {
    let outcome = vet(include_bytes!("../data/jobs/sound.gcode"));
    assert_eq!((points(&outcome), outcome.verdict), (vec![], Verdict::Clear));
}

#[test]
fn a_cut_one_is_on_hold_with_a_warning_of_its_heat() {
    let outcome = vet(include_bytes!("../data/jobs/cut.gcode"));
    assert_eq!((points(&outcome), outcome.verdict), (vec![(1, Level::Hold)], Verdict::Hold));
    assert_eq!(outcome.findings[0].signal, holdpoint_shared::checks::Signal::Warning);
}

#[test]
fn a_gap_of_zeros_is_placed() {
    let bytes = include_bytes!("../data/jobs/zeros.gcode");
    let outcome = vet(bytes);
    assert_eq!(points(&outcome), [(2, Level::Hold)]);
    let at = bytes.iter().position(|byte| *byte == 0).unwrap() * 100 / bytes.len();
    assert_eq!(values(&outcome, 2), [Value::Percent(at as u16)]);
}

#[test]
fn inches_are_named_by_their_line() {
    let outcome = vet(include_bytes!("../data/jobs/inches.gcode"));
    assert_eq!(points(&outcome), [(27, Level::Hold)]);
    assert_eq!(values(&outcome, 27), [Value::Count(5)]);
}

#[test]
fn another_machines_job_does_not_fit_this_one() {
    let outcome = vet(include_bytes!("../data/jobs/other_machine.gcode"));
    // The part ends at X 130 + 150 = 280 mm on a plate of 220 mm; the park move stays at X 155.
    assert_eq!(points(&outcome), [(17, Level::Hold), (18, Level::Hold)]);
    assert_eq!(values(&outcome, 17), [Value::text("Long-Bed"), Value::text("M2")]);
    assert_eq!(values(&outcome, 18), [Value::Length(Micrometres::from_mm(60))]);
}

#[test]
fn heat_that_stays_on_is_told_in_degrees() {
    let outcome = vet(include_bytes!("../data/jobs/heat_left_on.gcode"));
    assert_eq!(points(&outcome), [(50, Level::Hold)]);
    assert_eq!(values(&outcome, 50), [Value::Temperature(Celsius(205))]);
}

#[test]
fn a_cold_job_is_told_by_its_window() {
    let bytes = include_bytes!("../data/jobs/petg_too_cold.gcode");
    let mut setup = with_pla(bench());
    setup.spool = Some(spool("PETG", 1750, 1270));
    let outcome = vet_on(setup, bytes);
    assert_eq!(points(&outcome), [(46, Level::Hold)]);
    assert_eq!(values(&outcome, 46), [Value::Temperature(Celsius(185)), Value::text("PETG")]);
    // And with PLA on the spool it is the wrong spool, too.
    let wrong: Vec<u8> = points(&vet(bytes)).iter().map(|(check, _)| *check).collect();
    assert_eq!(wrong, [46, 54]);
}

#[test]
fn an_older_files_rest_is_found_behind_the_end() {
    let outcome = vet(include_bytes!("../data/jobs/old_rest.gcode"));
    // The rest would also be laid into the part, and beside it over nothing.
    let found = points(&outcome);
    assert!(found.contains(&(3, Level::Hold)), "{found:?}");
    assert!(found.iter().all(|(check, _)| matches!(check, 3 | 23 | 42)), "{found:?}");
}

#[test]
fn a_terse_one_is_asked_for_its_material_alone() {
    let outcome = vet(include_bytes!("../data/jobs/no_header_terse.gco"));
    assert_eq!((points(&outcome), outcome.verdict), (vec![(55, Level::Look)], Verdict::Look));
}
