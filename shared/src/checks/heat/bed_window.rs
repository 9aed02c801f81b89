//! 49: the bed target does not suit the grade.

use super::window::{bed_extremes, bed_window, glass_transition, judged_symbol};
use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::units::Celsius;

/// Colder than the window by more than this lets go (judgement).
const COLD_K: i32 = 10;
/// Hotter than the glass transition by more than this sags (judgement; adhesion rises just above it: Spoerk et al.,
/// Plastics, Rubber and Composites 47 (2018) 17-24).
const OVER_TG_K: i32 = 15;
/// A window that begins at or below this begins at room temperature: an unheated bed is within it.
const ROOM: Celsius = Celsius(30);

pub(crate) const CHECK: Check = Check {
    number: 49,
    id: "bed wrong for grade",
    group: Group::Heat,
    levels: &[Level::Look],
    rule: "more than 10 K below the bed window, or above it and more than 15 K above the glass transition",
    source: "windows: spool ticket, else common practice by base; glass transition: handbook; steps: judgement",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(window) = bed_window(input) else { return };
    let Some((lowest, highest)) = bed_extremes(input) else { return };
    let symbol = || Value::text(judged_symbol(input));
    // The bed may be lowered once the part holds: the highest of its targets is the one it starts with.
    let start = input.facts.bed_first_c.map_or(highest, |stated| stated.value).max(lowest);
    if window.least > ROOM && i32::from(window.least.0) - i32::from(start.0) > COLD_K {
        findings.push(49, 0, Level::Look, Signal::None, [start.into(), symbol(), window.least.into()]);
    }
    let Some(glass) = glass_transition(input) else { return };
    if highest > window.most && i32::from(highest.0) - i32::from(glass.0) > OVER_TG_K {
        findings.push(49, 1, Level::Look, Signal::None, [highest.into(), symbol(), window.most.into()]);
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
