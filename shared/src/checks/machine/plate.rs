//! The usable plate, and how far a box goes over its edges.

use crate::records::Machine;
use crate::survey::{Bounds, Survey};
use crate::units::Micrometres;

/// Positions are given to 0.01 mm at best: less than this over the edge is on it (job catalogue, row 18).
pub(crate) const EDGE_UM: i64 = 10;

/// A side of the plate, in the order of the wordings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PlateSide {
    Left,
    Right,
    Front,
    Back,
    /// The rim of a round plate.
    Rim,
}

impl PlateSide {
    /// The wording that names it.
    pub(crate) const fn wording(self) -> u8 {
        match self {
            Self::Left => 0,
            Self::Right => 1,
            Self::Front => 2,
            Self::Back => 3,
            Self::Rim => 4,
        }
    }
}

/// How far over which side.
pub(crate) type Over = (PlateSide, Micrometres);

/// Usable range of X and Y, µm: least and most of each.
fn range(machine: &Machine) -> [(i64, i64); 2] {
    machine.bed_um.map(|size| if machine.origin_centre { (-(size / 2), size - size / 2) } else { (0, size) })
}

/// The side over which a box goes furthest, and how far; `None` = within the plate.
pub(crate) fn over(machine: &Machine, bounds: &Bounds) -> Option<Over> {
    if bounds.is_empty() {
        return None;
    }
    let [(left, right), (front, back)] = range(machine);
    let [x0, y0, _] = bounds.min_nm.map(|nm| nm.div_euclid(1000));
    let [x1, y1, _] = bounds.max_nm.map(|nm| nm.saturating_add(999).div_euclid(1000));
    let sides = [
        (PlateSide::Left, left.saturating_sub(x0)),
        (PlateSide::Right, x1.saturating_sub(right)),
        (PlateSide::Front, front.saturating_sub(y0)),
        (PlateSide::Back, y1.saturating_sub(back)),
    ];
    furthest(sides.into_iter())
}

fn furthest(sides: impl Iterator<Item = (PlateSide, i64)>) -> Option<Over> {
    let (side, over) = sides.max_by_key(|(_, over)| *over)?;
    (over > EDGE_UM).then_some((side, Micrometres(over)))
}

/// How far a place goes over the rim of a round plate.
pub(crate) fn over_rim(machine: &Machine, farthest_nm: u64) -> Option<Over> {
    let [diameter, _] = machine.bed_um;
    let farthest = i64::try_from(farthest_nm / 1000).unwrap_or(i64::MAX);
    furthest([(PlateSide::Rim, farthest.saturating_sub(diameter / 2))].into_iter())
}

/// Where the work itself is laid: the parts' boxes with the first layer's, the purge strip left out. Where the
/// survey could not keep all parts, the box of all beads.
pub(crate) fn work(survey: &Survey) -> Bounds {
    let parts = &survey.parts;
    let all_kept = u32::try_from(parts.list.len()).is_ok_and(|kept| kept == parts.count) && parts.count > 0;
    if !all_kept {
        return survey.printed;
    }
    let nm = |um: i32| i64::from(um).saturating_mul(1000);
    let mut bounds = survey.first_layer.bounds;
    for part in &parts.list {
        let ([x0, y0], [x1, y1]) = (part.min_um, part.max_um);
        bounds.merge(&Bounds { min_nm: [nm(x0), nm(y0), 0], max_nm: [nm(x1), nm(y1), nm(part.top_um)] });
    }
    bounds
}

#[cfg(test)]
mod tests {
    use super::*;

    fn machine(origin_centre: bool) -> Machine {
        Machine { bed_um: [200_000, 100_000], origin_centre, ..Machine::default() }
    }

    fn bounds(x0: i64, x1: i64, y0: i64, y1: i64) -> Bounds {
        Bounds { min_nm: [x0 * 1000, y0 * 1000, 0], max_nm: [x1 * 1000, y1 * 1000, 0] }
    }

    #[test]
    fn each_side_to_a_hundredth() {
        let corner = machine(false);
        assert_eq!(over(&corner, &bounds(-10, 200_010, -10, 100_010)), None);
        assert_eq!(over(&corner, &bounds(-11, 0, 0, 0)), Some((PlateSide::Left, Micrometres(11))));
        assert_eq!(over(&corner, &bounds(0, 214_000, 0, 0)), Some((PlateSide::Right, Micrometres(14_000))));
        assert_eq!(over(&corner, &bounds(0, 0, -11, 0)), Some((PlateSide::Front, Micrometres(11))));
        assert_eq!(over(&corner, &bounds(0, 0, 0, 100_011)), Some((PlateSide::Back, Micrometres(11))));
        let centre = machine(true);
        assert_eq!(over(&centre, &bounds(-100_000, 100_000, -50_000, 50_000)), None);
        assert_eq!(over(&centre, &bounds(0, 100_011, 0, 0)), Some((PlateSide::Right, Micrometres(11))));
        assert_eq!(over(&centre, &Bounds::default()), None);
    }

    #[test]
    fn the_rim_of_a_round_plate() {
        let round =
            Machine { bed_um: [200_000, 200_000], round: true, origin_centre: true, ..Machine::default() };
        assert_eq!(over_rim(&round, 100_010_999), None);
        assert_eq!(over_rim(&round, 100_011_000), Some((PlateSide::Rim, Micrometres(11))));
    }
}
