//! 40: tall on a small foot.

use crate::checks::prelude::*;
use crate::survey::Foot;
use crate::units::Micrometres;

/// Height over the root of the foot's area (judgement).
const SLENDER: u64 = 5;
/// A foot below this is tiny, mm² (judgement).
const TINY_MM2: u64 = 100;
/// A tiny foot matters from this height, mm (judgement).
const TINY_FROM_MM: u64 = 20;

pub(crate) const CHECK: Check = Check {
    number: 40,
    id: "tall and thin / tiny foot",
    group: Group::Machine,
    levels: &[Level::Look],
    rule: "a piece whose height is above 5 times the root of its first layer's area (its brim counted), or with an area below \
           100 mm² and a height above 20 mm; where walls stand round an empty middle, the square that they enclose counts",
    source: "judgement of the room's lead",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let highest_um = u32::try_from(survey.layers.top_um).unwrap_or(0);
    let stands = |foot: &&Foot| {
        let (top_um, area) = (u64::from(foot.top_um.min(highest_um)), foot.stands_mm2());
        // (top / 1000)² > 25 · area, without the division's loss.
        let slender = top_um.pow(2) > SLENDER * SLENDER * area * 1_000_000;
        let tiny = area < TINY_MM2 && top_um > TINY_FROM_MM * 1000;
        area == 0 || !(slender || tiny)
    };
    if let Some(foot) = survey.relief.feet.iter().find(|foot| !stands(foot)) {
        let height = Micrometres(foot.top_um.min(highest_um).into());
        // The side of a square of that area.
        let side = (foot.stands_mm2() * 1_000_000).isqrt();
        let side = Micrometres(i64::try_from(side).unwrap_or(i64::MAX));
        findings.push(0, Level::Look, Signal::None, [height.into(), side.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};

    fn levels(area_mm2: u32, top_um: u32) -> std::vec::Vec<(Level, u8)> {
        stood(area_mm2, top_um, 0)
    }

    fn stood(area_mm2: u32, top_um: u32, side_um: u32) -> std::vec::Vec<(Level, u8)> {
        Bench::surveyed(|survey| {
            survey.layers.top_um = 200_000;
            survey.relief.feet[0] = Foot { top_um: 40_000, area_mm2: 1_600, side_um: 0 };
            survey.relief.feet[1] = Foot { top_um, area_mm2, side_um };
        })
        .levels(&CHECK)
    }

    #[test]
    fn five_times_the_foot() {
        assert!(levels(400, 100_000).is_empty());
        assert_eq!(levels(400, 100_001), [(LOOK, 0)]);
    }

    #[test]
    fn a_tiny_foot_above_twenty_millimetres() {
        assert!(levels(99, 20_000).is_empty());
        assert_eq!(levels(99, 20_001), [(LOOK, 0)]);
        assert!(levels(100, 20_001).is_empty());
    }

    #[test]
    fn walls_hold_as_wide_as_they_stand() {
        assert!(stood(70, 50_000, 10_000).is_empty());
        assert_eq!(stood(70, 50_001, 10_000), [(LOOK, 0)]);
        assert_eq!(stood(70, 20_001, 9_999), [(LOOK, 0)]);
    }
}
