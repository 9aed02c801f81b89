//! 57: filament of another diameter than the machine feeds.

use crate::checks::geometry::median_width_um;
use crate::checks::machine::{feed_mode, inches};
use crate::checks::prelude::*;
use crate::units::Micrometres;

/// Diameters of one class lie within this, µm: 1.75 mm and 2.85 mm are held to 0.05 to 0.10 mm, and "3 mm" stands
/// for 2.85 mm (common practice, no standard found).
const SAME_CLASS_UM: u32 = 200;

pub(crate) const CHECK: Check = Check {
    number: 57,
    id: "wrong filament diameter",
    group: Group::Spool,
    levels: &[Level::Hold],
    rule: "the job's or the spool's diameter (M200 D before others) is more than 0.20 mm from the one the machine feeds; \
           or the median line is below 0.65 or above 2 times the bore, and with filament of the other class 0.9 to 1.5 times",
    source: "common practice, no standard: 1.75 mm and 2.85 mm (also called 3 mm), each within 0.05 to 0.10 mm",
    live: Live::Header,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

/// Diameters of the trade, µm.
const CLASSES_UM: [u32; 2] = [1750, 2850];
/// A line narrower or wider than these shares of the bore is no line of this filament, and between the others it is one of
/// the other class, percent (common practice: 100 to 150).
const NO_LINE_PERCENT: [u64; 2] = [65, 200];
const LINE_PERCENT: [u64; 2] = [90, 150];

/// The class whose numbers the job's beads have, where they are the other one's.
pub(crate) fn other_class(input: &CheckInput<'_>) -> Option<u32> {
    let survey = input.survey?;
    if survey.motion.flow_factor.any() || survey.filament.volume_um.is_some() {
        return None; // Those factors say why.
    }
    let fed = input.machine.filament_um;
    let bore = u64::from(input.machine.bore_um);
    let other = CLASSES_UM.into_iter().find(|class| class.abs_diff(fed) > SAME_CLASS_UM)?;
    let known = CLASSES_UM.into_iter().any(|class| class.abs_diff(fed) <= SAME_CLASS_UM);
    let percent = |filament_um| Some(median_width_um(input, filament_um)?.saturating_mul(100));
    let ([least, most], [narrow, wide]) = (NO_LINE_PERCENT, LINE_PERCENT);
    let (own, if_other) = (percent(fed)?, percent(other)?);
    let no_line = own < bore * least || own > bore * most;
    let line = (bore * narrow..=bore * wide).contains(&if_other);
    (known && no_line && line && !feed_mode::mixed_up(input) && inches::found(input).is_none())
        .then_some(other)
}

/// The diameter that the job is made for: a job by volume says itself what its controller is to reckon with.
fn stated(input: &CheckInput<'_>) -> Option<u32> {
    let volume = input.survey.and_then(|survey| survey.filament.volume_um);
    volume.or(input.facts.diameter_um.map(|stated| stated.value))
}

/// Whether the job is made for another diameter, by its word or by its beads.
pub(crate) fn wrong(input: &CheckInput<'_>) -> bool {
    let fed = input.machine.filament_um;
    stated(input).is_some_and(|job| job.abs_diff(fed) > SAME_CLASS_UM) || other_class(input).is_some()
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let fed = input.machine.filament_um;
    let length = |um: u32| Micrometres(um.into()).into();
    let job = stated(input);
    let spool = input.spool.and_then(|spool| spool.diameter_um);
    if job.is_none_or(|job| job.abs_diff(fed) <= SAME_CLASS_UM)
        && let Some(other) = other_class(input)
    {
        findings.push(2, Level::Hold, Signal::Notice, [length(other), length(fed)]);
    }
    for (wording, stated) in [(0, job), (1, spool)] {
        if let Some(stated) = stated.filter(|stated| stated.abs_diff(fed) > SAME_CLASS_UM) {
            findings.push(wording, Level::Hold, Signal::Notice, [length(stated), length(fed)]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    /// 0.45 × 0.20 mm has 0.081416 mm²: 0.0338488 of 1.75 mm filament and 0.0127625 of 2.85 mm.
    #[test]
    fn beads_tell_the_class_that_they_were_reckoned_for() {
        let with = |ppm, fed, bore| {
            let mut bench = Bench::surveyed(|survey| {
                survey.layers.typical_um = Some(200);
                survey.beads.path_nm[crate::survey::Beads::band(ppm)] = 1_000_000;
            });
            bench.facts.diameter_um = None;
            bench.spool = None;
            (bench.machine.filament_um, bench.machine.bore_um) = (fed, bore);
            bench.levels(&CHECK)
        };
        assert!(with(33_849, 1750, 400).is_empty());
        assert!(with(12_763, 2850, 400).is_empty());
        assert_eq!(with(12_763, 1750, 400), [(HOLD, 2)]);
        assert_eq!(with(33_849, 2850, 400), [(HOLD, 2)]);
        // A line for another nozzle is no line of the other class.
        assert!(with(33_849, 1750, 600).is_empty());
    }

    #[test]
    fn the_other_class_holds_and_a_tolerance_does_not() {
        let job = |um| Bench::with_header(|header| header.diameter_um = Some(um)).levels(&CHECK);
        assert!(job(1750).is_empty());
        assert!(job(1950).is_empty());
        assert_eq!(job(1951), [(HOLD, 0)]);
        assert!(job(1550).is_empty());
        assert_eq!(job(1549), [(HOLD, 0)]);
        assert_eq!(job(2850), [(HOLD, 0)]);
        assert!(Bench::with_header(|header| header.diameter_um = None).run(&CHECK).is_empty());
        let by_volume = |um| Bench::surveyed(|survey| survey.filament.volume_um = um).levels(&CHECK);
        assert!(by_volume(Some(1750)).is_empty());
        assert_eq!(by_volume(Some(2850)), [(HOLD, 0)]);
        let mut bench = Bench::new();
        bench.ticket().diameter_um = Some(2850);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 1)]);
    }
}
