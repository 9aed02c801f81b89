//! Spirals: beads that rise while they run, without a travel between. One layer a turn.
//!
//! A turn is full where the path comes nearest to the turn's begin, heading the same way, after a full turn of its
//! heading: each turn lies on the one below. The heading alone does not tell: along the walls of a pleat or of a star it
//! swings by up to half a turn either way.

use crate::motion::{Move, quadrant};
use crate::units::{product, signed_mul_div};

/// How near to its begin a turn comes when it is full, µm. Chosen here: more than one turn of a printable wall can lie
/// beside the one below, less than the way to the next pleat.
const NEAR_UM: i64 = 800;

/// Where a turn may be full.
#[derive(Clone, Copy, Debug)]
pub(super) struct TurnPlace {
    /// Square of the distance from the turn's begin, µm².
    pub(super) distance: i64,
    pub(super) point: [i64; 2],
    pub(super) z: i64,
    pub(super) heading: [i64; 2],
    pub(super) quarters: i32,
}

/// A spiral under way.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Spiral {
    /// Begin of the turn: place, height, heading.
    pub(super) begin: [i64; 2],
    pub(super) begin_z: i64,
    pub(super) start: [i64; 2],
    /// Quarter turns of the heading since then, counter-clockwise positive.
    pub(super) quarters: i32,
    pub(super) heading: [i64; 2],
    /// The nearest place so far at which the turn may be full.
    pub(super) full: Option<TurnPlace>,
    /// Whether the turn counts as a layer already.
    pub(super) counts: bool,
    /// Turns that were full, and the last one's rise, nm.
    pub(super) turns: u32,
    pub(super) rise: i64,
    /// Whether its first turn lies beside what is done: that one's height is no layer's.
    pub(super) beside: bool,
    /// Level stretch at its end: Z, quarter turns at its begin, length.
    pub(super) level_z: i64,
    pub(super) level_from: i32,
    pub(super) level_nm: u64,
    /// Rising path of the turn, and of the one before.
    pub(super) rising_nm: u64,
    pub(super) risen_nm: u64,
}

/// Heading at a bead's start and at its end.
pub(super) fn headings(step: &Move) -> ([i64; 2], [i64; 2]) {
    match &step.arc {
        Some(arc) => (arc.heading(arc.start), arc.heading(arc.end)),
        None => {
            let ([x0, y0, _], [x1, y1, _]) = (step.from, step.to);
            let heading = [x1.saturating_sub(x0), y1.saturating_sub(y0)];
            (heading, heading)
        }
    }
}

/// Twice the area between two directions: positive when the second lies to the left of the first.
fn cross([x0, y0]: [i64; 2], [x1, y1]: [i64; 2]) -> i128 {
    product(x0, y1) - product(y0, x1)
}

fn dot([x0, y0]: [i64; 2], [x1, y1]: [i64; 2]) -> i128 {
    product(x0, x1) + product(y0, y1)
}

impl Spiral {
    /// The heading changes by less than half a turn.
    pub(super) fn turn_to(&mut self, heading: [i64; 2]) {
        self.quarters += match (quadrant(heading) + 4 - quadrant(self.heading)) & 3 {
            1 => 1,
            3 => -1,
            2 => match cross(self.heading, heading) {
                1.. => 2,
                0 if self.quarters >= 0 => 2,
                _ => -2,
            },
            _ => 0,
        };
        self.heading = heading;
    }

    /// Whether it rose all the way, but for what rounding makes level: else it was a ramp up to a plane.
    pub(super) const fn rose(&self) -> bool {
        self.level_nm <= self.rising_nm / 8
    }

    /// The place at which the turn was full, if it was before or at the begin of a bead that begins so.
    pub(super) fn is_full(&mut self, step: &Move, enter: [i64; 2]) -> Option<TurnPlace> {
        let ([x0, y0, z0], [..]) = (step.from, step.to);
        let here = TurnPlace { distance: 0, point: [x0, y0], z: z0, heading: enter, quarters: self.quarters };
        // Two turns of the heading: the begin was passed unseen.
        if self.quarters.abs() >= 8 {
            return Some(self.full.take().unwrap_or(here));
        }
        let nearest = self.nearest(step, here);
        match (self.full, nearest) {
            (Some(before), Some((now, _))) if now.distance < before.distance => {}
            (Some(_), _) => return self.full.take(),
            (None, Some((now, true))) => return Some(now),
            (None, None) => return None,
            (None, Some(_)) => {}
        }
        let (now, at_begin) = nearest?;
        self.full = Some(now);
        if at_begin { self.full.take() } else { None }
    }

    /// Where a bead is nearest to the turn's begin, and whether that is the bead's own begin; `None` = it is not near, or
    /// not a full turn on.
    pub(super) fn nearest(&self, step: &Move, here: TurnPlace) -> Option<(TurnPlace, bool)> {
        if !(3..=5).contains(&self.quarters.abs()) || dot(self.start, here.heading) <= 0 {
            return None;
        }
        let ([x0, y0, z0], [x1, y1, z1]) = (step.from, step.to);
        let [x, y] = self.begin;
        let um = |to: i64, from: i64| to.saturating_sub(from) / 1000;
        let reach = |a: i64, b: i64, at: i64| um(at, a.min(b)) >= -NEAR_UM && um(at, a.max(b)) <= NEAR_UM;
        if !reach(x0, x1, x) || !reach(y0, y1, y) {
            return None;
        }
        let square = |dx: i64, dy: i64| dx.saturating_mul(dx).saturating_add(dy.saturating_mul(dy));
        let (dx, dy) = (um(x1, x0), um(y1, y0));
        let (px, py) = (um(x, x0), um(y, y0));
        let length = square(dx, dy);
        // An arc counts by its begin; the next bead has its end.
        let straight = step.arc.is_none() && length > 0;
        let along = if straight { px.saturating_mul(dx).saturating_add(py.saturating_mul(dy)) } else { 0 };
        let along = along.clamp(0, length);
        let share = |whole: i64| match u64::try_from(length) {
            Ok(length @ 1..) => signed_mul_div(whole, along.unsigned_abs(), length),
            _ => 0,
        };
        let (sx, sy) = (share(x1.saturating_sub(x0)), share(y1.saturating_sub(y0)));
        let distance = square(px - sx / 1000, py - sy / 1000);
        let place = TurnPlace {
            distance,
            point: [x0.saturating_add(sx), y0.saturating_add(sy)],
            z: z0.saturating_add(share(z1.saturating_sub(z0))),
            ..here
        };
        (distance <= NEAR_UM * NEAR_UM).then_some((place, along == 0))
    }
}
