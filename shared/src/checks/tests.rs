//! The catalogue as a whole: its table, its verdicts, and what no input may ever do.

use std::string::String;
use std::vec::Vec;

use proptest::prelude::*;

use super::bench::{Bench, HOLD, LOOK, NOTE, wednesday};
use super::*;
use crate::header::JobHeader;
use crate::records::OpenHours;
use crate::survey::{Bounds, Pull, Survey, Tally};
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};

/// A bench whose job is sound in every way: known clock, moves read, everything answered.
fn sound() -> Bench {
    let mut bench = Bench::surveyed(|survey| {
        survey.filament.tools[0].highest_net_nm = 20_788_000_000;
        survey.time.total_s = 9_600;
        survey.time.heat_wait_known = true;
        survey.fan.on_at_layer = Some(2);
        survey.fan.mean_permille = 900;
        survey.layers.typical_um = Some(200);
        survey.heat.highest = [Celsius(205), Celsius(60), Celsius(0)];
        survey.heat.nozzle_lowest_feeding = Some(Celsius(205));
        survey.heat.nozzle_highest_feeding = Some(Celsius(205));
        survey.heat.waited_before_feed = Some(true);
        survey.printed = Bounds { min_nm: [50_000_000; 3], max_nm: [90_000_000; 3] };
        survey.reached = Bounds { min_nm: [0; 3], max_nm: [200_000_000; 3] };
    });
    bench.machine.motion.max_speed_mm_s = [200, 200, 10, 60];
    bench
}

fn findings(bench: &Bench) -> Findings {
    let mut input = bench.input();
    input.now = Some(wednesday(10, 0));
    check(&input)
}

fn numbers(findings: &Findings) -> Vec<(u8, Level)> {
    findings.iter().map(|finding| (finding.check, finding.level)).collect()
}

#[test]
fn numbers_are_complete_and_in_order() {
    let rows: Vec<u8> = CATALOGUE.iter().map(|row| row.number).collect();
    // The 88 rows of the room's catalogue, six of Holdpoint's own, and later ones of any group.
    assert!(rows.is_sorted_by(|a, b| a < b), "in the order of their numbers, none twice: {rows:?}");
    for row in CATALOGUE {
        assert_eq!(find(row.number).map(|found| found.id), Some(row.id));
        assert!(!row.rule.is_empty() && !row.source.is_empty());
        assert!(row.number > 94 || (row.number > 88) == (row.group == Group::Own));
    }
    assert!(find(0).is_none() && find(127).is_none());
}

#[test]
fn the_never_silenced_are_the_catalogues() {
    let never: Vec<u8> = CATALOGUE.iter().filter(|row| row.never_silenced).map(|row| row.number).collect();
    assert_eq!(never, [1, 18, 21, 43, 47, 48, 50, 54, 67, 69, 90, 91, 94, 106]);
    assert!(is_never_silenced(54) && !is_never_silenced(59));
}

#[test]
fn the_markdown_has_a_line_a_check() {
    let mut out = String::new();
    write_markdown(&mut out).unwrap();
    assert_eq!(out.lines().count(), CATALOGUE.len() + 2);
    assert!(out.lines().all(|line| line.matches('|').count() == 7), "each line has six columns");
    assert!(out.contains("| 54 | wrong material | base of the job differs"));
}

#[test]
fn a_sound_job_is_clear_and_silent() {
    let found = findings(&sound());
    assert_eq!(numbers(&found), []);
    assert_eq!(found.verdict(), Verdict::Clear);
}

#[test]
fn from_the_header_alone_too() {
    assert_eq!(numbers(&findings(&Bench::new())), []);
}

#[test]
fn a_wrong_spool_gives_one_hold() {
    let mut bench = sound().spool("PETG");
    bench.ticket().density_mg_cm3 = Some(1270);
    assert_eq!(numbers(&findings(&bench)), [(54, HOLD)]);
}

