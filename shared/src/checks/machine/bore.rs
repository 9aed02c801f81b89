//! 32: made for another nozzle bore.

use super::{feed_mode, inches};
use crate::checks::geometry::{median_width_um, width_um};
use crate::checks::prelude::*;
use crate::checks::spool::diameter;
use crate::survey::Plane;
use crate::units::Micrometres;

/// Bores are made in steps of 0.05 mm and more; rounding stays below this, µm.
const SAME_BORE_UM: u32 = 20;
/// A line narrower than this share of the bore was meant for a finer nozzle, percent (common practice: 100 to 150).
const NARROW_PERCENT: u64 = 90;
/// One wider than this share was meant for a wider one, percent.
const WIDE_PERCENT: u64 = 180;
/// Lines outside these shares are none: they tear, or flood their neighbours, percent (judgement).
const TORN_PERCENT: u64 = 60;
const FLOODED_PERCENT: u64 = 250;

/// Where layers vary in height, the median bead may lie in one that is thinner or thicker than the commonest by so much,
/// percent (common practice: steps of up to a third).
const VARIED_PERCENT: u32 = 30;

pub(crate) const CHECK: Check = Check {
    number: 32,
    id: "wrong nozzle size",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "the job's bore differs from the sheet's: HOLD; else the median line, by all factors of the feed, is narrower than \
           0.9 or wider than 1.8 times the bore, w = A/h + h(1 - pi/4): LOOK; below 0.6 or above 2.5 times it: HOLD",
    source: "machine sheet; widths of 100 to 150 % of the bore: common practice",
    live: Live::Header,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

/// Widest and narrowest that the median line may be, where layers vary in height, µm.
fn varied_widths_um(input: &CheckInput<'_>) -> Option<(u64, u64)> {
    let layers = &input.survey?.layers;
    let typical = layers.typical_um?;
    let height =
        |plane: Option<Plane>| plane.and_then(|plane| u32::try_from(plane.z_um).ok()).unwrap_or(typical);
    let share = |percent: u32| typical.saturating_mul(percent) / 100;
    let thin = height(layers.thinnest).clamp(share(100 - VARIED_PERCENT), typical);
    let thick = height(layers.thickest).clamp(typical, share(100 + VARIED_PERCENT));
    let width = |layer| width_um(input, input.machine.filament_um, layer);
    Some((width(thin)?, width(thick)?))
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let fitted = input.machine.bore_um;
    let um = |um: u32| Micrometres(um.into()).into();
    if let Some(stated) = input.facts.bore_um
        && stated.value.abs_diff(fitted) > SAME_BORE_UM
    {
        findings.push(0, Level::Hold, Signal::Notice, [um(stated.value), um(fitted)]);
        return;
    }
    if inches::found(input).is_some() || feed_mode::mixed_up(input) || diameter::wrong(input) {
        return; // Rows 27, 29 and 57 say why.
    }
    if let Some(width) = median_width_um(input, input.machine.filament_um) {
        let percent = width.saturating_mul(100);
        let bore = u64::from(fitted);
        let (widest, narrowest) = varied_widths_um(input).unwrap_or((width, width));
        let narrow = widest.saturating_mul(100) < bore * NARROW_PERCENT;
        if narrow || narrowest.saturating_mul(100) > bore * WIDE_PERCENT {
            let width = u32::try_from(width).unwrap_or(u32::MAX);
            let torn = percent < bore * TORN_PERCENT || percent > bore * FLOODED_PERCENT;
            let (level, signal) =
                if torn { (Level::Hold, Signal::Notice) } else { (Level::Look, Signal::None) };
            findings.push(1, level, signal, [um(width), um(fitted)]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};
    use crate::survey::Beads;

    #[test]
    fn layers_that_vary_in_height_make_no_narrow_line() {
        let with_thinnest = |z_um: i32| {
            Bench::surveyed(|survey| {
                survey.layers.typical_um = Some(250);
                survey.layers.thinnest = Some(Plane { z_um, line: 1 });
                // 0.45 x 0.20 mm: 0.38 mm wide in layers of 0.25 mm, of which 0.9 of 0.45 mm are 0.405 mm.
                survey.beads.path_nm[Beads::band(33_849)] = 1_000_000;
            })
        };
        let levels = |z_um| {
            let mut bench = with_thinnest(z_um);
            bench.facts.bore_um = crate::checks::bench::stated(450);
            bench.machine.bore_um = 450;
            bench.levels(&CHECK)
        };
        assert_eq!(levels(250), [(LOOK, 1)]);
        assert!(levels(200).is_empty());
    }

    #[test]
    fn a_stated_bore_must_be_the_fitted_one() {
        let job = |um| Bench::with_header(|header| header.bore_um = Some(um)).levels(&CHECK);
        assert!(job(420).is_empty());
        assert_eq!(job(421), [(HOLD, 0)]);
        assert_eq!(job(600), [(HOLD, 0)]);
        assert!(job(380).is_empty());
        assert_eq!(job(379), [(HOLD, 0)]);
    }

    #[test]
    fn lines_are_held_to_the_bore_that_is_fitted() {
        let with_bead = |ppm: u32, bore_um: u32| {
            let mut bench = Bench::surveyed(|survey| {
                survey.layers.typical_um = Some(200);
                survey.beads.path_nm[Beads::band(ppm)] = 1_000_000;
            });
            bench.facts.bore_um = crate::checks::bench::stated(bore_um);
            bench.machine.bore_um = bore_um;
            bench.levels(&CHECK)
        };
        // 0.45 x 0.20 mm has 0.081416 mm²: 0.0338488 of 1.75 mm filament (worked example of the bead's geometry).
        assert!(with_bead(33_849, 400).is_empty());
        // The same line from a 0.6 mm nozzle is 0.75 of its bore, from a 0.25 mm one 1.8 of it and from 0.2 mm 2.25.
        assert_eq!(with_bead(33_849, 600), [(LOOK, 1)]);
        assert_eq!(with_bead(33_849, 200), [(LOOK, 1)]);
        // 0.264 mm² at 0.2 mm are 1.36 mm wide.
        assert_eq!(with_bead(110_000, 400), [(HOLD, 1)]);
    }
}
