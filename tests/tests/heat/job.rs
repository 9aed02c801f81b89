//! Sound jobs: the core sees start and end, and says nothing that is not so.

use holdpoint_desk::plant::{Part, PlantMake};
use holdpoint_shared::heat::{Body, EndAlarm, EndWindow, Evidence, Learned, Lesson, TimeLeft, Turn};

use super::world::{EVERY_MS, World, bed_of, body, c};

fn seconds(left: TimeLeft) -> f64 {
    let TimeLeft::In(ms) = left else { panic!("{left:?}") };
    f64::from(ms) / 1000.0
}

/// A job at a bed temperature on a bed of a time constant, min; open or housed, any seed.
fn sound_job(make: PlantMake, seed: u64, bed_c: f64) {
    let mut world = World::new(make, seed, Part::Bed);
    // Longer than two hours at rest: the probe agrees with the air.
    world.run_s(2 * 3600 + 600);
    let start_s = world.plant.now_ms() / 1000;
    world.aim(Some(bed_c));
    world.run_s(1);
    let expected_s = seconds(world.model.time_to_target());
    let took_s = world.run_until(bed_c - 2.0) as f64;
    assert!((took_s - expected_s).abs() < 0.2 * expected_s + 15.0, "{took_s} s for {expected_s} s");
    world.run_s(40 * 60);
    assert_eq!(world.model.warm_up_ms(), None, "arrived");
    assert_eq!(world.model.against(EndWindow::Before), None);
    let end_s = world.plant.now_ms() / 1000;
    world.plant.set_target(Part::Bed, None);
    world.target = None;
    let cool_s = seconds(world.model.time_to_cool(c(40.0)));
    let took_s = world.run_until(40.0) as f64;
    if make.housing_w_k.is_none() {
        assert!((took_s - cool_s).abs() < 0.05 * cool_s + 10.0, "{took_s} s for {cool_s} s");
    }
    world.run_s(3 * 60);
    assert_eq!(world.alarms, [], "a sound job");
    assert_eq!(world.evidence(), Evidence::Measured);
    let [(warming_s, Turn::Warming), (cooling_s, Turn::Cooling)] = world.turns[..] else {
        panic!("one start, one end: {:?}", world.turns)
    };
    assert!((1..=120).contains(&(warming_s - start_s)), "start after {} s", warming_s - start_s);
    assert!((120..=300).contains(&(cooling_s - end_s)), "end after {} s", cooling_s - end_s);
    assert_eq!(world.model.against(EndWindow::PastBy(3600)), None, "it cools");
}

#[test]
fn sound_jobs_have_one_start_one_end_and_no_alarm() {
    for seed in 0..3 {
        for (tau_min, bed_c) in
            [(6.0, 60.0), (10.0, 60.0), (15.0, 60.0), (6.0, 100.0), (10.0, 110.0), (15.0, 45.0)]
        {
            sound_job(bed_of(tau_min), seed, bed_c);
        }
        sound_job(PlantMake { housing_w_k: Some(8.0), ..bed_of(10.0) }, seed, 90.0);
        sound_job(PlantMake { noise_k: 0.2, ..bed_of(10.0) }, seed, 60.0);
    }
}

#[test]
fn a_hot_end_warms_sags_and_cools_without_an_alarm() {
    let mut world = World::new(PlantMake::default(), 5, Part::Nozzle);
    world.aim(Some(215.0));
    world.run_s(5 * 60);
    world.plant.set_flow(12.0);
    world.run_s(20 * 60);
    world.plant.set_flow(0.0);
    world.run_s(10 * 60);
    world.aim(None);
    world.run_s(20 * 60);
    assert_eq!(world.alarms, []);
    assert_eq!(world.turns.iter().map(|(_, turn)| *turn).collect::<Vec<_>>(), [Turn::Warming, Turn::Cooling]);
}

