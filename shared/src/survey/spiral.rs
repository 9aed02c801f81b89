//! Spirals: beads that rise while they run, without a travel between. One layer a turn.
//!
//! A turn is full where the path comes nearest to the turn's begin, heading the same way, after a full turn of its
//! heading: each turn lies on the one below. The heading alone does not tell: along the walls of a pleat or of a star it
//! swings by up to half a turn either way.

use crate::motion::{Move, quadrant};
use crate::units::{product, signed_mul_div};

use super::layers::{Begins, LayerFinder, um};
use super::path::Path;
use super::planes::Planes;
use super::strip::Strip;

/// How near to its begin a turn comes when it is full, µm. Chosen here: more than one turn of a printable wall can lie
/// beside the one below, less than the way to the next pleat.
const NEAR_UM: i64 = 800;

/// Where a turn may be full.
#[derive(Clone, Copy, Debug)]
struct Place {
    /// Square of the distance from the turn's begin, µm².
    distance: i64,
    point: [i64; 2],
    z: i64,
    heading: [i64; 2],
    quarters: i32,
}

/// A spiral under way.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Spiral {
    /// Begin of the turn: place, height, heading.
    begin: [i64; 2],
    begin_z: i64,
    start: [i64; 2],
    /// Quarter turns of the heading since then, counter-clockwise positive.
    quarters: i32,
    heading: [i64; 2],
    /// The nearest place so far at which the turn may be full.
    full: Option<Place>,
    /// Whether the turn counts as a layer already.
    counts: bool,
    /// Turns that were full, and the last one's rise, nm.
    turns: u32,
    rise: i64,
    /// Whether its first turn lies beside what is done: that one's height is no layer's.
    beside: bool,
    /// Level stretch at its end: Z, quarter turns at its begin, length.
    level_z: i64,
    level_from: i32,
    level_nm: u64,
    /// Rising path of the turn, and of the one before.
    rising_nm: u64,
    risen_nm: u64,
}

impl LayerFinder {
    /// A bead of a spiral: rising, or level behind a rising one. Gives whether it turns out to be none: a bead on a plane.
    pub(super) fn spiral_bead(
        &mut self,
        step: &Move,
        path: &Path,
        line: u32,
        begins: &mut Begins,
        strip: &Strip,
    ) -> bool {
        let ([x0, y0, z0], [.., z1]) = (step.from, step.to);
        let (enter, exit) = headings(step);
        let mut spiral = match self.spiral.take() {
            Some(mut spiral) => {
                spiral.turn_to(enter);
                if let Some(place) = spiral.is_full(step, enter) {
                    self.full(&mut spiral, &place, line, begins);
                }
                spiral
            }
            None => {
                let mut spiral = Spiral {
                    begin: [x0, y0],
                    begin_z: z0,
                    start: enter,
                    heading: enter,
                    level_z: z0,
                    ..Spiral::default()
                };
                if begins.part || self.passes == 0 || self.is_above(z0) {
                    // A job that begins with a spiral, or a layer with a ramp: its first turn is the layer.
                    if !begins.part {
                        self.begin_pass(begins);
                    }
                    (spiral.counts, spiral.beside) = (true, begins.part);
                } else if self.passes == 1
                    && let Some([begin, heading]) = strip.short_begin()
                {
                    // Its first beads were level by rounding.
                    self.planes = Planes::default();
                    (spiral.counts, spiral.begin) = (true, begin);
                    (spiral.start, spiral.heading) = (heading, heading);
                    spiral.turn_to(enter);
                } else {
                    begins.perhaps = true;
                }
                spiral
            }
        };
        if let Some(arc) = &step.arc {
            spiral.quarters += arc.quarters();
            spiral.heading = exit;
        }
        if z0 == z1 {
            if spiral.level_z != z1 || spiral.level_nm == 0 {
                (spiral.level_z, spiral.level_from, spiral.level_nm) = (z1, spiral.quarters, 0);
            }
            spiral.level_nm = spiral.level_nm.saturating_add(path.plane_nm);
            let half = spiral.quarters.abs_diff(spiral.level_from) >= 2;
            // In pleats the heading turns by half within a few beads.
            if half && spiral.level_nm >= spiral.rising_nm.max(spiral.risen_nm) / 2 {
                // Half a turn on one plane: a layer after a ramp, no spiral.
                if spiral.counts {
                    self.close_turn(&mut spiral, z1, line);
                } else {
                    begins.as_pending = true;
                }
                return true;
            }
        } else {
            spiral.level_nm = 0;
            spiral.rising_nm = spiral.rising_nm.saturating_add(path.plane_nm);
        }
        self.plane_nm = Some(z1);
        self.spiral = Some(spiral);
        false
    }

    /// Whether a height lies above the plane being laid.
    fn is_above(&self, z: i64) -> bool {
        let z_um = um(z);
        z_um > self.plane_um && !self.is_plane(z_um)
    }

