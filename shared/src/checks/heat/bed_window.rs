//! 49: the bed target does not suit the grade.

use super::window::{bed_extremes, bed_window, glass_transition, judged_symbol};
use crate::checks::prelude::*;
use crate::survey::{HeatStep, Heater};
use crate::units::Celsius;

/// Colder than the window by more than this lets go (judgement).
const COLD_K: i32 = 10;
/// Hotter than the glass transition by more than this sags (judgement; adhesion rises just above it: Spoerk et al.,
/// Plastics, Rubber and Composites 47 (2018) 17-24).
const OVER_TG_K: i32 = 15;
/// A window that begins at or below this begins at room temperature: an unheated bed is within it.
const ROOM: Celsius = Celsius(30);

/// A bed whose heater is not stated gains a kelvin in this time, s (common practice: 60 °C take 3 to 5 minutes, 100 °C 8 to
/// 15), and so long does a wait for the nozzle take.
const BED_S_PER_K: u32 = 5;
const NOZZLE_S: u32 = 90;
/// Room air, where both begin (common practice).
const AIR_C: i16 = 20;

pub(crate) const CHECK: Check = Check {
    number: 49,
    id: "bed wrong for grade",
    group: Group::Heat,
    levels: &[Level::Look],
    rule: "no bed heat, or off before or in the first layer, where the bed window begins above 30 °C; not waited for, and then \
           more than 10 K below the window by the sheet's heaters (5 s a kelvin where it states none); more than 10 K below \
           the window; above it and more than 15 K above the glass transition",
    source: "windows: spool ticket, else common practice by base; glass transition: handbook; steps: judgement",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

/// The lowest bed target that the moves lay the first layer at: 0 is one too. `None` = the moves were not read, or the
/// machine's own start heats.
fn first_layer(input: &CheckInput<'_>) -> Option<Celsius> {
    let heat = &input.survey?.heat;
    // Row 43 says that nobody heats at all.
    let [nozzle, ..] = heat.highest;
    let is_off = |step: &HeatStep| step.heater == Heater::Bed && step.layer <= 1 && step.target.0 <= 0;
    let by_macro =
        |lowest: Celsius| lowest.0 <= 0 && input.starts_by_macro() && !heat.steps.iter().any(is_off);
    heat.bed_lowest_first.filter(|lowest| nozzle.0 > 0 && !by_macro(*lowest))
}

/// Whether the bed is off when the first layer is laid: by the moves, else by what the job states.
fn is_off(input: &CheckInput<'_>) -> bool {
    let stated = input.facts.bed_first_c.or(input.facts.bed_c).map(|stated| stated.value);
    first_layer(input).or(stated).is_some_and(|target| target.0 <= 0)
}

/// The bed's target, where the first layer begins on a bed that was not waited for and is still cold.
fn not_waited_for(input: &CheckInput<'_>, least: Celsius) -> Option<Celsius> {
    let heat = &input.survey?.heat;
    let target = heat.bed_first_layer.filter(|target| target.0 > 0)?;
    if i32::from(target.0) - i32::from(heat.bed_waited.0) <= COLD_K || input.starts_by_macro() {
        return None;
    }
    let cold = match heat.bed_then {
        Some(then) => i32::from(least.0) - i32::from(then.0) > COLD_K,
        None => {
            let nozzle_s = if heat.waited_before_feed == Some(true) { NOZZLE_S } else { 0 };
            let kelvins = u32::try_from(target.0.saturating_sub(AIR_C)).unwrap_or(0);
            heat.bed_target_to_bead_s.saturating_add(nozzle_s) < kelvins.saturating_mul(BED_S_PER_K)
        }
    };
    cold.then_some(target)
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(window) = bed_window(input) else { return };
    let symbol = || Value::text(judged_symbol(input));
    if window.least > ROOM {
        if is_off(input) {
            findings.push(2, Level::Look, Signal::None, [symbol(), window.least.into()]);
        } else if let Some(target) = not_waited_for(input, window.least) {
            findings.push(3, Level::Look, Signal::None, [target.into(), symbol(), window.least.into()]);
        }
    }
    let Some((lowest, highest)) = bed_extremes(input) else { return };
    // The bed may be lowered once the part holds: what counts is the first layer's lowest target that is one.
    let stated = || input.facts.bed_first_c.map_or(highest, |stated| stated.value).max(lowest);
    let start = first_layer(input).filter(|target| target.0 > 0).unwrap_or_else(stated);
    if window.least > ROOM && i32::from(window.least.0) - i32::from(start.0) > COLD_K {
        findings.push(0, Level::Look, Signal::None, [start.into(), symbol(), window.least.into()]);
    }
    let Some(glass) = glass_transition(input) else { return };
    if highest > window.most && i32::from(highest.0) - i32::from(glass.0) > OVER_TG_K {
        findings.push(1, Level::Look, Signal::None, [highest.into(), symbol(), window.most.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};

    fn at(material: &str, celsius: i16, window: (i16, i16)) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::with_header(|header| {
            header.material = Some(material.try_into().unwrap());
            header.bed_c = Some(Celsius(celsius));
        })
        .spool(material);
        bench.ticket().bed_c = Some((Celsius(window.0), Celsius(window.1)));
        bench.levels(&CHECK)
    }

    #[test]
    fn ten_kelvin_below_the_window() {
        assert!(at("PETG", 60, (70, 85)).is_empty());
        assert_eq!(at("PETG", 59, (70, 85)), [(LOOK, 0)]);
        // PLA's window begins at room temperature.
        assert!(at("PLA", 5, (20, 60)).is_empty());
    }

    #[test]
    fn fifteen_kelvin_above_the_glass_transition() {
        let glass = crate::records::Base::Pla.row().glass_transition.unwrap().0;
        assert!(at("PLA", glass + 15, (20, 60)).is_empty());
        assert_eq!(at("PLA", glass + 16, (20, 60)), [(LOOK, 1)]);
        // The maker's own window wins.
        assert!(at("PLA", glass + 16, (20, glass + 16)).is_empty());
    }

    #[test]
    fn a_bed_that_is_off_is_cold() {
        assert_eq!(at("PETG", 0, (70, 85)), [(LOOK, 2)]);
        assert!(at("PLA", 0, (20, 60)).is_empty());
        let with = |first: i16, highest: i16| {
            let mut bench = Bench::surveyed(|survey| {
                survey.heat.bed_lowest_first = Some(Celsius(first));
                survey.heat.highest = [Celsius(240), Celsius(highest), Celsius(0)];
            })
            .spool("PETG");
            bench.facts.grade = crate::records::Grade::parse("PETG");
            bench.facts.bed_c = crate::checks::bench::stated(Celsius(80));
            bench.ticket().bed_c = Some((Celsius(70), Celsius(85)));
            bench
        };
        // Whatever the job states, the moves count.
        assert_eq!(with(0, 0).levels(&CHECK), [(LOOK, 2)]);
        assert_eq!(with(0, 80).levels(&CHECK), [(LOOK, 2)]);
        assert!(with(80, 80).run(&CHECK).is_empty());
        assert_eq!(with(50, 80).levels(&CHECK), [(LOOK, 0)]);
        // The machine's own start heats the bed.
        let mut bench = with(0, 0);
        let name = crate::survey::NameTally { name: "START_JOB".try_into().unwrap(), ..Default::default() };
        bench.survey.as_mut().unwrap().reading.unknown_names.push(name).unwrap();
        bench.machine.start_words.push("start_job".try_into().unwrap()).unwrap();
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn a_bed_that_nobody_waits_for_is_cold_for_a_while() {
        let with = |waited: i16, then: Option<i16>, seconds: u32| {
            let mut bench = Bench::surveyed(|survey| {
                let heat = &mut survey.heat;
                (heat.bed_first_layer, heat.bed_lowest_first) = (Some(Celsius(80)), Some(Celsius(80)));
                heat.highest = [Celsius(240), Celsius(80), Celsius(0)];
                heat.bed_waited = Celsius(waited);
                heat.bed_then = then.map(Celsius);
                (heat.bed_target_to_bead_s, heat.waited_before_feed) = (seconds, Some(true));
            })
            .spool("PETG");
            bench.facts.grade = crate::records::Grade::parse("PETG");
            bench.ticket().bed_c = Some((Celsius(70), Celsius(85)));
            bench.levels(&CHECK)
        };
        assert!(with(80, Some(80), 0).is_empty());
        assert!(with(70, Some(70), 0).is_empty(), "a little more after the wait");
        assert_eq!(with(0, Some(59), 0), [(LOOK, 3)]);
        assert!(with(0, Some(60), 0).is_empty());
        // Heaters that are not stated: 60 K take 300 s, and 90 s pass while the nozzle is waited for.
        assert_eq!(with(0, None, 209), [(LOOK, 3)]);
        assert!(with(0, None, 210).is_empty());
    }

    #[test]
    fn a_bed_that_is_lowered_later_is_fine() {
        let mut bench = Bench::with_header(|header| {
            header.material = Some("PETG".try_into().unwrap());
            header.bed_first_c = Some(Celsius(80));
            header.bed_c = Some(Celsius(50));
        })
        .spool("PETG");
        bench.ticket().bed_c = Some((Celsius(70), Celsius(85)));
        assert!(bench.run(&CHECK).is_empty());
    }
}
