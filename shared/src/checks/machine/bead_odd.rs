//! 39: beads far thicker or thinner than the rest.

use super::feed_mode;
use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::survey::Plane;
use crate::units::mul_div;

/// Bounds as shares of the median bead, percent (common practice: walls that vary in width are laid from half the bore to
/// some 0.75 mm with a bore of 0.4 mm, 0.4 to 1.75 times a line of 0.45 mm).
const LEAST_PERCENT: u32 = 30;
const MOST_PERCENT: u32 = 180;
/// Share of the path that may lie outside, thousandths (judgement).
const BORNE_PERMILLE: u16 = 30;

pub(crate) const CHECK: Check = Check {
    number: 39,
    id: "bead implausible",
    group: Group::Machine,
    levels: &[Level::Look],
    rule: "more than 3 % of the path above the first layer has beads below 0.3 or above 1.8 times the median one, the bounds \
           widened by the thinnest and the thickest layer; passes that smooth a top face (below 0.3 of the median, over beads \
           of the same height, lines closer than 0.7 of the bore) are left out",
    source: "common practice; 3 %: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let Some(median) = survey.beads.median_ppm() else { return };
    if feed_mode::mixed_up(input) {
        return; // Row 29 says why.
    }
    // Where layer heights vary, beads vary with them.
    let typical = survey.layers.typical_um.unwrap_or(0);
    let height =
        |plane: Option<Plane>| plane.and_then(|plane| u32::try_from(plane.z_um).ok()).unwrap_or(typical);
    let (thinnest, thickest) = (height(survey.layers.thinnest), height(survey.layers.thickest));
    let least = scaled(median, LEAST_PERCENT, thinnest.min(typical), typical);
    let most = scaled(median, MOST_PERCENT, thickest.max(typical), typical);
    let outside = survey.beads.outside_permille(least, most);
    if outside > BORNE_PERMILLE {
        findings.push(39, 0, Level::Look, Signal::None, [Value::Percent(outside / 10)]);
    }
}

/// A percentage of a ratio, times `part` of `whole`; without a whole the percentage alone.
fn scaled(ratio: u32, percent: u32, part: u32, whole: u32) -> u32 {
    let (part, whole) = if whole == 0 { (1, 1) } else { (u64::from(part), u64::from(whole)) };
    let scaled = mul_div(u64::from(ratio) * u64::from(percent), part, whole * 100);
    scaled.and_then(|scaled| u32::try_from(scaled).ok()).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};
    use crate::survey::Beads;

    #[test]
    fn three_percent_of_the_path_are_borne() {
        let with = |odd_nm| {
            Bench::surveyed(|survey| {
                survey.beads.path_nm[Beads::band(34_000)] = 1_000_000 - odd_nm;
                survey.beads.path_nm[Beads::band(100_000)] = odd_nm;
            })
            .levels(&CHECK)
        };
        assert!(with(30_000).is_empty());
        assert_eq!(with(31_000), [(LOOK, 0)]);
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
    }

    #[test]
    fn layers_that_vary_widen_the_bounds() {
        let with = |thickest_um| {
            Bench::surveyed(|survey| {
                survey.layers.typical_um = Some(100);
                survey.layers.thickest = Some(Plane { z_um: thickest_um, line: 1 });
                survey.beads.path_nm[Beads::band(17_000)] = 900_000;
                survey.beads.path_nm[Beads::band(34_000)] = 100_000;
            })
            .levels(&CHECK)
        };
        // Twice the bead is beyond 1.8 times, but not beyond 1.8 times a layer of twice the height.
        assert_eq!(with(100), [(LOOK, 0)]);
        assert!(with(200).is_empty());
    }
}
