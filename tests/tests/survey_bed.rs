//! How warm a bed is that nobody waits for, when the first bead is laid on it, and how hot a nozzle at its first feed.

use holdpoint_shared::records::{Heaters, Machine};
use holdpoint_shared::survey::{Survey, Surveyor};
use holdpoint_shared::units::Celsius;

const HEATERS: Heaters = Heaters {
    nozzle_w: 40,
    bed_w: 220,
    nozzle_j_per_k: 25,
    bed_j_per_k: 700,
    nozzle_mw_per_k: 120,
    bed_mw_per_k: 1500,
};

fn survey(heaters: Option<Heaters>, start: &str) -> Box<Survey> {
    let machine = Machine { heaters, home_s: 25, ..Machine::default() };
    let mut surveyor = Box::new(Surveyor::new(&machine));
    surveyor
        .feed(format!("{start}G90\nM83\nG0 X20 Y20 Z0.2 F6000\nG1 X60 E1.4 F1200\nG1 Y60 E1.4\n").as_bytes());
    Box::new(surveyor.finish())
}

#[test]
fn a_bed_goes_on_heating_while_something_else_is_done() {
    // C dT/dt = P − k (T − 20 °C), from 20 °C: after 60 s and a few at most for the way to the first bead.
    let warm = |seconds: f64| 20.0 + 220.0 / 1.5 * (1.0 - (-seconds * 1.5 / 700.0).exp());
    let heat = survey(Some(HEATERS), "M140 S80\nG4 S60\n").heat;
    let then = f64::from(heat.bed_then.unwrap().0);
    assert!((warm(60.0) - 1.0..warm(65.0) + 1.0).contains(&then), "{then} after {}", warm(60.0));
    assert_eq!((heat.bed_waited, heat.bed_first_layer), (Celsius(0), Some(Celsius(80))));
    assert!((60..65).contains(&heat.bed_target_to_bead_s));
}

#[test]
fn a_bed_that_was_waited_for_is_there() {
    let heat = survey(Some(HEATERS), "M190 S80\nM140 S85\n").heat;
    assert_eq!((heat.bed_waited, heat.bed_first_layer), (Celsius(80), Some(Celsius(85))));
    assert!(heat.bed_then.unwrap() >= Celsius(80));
    let heat = survey(None, "M140 S80\nG4 S60\n").heat;
    assert_eq!(heat.bed_then, None, "nobody says how strong its heater is");
}

#[test]
fn a_nozzle_goes_on_heating_while_the_head_homes() {
    // C dT/dt = P − k (T − 20 °C): 25 s of homing and a second for the way.
    let warm = |seconds: f64| 20.0 + 40.0 / 0.12 * (1.0 - (-seconds * 0.12 / 25.0).exp());
    let heat = survey(Some(HEATERS), "M104 S210\nG28\n").heat;
    let then = f64::from(heat.nozzle_then.unwrap().0);
    assert!((warm(25.0) - 1.0..warm(27.0) + 1.0).contains(&then), "{then} after {}", warm(25.0));
    assert_eq!(heat.waited_before_feed, Some(false));
    assert_eq!(survey(Some(HEATERS), "M109 S210\nG28\n").heat.nozzle_then, Some(Celsius(210)));
    assert_eq!(survey(None, "M104 S210\nG28\n").heat.nozzle_then, None);
}