    /// Whether the bead laid last may begin a layer.
    pub(super) fn is_pending(&self) -> bool {
        self.spiral.is_some_and(|spiral| !spiral.counts)
    }

    /// Whether a spiral has turned once.
    pub(super) fn turns(&self) -> bool {
        self.spiral.is_some_and(|spiral| spiral.turns > 0)
    }

    /// Whether the turn was full within the bead laid last, unless a nearer place follows.
    pub(super) fn turn_is_full(&self) -> bool {
        self.spiral.is_some_and(|spiral| spiral.full.is_some())
    }

    /// A turn is full, at a place; the next one begins.
    fn full(&mut self, spiral: &mut Spiral, place: &Place, line: u32, begins: &mut Begins) {
        if spiral.counts || self.is_above(place.z) {
            self.count_turn(spiral, place.z, line, begins);
        }
        spiral.rise = place.z.saturating_sub(spiral.begin_z);
        spiral.turns = spiral.turns.saturating_add(1);
        (spiral.begin, spiral.begin_z, spiral.start) = (place.point, place.z, place.heading);
        spiral.quarters = spiral.quarters.saturating_sub(place.quarters);
        spiral.level_from = spiral.level_from.saturating_sub(place.quarters);
        spiral.risen_nm = core::mem::take(&mut spiral.rising_nm);
        spiral.counts = false;
        begins.perhaps = true;
    }

    /// A turn that rose is a layer.
    fn count_turn(&mut self, spiral: &mut Spiral, z: i64, line: u32, begins: &mut Begins) {
        if !spiral.counts {
            self.begin_pass(begins);
            begins.as_pending = true;
        }
        self.spiral_turns = self.spiral_turns.saturating_add(u32::from(spiral.rose()));
        self.close_turn(spiral, z, line);
    }

    /// Its plane is where it ends.
    fn close_turn(&mut self, spiral: &mut Spiral, z: i64, line: u32) {
        let z_um = um(z);
        if self.planes.count() > 0 && !core::mem::take(&mut spiral.beside) {
            self.height(z_um.saturating_sub(self.plane_um), line);
        }
        self.planes.add(z_um);
        self.plane_um = z_um;
    }

    /// A move in X, Y or Z that lays nothing. Gives whether the beads that were pending are a layer.
    #[inline]
    pub(super) fn travel(&mut self, line: u32) -> bool {
        self.spiral.is_some() && self.end_spiral(line)
    }

    #[cold]
    fn end_spiral(&mut self, line: u32) -> bool {
        let Some(mut spiral) = self.spiral.take() else { return false };
        let mut begins = Begins::default();
        let z = self.plane_nm.unwrap_or(0);
        // Half a turn more is a layer of its own.
        let half = spiral.full.is_some()
            || if spiral.turns > 0 {
                z.saturating_sub(spiral.begin_z).saturating_mul(2) >= spiral.rise
            } else {
                spiral.quarters.abs() >= 2 && spiral.rose()
            };
        if spiral.counts && !half && spiral.turns == 0 && spiral.level_nm == 0 {
            // A row of a skin that waves: its layer reaches up to here, and has no height of its own.
            self.planes.add(um(z));
            self.plane_um = self.plane_um.max(um(z));
        } else if spiral.counts || half && self.is_above(z) {
            self.count_turn(&mut spiral, z, line, &mut begins);
        } else if spiral.level_nm > spiral.rising_nm {
            // What seemed a spiral is a layer on one plane.
            let z_um = um(spiral.level_z);
            self.plane_nm = Some(spiral.level_z);
            if !self.is_plane(z_um) {
                self.height(z_um.saturating_sub(self.plane_um), line);
                self.open(z_um, &mut begins);
            }
        } else if spiral.turns > 0 {
            // Less belongs to the last one; alone it is a slope and makes no layer.
            self.planes.raise(um(z));
            self.plane_um = um(z);
        }
        begins.pass
    }
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
    fn turn_to(&mut self, heading: [i64; 2]) {
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
    const fn rose(&self) -> bool {
        self.level_nm <= self.rising_nm / 8
    }

    /// The place at which the turn was full, if it was before or at the begin of a bead that begins so.
    fn is_full(&mut self, step: &Move, enter: [i64; 2]) -> Option<Place> {
        let ([x0, y0, z0], [..]) = (step.from, step.to);
        let here = Place { distance: 0, point: [x0, y0], z: z0, heading: enter, quarters: self.quarters };
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
    fn nearest(&self, step: &Move, here: Place) -> Option<(Place, bool)> {
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
        let place = Place {
            distance,
            point: [x0.saturating_add(sx), y0.saturating_add(sy)],
            z: z0.saturating_add(share(z1.saturating_sub(z0))),
            ..here
        };
        (distance <= NEAR_UM * NEAR_UM).then_some((place, along == 0))
    }
}
