//! 39: beads far thicker or thinner than the rest, or a part of the job under another flow factor.

use super::feed_mode;
use crate::checks::prelude::*;
use crate::survey::{Factored, Plane, Survey};
use crate::units::{mul_div, times};

/// Bounds as shares of the median bead, percent (common practice: walls that vary in width are laid from half the bore to
/// some 0.75 mm with a bore of 0.4 mm, 0.4 to 1.75 times a line of 0.45 mm).
const LEAST_PERCENT: u32 = 30;
const MOST_PERCENT: u32 = 180;
/// Share of the path that may lie outside, thousandths (judgement).
const BORNE_PERMILLE: u16 = 30;
/// Beads under a factor far from 1 may be so much thinner or thicker than the others on the mean, percent (judgement:
/// factors of 0.8 and 1.25 whose numbers make up for a part of it).
const FACTORED_PERCENT: [u64; 2] = [85, 118];

pub(crate) const CHECK: Check = Check {
    number: 39,
    id: "bead implausible",
    group: Group::Machine,
    levels: &[Level::Look],
    rule: "more than 3 % of the path above the first layer has beads below 0.3 or above 1.8 times the median one, the bounds \
           widened by the thinnest and the thickest layer; passes that smooth a top face (below 0.3 of the median, over beads \
           of the same height, lines closer than 0.7 of the bore) are left out; or more than 3 % are laid under a flow factor \
           of 0.8 or less, 1.25 or more, and are as much thinner or thicker than the rest",
    source: "common practice; 3 % and factors: judgement",
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
        findings.push(0, Level::Look, Signal::None, [Value::Percent(outside / 10)]);
    } else if let Some(factored) = factored(survey) {
        let percent = u16::try_from(factored.permille / 10).unwrap_or(u16::MAX);
        let values = [Value::Percent(percent), Value::Count(factored.line)];
        findings.push(1, Level::Look, Signal::None, values);
    }
}

/// A part of the job whose flow factor is far from 1 and makes its beads unlike the others.
fn factored(survey: &Survey) -> Option<&Factored> {
    let purge_nm = survey.purge.map_or(0, |strip| strip.path_nm);
    let beads = &survey.beads;
    let path_nm = [beads.total_nm(), beads.smoothing_nm, survey.first_layer.path_nm, purge_nm];
    let path_nm = path_nm.iter().fold(0_u64, |all, path| all.saturating_add(*path));
    let enough = |part_nm: u64| times(part_nm.into(), 1000) > times(path_nm.into(), BORNE_PERMILLE.into());
    let [least, most] = FACTORED_PERCENT;
    survey.filament.factored.iter().find(|part| {
        let rest_nm = path_nm.saturating_sub(part.path_nm);
        let rest_laid_nm = survey.filament.laid_nm.saturating_sub(part.laid_nm);
        if !enough(part.path_nm) || !enough(rest_nm) {
            return false;
        }
        // Filament a path length, each over its own: in µm, so that the products fit.
        let ours = times((part.laid_nm / 1000).into(), rest_nm / 1000);
        let others =
            |percent: u64| times((rest_laid_nm / 1000).into(), (part.path_nm / 1000).saturating_mul(percent));
        let ours = ours.saturating_mul(100);
        ours < others(least) || ours > others(most)
    })
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
    fn a_part_under_another_flow_factor() {
        // A quarter of the path, with so much filament for each of the rest's hundredths.
        let with = |permille: u32, laid_nm: u64| {
            Bench::surveyed(|survey| {
                survey.beads.path_nm[Beads::band(34_000)] = 4_000_000_000;
                survey.filament.laid_nm = 100_000_000 + laid_nm;
                survey.filament.factored[usize::from(permille > 1000)] =
                    Factored { permille, line: 900, path_nm: 1_000_000_000, laid_nm };
            })
            .levels(&CHECK)
        };
        // 100 mm over 3 m: 33.3 mm for a metre.
        assert_eq!(with(1500, 50_000_000), [(LOOK, 1)]);
        assert_eq!(with(1500, 39_400_000), [(LOOK, 1)]);
        assert!(with(1500, 39_300_000).is_empty(), "its numbers make up for it");
        assert_eq!(with(500, 28_300_000), [(LOOK, 1)]);
        assert!(with(500, 28_400_000).is_empty());
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