#[test]
fn one_planted_fault_gives_that_one() {
    type Fault = fn(&mut Bench);
    fn survey(bench: &mut Bench) -> &mut Survey {
        bench.survey.as_mut().unwrap()
    }
    let faults: [(u8, Level, Fault); 18] = [
        (2, HOLD, |bench| survey(bench).reading.blank.bytes = 512),
        (3, HOLD, |bench| survey(bench).tail.beads_after_end.add(9)),
        (15, HOLD, |bench| survey(bench).reading.stores.met.add(9)),
        (16, HOLD, |bench| survey(bench).reading.checksums.failed.add(9)),
        (18, HOLD, |bench| survey(bench).printed.max_nm[0] = 234_000_000),
        (20, HOLD, |bench| survey(bench).printed.max_nm[2] = 262_000_000),
        (21, HOLD, |bench| survey(bench).reached.min_nm[2] = -300_000),
        (22, HOLD, |bench| survey(bench).motion.low_travel_nm[0] = 9_000_000),
        (25, HOLD, |bench| survey(bench).motion.before_homing.add(3)),
        (26, HOLD, |bench| survey(bench).motion.homes_over_part.add(3)),
        (27, HOLD, |bench| survey(bench).motion.inch_words.add(3)),
        (31, LOOK, |bench| survey(bench).pauses.push(Default::default()).unwrap()),
        (38, LOOK, |bench| survey(bench).filament.pulled_inside = Pull { length_nm: 12_000_000, line: 9 }),
        (44, LOOK, |bench| survey(bench).heat.waited_before_feed = Some(false)),
        (50, HOLD, |bench| survey(bench).heat.bed_end = Celsius(60)),
        (51, LOOK, |bench| survey(bench).heat.idle_before_s = 600),
        (58, HOLD, |bench| bench.ticket().left = Some(Milligrams(30_000))),
        (63, LOOK, |bench| bench.ticket().open_hours = Some(800)),
    ];
    for (check, level, plant) in faults {
        let mut bench = sound();
        plant(&mut bench);
        assert_eq!(numbers(&findings(&bench)), [(check, level)], "{check}");
    }
}

#[test]
fn heat_and_gas_carry_their_signal_words() {
    let mut bench = sound();
    bench.machine.nozzle_max_c = Celsius(200);
    bench.machine.bed_max_c = Celsius(50);
    bench.survey.as_mut().unwrap().heat.nozzle_end = Celsius(205);
    let found = findings(&bench);
    assert_eq!(numbers(&found), [(50, HOLD), (47, HOLD), (48, HOLD)]);
    assert!(found.iter().all(|finding| finding.signal == Signal::Warning));
}

#[test]
fn a_settled_note_or_look_no_longer_weighs() {
    let mut bench = sound();
    bench.survey.as_mut().unwrap().heat.idle_before_s = 600;
    let mut input = bench.input();
    input.now = Some(wednesday(10, 0));
    assert_eq!(check(&input).verdict(), Verdict::Look);
    input.settled = CheckSet::NONE.with(51);
    let found = check(&input);
    assert_eq!(found.verdict(), Verdict::Clear);
    assert!(found.is_settled(found.get(0).unwrap()), "it is still shown, as settled");
}

#[test]
fn what_could_not_be_read_is_never_clear() {
    let bench = sound();
    let mut input = bench.input();
    input.refused[1] = true;
    assert_eq!(check(&input).verdict(), Verdict::NoVerdict);
}

#[test]
fn a_clock_that_is_not_set_is_a_note() {
    let found = check(&sound().input());
    assert_eq!(numbers(&found), [(85, NOTE)]);
}

