//! 23: the head dives into the part.

use super::mid_air::THICKEST_PERCENT;
use crate::checks::prelude::*;
use crate::survey::DEPTH_BAND_NM;

/// Path below the top that is still borne, µm (judgement: a corner that a cell of the map rounds).
const BORNE_PATH_UM: u32 = 500;
/// The most that a sloping skin is granted, µm (judgement).
const MOST_SLOPE_UM: u32 = 500;

pub(crate) const CHECK: Check = Check {
    number: 23,
    id: "dives into the part",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "more than 0.5 mm of path, travel or bead, through plastic that is higher by more than the thickest layer \
           (and, of a sloping skin, by more than it rises across a cell of the height map)",
    source: "judgement of the room's lead",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let relief = &survey.relief;
    // Where there is only one layer, the bore: no layer is thicker. Where the heights vary, a seam's ramp begins the
    // thickest of them below the plane; a gap of missing layers is none.
    let bore = input.bore_um();
    let thickest = survey.layers.thickest.and_then(|plane| u32::try_from(plane.z_um).ok()).unwrap_or(0);
    let thickest = thickest.min(bore.saturating_mul(THICKEST_PERCENT) / 100);
    let layer = input.facts.layer_um.map_or(bore, |stated| stated.value.max(thickest));
    let borne = i64::from(layer.saturating_add(relief.slope_um.min(MOST_SLOPE_UM))).saturating_mul(1000);
    let deep = (0_i64..).zip(relief.below_um.iter().zip(relief.below_line));
    // A band's depths are above its number.
    let deep = deep.filter(|(band, _)| band.saturating_mul(DEPTH_BAND_NM) >= borne).map(|(_, met)| met);
    let (mut path_um, mut line) = (0_u32, u32::MAX);
    for (sum, first) in deep.filter(|(_, first)| *first > 0) {
        (path_um, line) = (path_um.saturating_add(*sum), line.min(first));
    }
    let again = survey.motion.homes_over_part;
    if again.any() && again.first_line <= line {
        return; // Row 26 says why.
    }
    if path_um > BORNE_PATH_UM {
        let percent = u64::from(line) * 100 / u64::from(survey.reading.lines.max(1));
        let percent = Value::Percent(u16::try_from(percent).unwrap_or(100).min(100));
        findings.push(0, Level::Hold, Signal::Notice, [percent, Value::Count(line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::Plane;

    /// The bench's job has 0.2 mm layers and 40,000 lines. Band 3 begins at 0.197 mm, band 4 at 0.262.
    fn with(band: usize, um: u32, slope_um: u32) -> Bench {
        Bench::surveyed(|survey| {
            let relief = &mut survey.relief;
            (relief.below_um[band], relief.below_line[band], relief.slope_um) = (um, 29_600, slope_um);
        })
    }

    #[test]
    fn one_layer_below_the_top_is_borne() {
        assert!(with(3, 100_000, 0).run(&CHECK).is_empty());
        assert_eq!(with(4, 501, 0).levels(&CHECK), [(HOLD, 0)]);
        assert!(with(4, 500, 0).run(&CHECK).is_empty());
        let found = with(15, u32::MAX, 0).run(&CHECK);
        assert_eq!(found[0].values[..2], [Value::Percent(74), Value::Count(29_600)]);
    }

    #[test]
    fn where_heights_vary_the_thickest_layer_is_borne() {
        let with_thickest = |z_um| {
            let mut bench = with(4, 5_000, 0);
            bench.survey.as_mut().expect("surveyed").layers.thickest = Some(Plane { z_um, line: 9 });
            bench.levels(&CHECK)
        };
        assert_eq!(with_thickest(262), [(HOLD, 0)]);
        assert!(with_thickest(263).is_empty());
    }

    #[test]
    fn a_sloping_skin_is_known_to_a_cell_only() {
        assert!(with(4, 5_000, 63).run(&CHECK).is_empty());
        assert_eq!(with(4, 5_000, 62).levels(&CHECK), [(HOLD, 0)]);
        // 0.2 mm and half a millimetre: band 11 begins at 0.72 mm.
        assert_eq!(with(11, 5_000, 4_000).levels(&CHECK), [(HOLD, 0)]);
    }
}
