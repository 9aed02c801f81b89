//! Each thing that goes wrong is told from the others.

use holdpoint_desk::plant::{Part, PlantFault, PlantMake};
use holdpoint_shared::heat::{Alarm, Evidence};

use super::world::{World, bed_of, c};

/// A fault at a second of a warm-up to 60 °C, watched for so long: the alarms in their order.
fn warming(fault: PlantFault, from_s: u64, for_s: u64) -> World {
    let mut world = World::new(bed_of(10.0), 11, Part::Bed).with_fault(from_s, fault);
    world.run_s(10);
    world.aim(Some(60.0));
    world.run_s(for_s);
    world
}

fn kinds(world: &World) -> Vec<Alarm> {
    world.alarms.iter().map(|(_, alarm)| *alarm).collect()
}

#[test]
fn a_heater_that_dies_half_way_is_seen_within_two_minutes() {
    let world = warming(PlantFault::HeaterDead, 60, 200);
    assert_eq!(kinds(&world), [Alarm::Stopped]);
    assert!((60..=180).contains(&world.alarms[0].0), "{:?}", world.alarms);
    assert_eq!(world.evidence(), Evidence::Measured);
}

#[test]
fn a_heater_that_dies_in_the_run_is_seen() {
    let mut world = World::new(bed_of(10.0), 11, Part::Bed).with_fault(1800, PlantFault::HeaterDead);
    world.aim(Some(60.0));
    world.run_s(1800 + 15 * 60);
    // 10 K short after 10 min · ln(38/28) = 3:03.
    assert_eq!(kinds(&world), [Alarm::Stopped]);
    assert!((1800 + 183..1800 + 280).contains(&world.alarms[0].0), "{:?}", world.alarms);
}

#[test]
fn a_weak_heater_is_slow_and_then_stops_short() {
    // Usual is 2 min to 60 °C: slow from 5 min on. A quarter of the power comes to 22 + 52 = 74 °C in the end, and to
    // 58 °C after 10 min · ln(52/16) = 11.8 min: late, but it arrives.
    let world = warming(PlantFault::HeaterWeak(0.25), 0, 1500);
    assert_eq!(kinds(&world), [Alarm::TooSlow]);
    assert!((295..=330).contains(&world.alarms[0].0), "{:?}", world.alarms);
    assert!(world.last.is_some_and(|verdict| verdict.alarm.is_none()));
    // A tenth comes to 43 °C: it stops short, and in the end stands still.
    let world = warming(PlantFault::HeaterWeak(0.1), 0, 3000);
    let kinds = kinds(&world);
    assert!(kinds.contains(&Alarm::Stopped) && kinds.last() == Some(&Alarm::ProbeFlat), "{kinds:?}");
}

#[test]
fn a_heater_that_never_begins_is_seen_after_a_minute() {
    let world = warming(PlantFault::HeaterDead, 0, 600);
    assert_eq!(kinds(&world), [Alarm::Stopped, Alarm::ProbeFlat]);
    assert!((70..=90).contains(&world.alarms[0].0), "{:?}", world.alarms);
}

#[test]
fn a_heater_that_stays_on_runs_away() {
    let world = warming(PlantFault::HeaterStuck, 100, 900);
    assert_eq!(kinds(&world), [Alarm::Runaway]);
    let mut world =
        World::new(PlantMake::default(), 2, Part::Nozzle).with_fault(600, PlantFault::HeaterStuck);
    world.aim(Some(215.0));
    world.run_s(700);
    // 4 K/s: more than the probe's curve knows within the minute after.
    assert_eq!(kinds(&world)[0], Alarm::Runaway);
    assert!((600..620).contains(&world.alarms[0].0), "{:?}", world.alarms);
}

#[test]
fn a_broken_lead_a_shorted_one_and_a_jump_are_told_apart() {
    for (fault, alarm) in
        [(PlantFault::ProbeOpen, Alarm::ProbeOpen), (PlantFault::ProbeShorted, Alarm::ProbeShorted)]
    {
        let mut world = warming(fault, 200, 400);
        assert_eq!(kinds(&world), [alarm]);
        assert_eq!(world.alarms[0].0, 200);
        assert_eq!(world.evidence(), Evidence::Estimated);
        // Never "cool": the model goes on by the clock.
        assert!(world.model.temperature() >= c(59.0));
        world.run_s(600);
        assert_eq!(kinds(&world), [alarm], "it stands as long as it lasts");
    }
    let world = warming(PlantFault::ProbeShifted(25.0), 1000, 1500);
    assert_eq!(kinds(&world), [Alarm::ProbeJump]);
    assert!(
        world.last.is_some_and(|verdict| verdict.alarm.is_none()),
        "after half a minute it hangs together again"
    );
}

#[test]
fn a_probe_that_fell_off_is_not_believed_and_the_plate_not_called_cool() {
    let mut world = World::new(bed_of(10.0), 11, Part::Bed).with_fault(0, PlantFault::ProbeOff);
    world.aim(Some(60.0));
    world.run_s(600);
    assert_eq!(kinds(&world), [Alarm::Stopped, Alarm::ProbeFlat]);
    assert_eq!(world.evidence(), Evidence::Estimated);
    assert!(world.model.temperature() >= c(59.0), "by the clock it is hot, and hot it is");
    let world = warming(PlantFault::ProbeFrozen, 60, 400);
    assert_eq!(kinds(&world), [Alarm::Stopped, Alarm::ProbeFlat]);
}

#[test]
fn a_probe_below_the_air_or_off_it_after_two_hours_is_not_believed() {
    let mut world = World::new(bed_of(10.0), 11, Part::Bed).with_fault(0, PlantFault::ProbeShifted(-3.0));
    world.run_s(60);
    assert_eq!(kinds(&world), [Alarm::ProbeBelowAir]);
    let mut world = World::new(bed_of(10.0), 11, Part::Bed).with_fault(0, PlantFault::ProbeShifted(8.0));
    world.run_s(7_190);
    assert_eq!(kinds(&world), []);
    world.run_s(20);
    assert_eq!(kinds(&world), [Alarm::ProbeOffAir]);
    // A room temperature that is only stated puts no probe in doubt.
    let mut world = World::new(bed_of(10.0), 11, Part::Bed).with_fault(0, PlantFault::ProbeShifted(8.0));
    world.air_probe = false;
    world.run_s(7_300);
    assert_eq!(kinds(&world), []);
}

/// A machine heats its bed by a word of its own, or somebody does at its display: no target is known, and the plate stays
/// at 58.7 °C for hours. Its probe is right all the while.
#[test]
fn a_plate_that_was_seen_to_warm_is_not_off_the_air() {
    let mut world = World::new(bed_of(10.0), 11, Part::Bed);
    world.run_s(3 * 3_600);
    world.plant.set_target(Part::Bed, Some(58.7));
    world.run_s(4 * 3_600);
    assert_eq!(kinds(&world), []);
    assert_eq!(world.evidence(), Evidence::Measured);
    // Cooled down again, the two hours begin anew.
    world.plant.set_target(Part::Bed, None);
    world.run_s(2 * 3_600);
    assert_eq!(kinds(&world), []);
}