/// Takes away the fields of a header whose bit is not set.
fn masked(header: &JobHeader, mask: u32) -> JobHeader {
    let mut left = header.clone();
    let mut bit = 0;
    macro_rules! keep {
        ($($field:ident)*) => {$(
            if mask & (1 << bit) == 0 {
                left.$field = None;
            }
            bit += 1;
        )*};
    }
    keep!(material diameter_um bore_um nozzle_c bed_c length time layer_um first_layer_um);
    let _ = bit;
    left
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn missing_header_data_alone_never_holds(mask in 0_u32..512, ticket in 0_u32..64, with_clock: bool) {
        let full = Bench::new();
        let mut bench = Bench::new();
        bench.header = masked(&full.header, mask);
        bench.facts = JobFacts::merge(Some(&bench.header), None, None);
        let spool = bench.ticket();
        if ticket & 1 == 0 { spool.density_mg_cm3 = None; }
        if ticket & 2 == 0 { spool.left = None; }
        if ticket & 4 == 0 { spool.diameter_um = None; }
        if ticket & 8 == 0 { spool.material.clear(); }
        if ticket & 16 == 0 { bench.spool = None; }
        let hours = |hour| chrono::NaiveTime::from_hms_opt(hour, 0, 0).unwrap();
        if ticket & 32 == 0 {
            bench.room.hours = Some([Some(OpenHours { opens: hours(8), closes: hours(20) }); 7]);
        }
        let mut input = bench.input();
        input.now = with_clock.then(|| wednesday(10, 0));
        let found = check(&input);
        prop_assert!(found.verdict() <= Verdict::Look, "{:?}", numbers(&found));
    }

    #[test]
    fn no_numbers_make_it_panic(
        longs in prop::collection::vec(any::<i64>(), 16),
        counts in prop::collection::vec(any::<u32>(), 16),
        degrees in prop::collection::vec(any::<i16>(), 8),
        hour in 0_u32..24,
    ) {
        let mut bench = sound();
        bench.header.length = Some(Micrometres(longs[0]));
        bench.header.mass = Some(Milligrams(longs[1]));
        bench.header.time = Some(Seconds(counts[0]));
        bench.header.layer_um = Some(counts[1]);
        bench.header.first_layer_um = Some(counts[2]);
        bench.header.bore_um = Some(counts[3]);
        bench.header.nozzle_c = Some(Celsius(degrees[0]));
        bench.header.bed_c = Some(Celsius(degrees[1]));
        bench.header.body_bytes = Some(longs[2].unsigned_abs());
        let survey = bench.survey.as_mut().unwrap();
        survey.printed = Bounds { min_nm: [longs[3], longs[4], longs[5]], max_nm: [longs[6], longs[7], longs[8]] };
        survey.reached = Bounds { min_nm: [longs[9], longs[3], longs[4]], max_nm: [longs[10], longs[5], longs[6]] };
        survey.first_layer.bounds = survey.printed;
        survey.first_layer.filament_nm = longs[11] >> 8;
        survey.filament.tools[0].highest_net_nm = longs[12];
        survey.filament.pulled_inside = Pull { length_nm: longs[13], line: counts[4] };
        survey.motion.farthest_bead_nm = longs[14].unsigned_abs();
        survey.motion.relative.met = Tally { count: counts[5], first_line: counts[6] };
        survey.motion.relative.sum_abs_x_nm = longs[15].unsigned_abs();
        (survey.relief.below_um[9], survey.relief.below_line[9]) = (counts[7], counts[6]);
        survey.relief.air.met_um = counts[7];
        survey.relief.again = crate::survey::LayerPath { met_um: counts[4], path_um: counts[5], z_um: 0, line: counts[6] };
        survey.relief.piled.over_nl = counts[7];
        survey.flow.sustained_nl_s = counts[8];
        survey.beads.path_nm[20] = longs[1].unsigned_abs() >> 1;
        survey.time.total_s = counts[9];
        survey.reading.bytes = longs[0].unsigned_abs();
        survey.reading.non_text_bytes = longs[1].unsigned_abs();
        survey.reading.lines = counts[10];
        survey.heat.highest = [Celsius(degrees[2]), Celsius(degrees[3]), Celsius(degrees[4])];
        survey.heat.nozzle_highest_feeding = Some(Celsius(degrees[5]));
        survey.heat.nozzle_lowest_feeding = Some(Celsius(degrees[6]));
        survey.heat.bed_lowest_laying = Some(Celsius(degrees[7]));
        survey.layers.top_um = counts[11] as i32;
        survey.layers.typical_um = Some(counts[12]);
        let survey = bench.survey.take();
        bench.facts = JobFacts::merge(Some(&bench.header), None, survey.as_ref());
        bench.survey = survey;
        bench.ticket().left = Some(Milligrams(longs[4]));
        bench.machine.flow_max_mm3_s = Some(counts[13]);
        bench.machine.clearance_radius_um = Some(longs[7]);
        let time = |hour| chrono::NaiveTime::from_hms_opt(hour, 0, 0).unwrap();
        bench.room.hours = Some([Some(OpenHours { opens: time(hour), closes: time(23 - hour) }); 7]);
        let mut input = bench.input();
        input.now = Some(wednesday(hour, 0));
        let found = check(&input);
        let order: Vec<Level> = found.iter().map(|finding| finding.level).collect();
        prop_assert!(order.is_sorted_by(|a, b| a >= b), "the worst first");
        for finding in &found {
            let mut text = String::new();
            let part = crate::words::checks::WordingPart::Sentence;
            crate::words::checks::write_wording(finding, crate::records::Language::German, part, &mut text).unwrap();
            let filled = !text.contains('{');
            prop_assert!(filled, "{}", text);
        }
    }
}