#[test]
fn a_lower_target_after_the_first_layer_is_no_end() {
    for (tau_min, first, then) in
        [(6.0, 65.0, 60.0), (15.0, 65.0, 60.0), (10.0, 110.0, 100.0), (15.0, 60.0, 45.0)]
    {
        let mut world = World::new(bed_of(tau_min), 3, Part::Bed);
        world.aim(Some(first));
        world.run_s(25 * 60);
        world.aim(Some(then));
        for _ in 0..30 {
            world.run_s(60);
            assert_eq!(world.model.against(EndWindow::Before), None, "{first} to {then}");
        }
        assert_eq!(world.alarms, [], "{first} to {then}");
        assert_eq!(world.turns.len(), 1, "{first} to {then}: {:?}", world.turns);
        // Its end is seen all the same, from the lower level.
        world.plant.set_target(Part::Bed, None);
        world.run_s(10 * 60);
        assert_eq!(world.turns.len(), 2, "{first} to {then}: {:?}", world.turns);
    }
}

#[test]
fn the_curve_is_held_against_the_forecast() {
    let mut world = World::new(bed_of(10.0), 1, Part::Bed);
    world.aim(Some(60.0));
    world.run_s(30 * 60);
    assert_eq!(world.model.against(EndWindow::Before), None);
    assert_eq!(world.model.against(EndWindow::Within), None);
    assert_eq!(world.model.against(EndWindow::PastBy(20 * 60)), None);
    assert_eq!(world.model.against(EndWindow::PastBy(20 * 60 + 1)), Some(EndAlarm::HeatStillOn));
    // It stops by itself; the job's own target does not change.
    world.plant.set_target(Part::Bed, None);
    world.run_until(52.5);
    assert_eq!(world.model.against(EndWindow::Before), None);
    world.run_until(51.0);
    assert_eq!(world.model.against(EndWindow::Before), Some(EndAlarm::CoolingEarly));
    assert_eq!(world.model.against(EndWindow::Within), None);
    world.run_s(60);
    assert_eq!(world.turns.last().map(|(_, turn)| *turn), Some(Turn::Cooling));
}

/// What one job on a plant teaches.
fn learn_from(make: PlantMake, seed: u64, part: Part, target_c: f64, learned: &mut Learned, sheet: Body) {
    let mut world = World::new(make, seed, part);
    let mut lesson = Lesson::default();
    let mut run = |world: &mut World, seconds: u64| {
        for _ in 0..seconds * 1000 / EVERY_MS {
            world.step();
            let verdict = world.last.expect("a step");
            lesson.step(EVERY_MS as u32, &verdict, world.target.map(c), c(22.0));
        }
    };
    world.aim(Some(target_c));
    run(&mut world, 30 * 60);
    world.aim(None);
    run(&mut world, 45 * 60);
    lesson.hand_over(learned, sheet);
}

#[test]
fn two_runs_teach_what_a_wrong_sheet_did_not_say() {
    for (part, target_c) in [(Part::Bed, 60.0), (Part::Bed, 100.0), (Part::Nozzle, 215.0)] {
        let make = bed_of(12.0);
        let made = if part == Part::Bed { make.bed } else { make.nozzle };
        let sheet = Body::new(body(made).tau_ms() / 2000, body(made).rise_mk() as u32 / 1500);
        let mut learned = Learned::default();
        for seed in 0..2 {
            assert_eq!(learned.over(sheet), sheet, "one run is no proof");
            learn_from(make, seed, part, target_c, &mut learned, sheet);
        }
        let (taught, true_body) = (learned.over(sheet), body(made));
        let off = |a: f64, b: f64| (a / b - 1.0).abs();
        let tau_off = off(f64::from(taught.tau_ms()), f64::from(true_body.tau_ms()));
        let rise_off = off(f64::from(taught.rise_mk()), f64::from(true_body.rise_mk()));
        assert!(tau_off < 0.05 && rise_off < 0.08, "{part:?} {target_c}: {taught:?} for {true_body:?}");
    }
}

#[test]
fn a_job_that_warms_too_little_teaches_nothing() {
    let sheet = Body::new(360, 120);
    let mut learned = Learned::default();
    (0..3).for_each(|seed| learn_from(bed_of(12.0), seed, Part::Bed, 38.0, &mut learned, sheet));
    assert_eq!(learned, Learned::default());
}
