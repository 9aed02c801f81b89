//! Spirals: beads that rise while they run, without a travel between. One layer a full turn of their heading.

use crate::motion::{Move, quadrant};

use super::layers::{Begins, LayerFinder, um};
use super::path::Path;
use crate::units::product;

/// A spiral under way.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Spiral {
    /// Quarter turns of the heading, counter-clockwise positive.
    quarters: i32,
    heading: u32,
    /// Heading of its first bead.
    start: [i64; 2],
    /// Quarter turns at which the next layer begins to count: half way through its turn.
    next_at: i32,
    /// Whether a turn counts already but is not closed.
    open: bool,
    /// Whether its first turn lies beside what is done: that one's height is no layer's.
    beside: bool,
    /// Level stretch at its end: Z, quarter turns at its begin, length.
    level_z: i64,
    level_from: i32,
    level_nm: u64,
    /// Rising path since the last layer was counted.
    rising_nm: u64,
}

impl LayerFinder {
    /// A bead of a spiral: rising, or level behind a rising one. Gives whether it turns out to be none: a bead on a plane.
    pub(super) fn spiral_bead(
        &mut self,
        step: &Move,
        path: &Path,
        z0: i64,
        z1: i64,
        line: u32,
        begins: &mut Begins,
    ) -> bool {
        let (enter, exit) = headings(step);
        let fresh = self.spiral.is_none();
        let mut spiral = self.spiral.take().unwrap_or_else(|| Spiral {
            heading: quadrant(enter),
            start: enter,
            next_at: 2,
            level_z: z0,
            ..Spiral::default()
        });
        if fresh && (begins.part || self.passes == 0 || self.is_above(z0)) {
            // A job that begins with a spiral, or a layer with a ramp: its first turn is the layer.
            if !begins.part {
                self.begin_pass(begins);
            }
            (spiral.next_at, spiral.open, spiral.beside) = (6, true, begins.part);
        }
        spiral.turn_to(quadrant(enter));
        // A turn that is full at a bead's begin ended there.
        let mut full = (!fresh && spiral.is_full(enter)).then_some(z0);
        if let Some(arc) = &step.arc {
            spiral.quarters += arc.quarters();
            spiral.heading = quadrant(exit);
            full = full.or(spiral.is_full(exit).then_some(z1));
        }
        if let (Some(z), true) = (full, spiral.open) {
            spiral.open = false;
            self.spiral_turns = self.spiral_turns.saturating_add(u32::from(spiral.rose()));
            self.close_turn(&mut spiral, z, line);
        }
        if z0 == z1 {
            if spiral.level_z != z1 || spiral.level_nm == 0 {
                (spiral.level_z, spiral.level_from, spiral.level_nm) = (z1, spiral.quarters, 0);
            }
            spiral.level_nm = spiral.level_nm.saturating_add(path.plane_nm);
            if spiral.quarters.abs_diff(spiral.level_from) >= 2 {
                // Half a turn on one plane: a layer after a ramp, no spiral.
                if spiral.open {
                    self.close_turn(&mut spiral, z1, line);
                }
                return true;
            }
        } else {
            spiral.level_nm = 0;
            spiral.rising_nm = spiral.rising_nm.saturating_add(path.plane_nm);
        }
        // Half way round and still on the rise, above all that was laid: on a plane, or up to one, it is no turn.
        if z1 > z0 && self.is_above(z1) && spiral.quarters.abs() >= spiral.next_at {
            spiral.next_at += 4;
            spiral.rising_nm = 0;
            spiral.open = true;
            self.begin_pass(begins);
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

    /// A turn that rose is a layer; its plane is where it ends.
    fn close_turn(&mut self, spiral: &mut Spiral, z: i64, line: u32) {
        let z_um = um(z);
        if self.planes.count() > 0 && !core::mem::take(&mut spiral.beside) {
            self.height(z_um.saturating_sub(self.plane_um), line);
        }
        self.planes.add(z_um);
        self.plane_um = z_um;
    }

    /// A move in X, Y or Z that lays nothing.
    #[inline]
    pub(super) fn travel(&mut self, line: u32) {
        if self.spiral.is_some() {
            self.end_spiral(line);
        }
    }

    #[cold]
    fn end_spiral(&mut self, line: u32) {
        let Some(mut spiral) = self.spiral.take() else { return };
        if spiral.open {
            self.spiral_turns = self.spiral_turns.saturating_add(u32::from(spiral.rose()));
            self.close_turn(&mut spiral, self.plane_nm.unwrap_or(0), line);
        } else if spiral.level_nm > spiral.rising_nm {
            // What seemed a spiral is a layer on one plane.
            let z_um = um(spiral.level_z);
            self.plane_nm = Some(spiral.level_z);
            if !self.is_plane(z_um) {
                let mut begins = self.due;
                self.height(z_um.saturating_sub(self.plane_um), line);
                self.open(z_um, &mut begins);
                self.due = begins;
            }
        } else if let (Some(z), 3..) = (self.plane_nm, spiral.next_at) {
            // Less than half a turn more belongs to the last one; alone it is a slope and makes no layer.
            self.planes.raise(um(z));
            self.plane_um = um(z);
        }
    }
}

/// Heading at a bead's start and at its end.
fn headings(step: &Move) -> ([i64; 2], [i64; 2]) {
    match &step.arc {
        Some(arc) => (arc.heading(arc.start), arc.heading(arc.end)),
        None => {
            let ([x0, y0, _], [x1, y1, _]) = (step.from, step.to);
            let heading = [x1.saturating_sub(x0), y1.saturating_sub(y0)];
            (heading, heading)
        }
    }
}

impl Spiral {
    fn turn_to(&mut self, heading: u32) {
        self.quarters += match (heading + 4 - self.heading) & 3 {
            1 => 1,
            3 => -1,
            // Half a turn at once goes on the way it went.
            2 if self.quarters < 0 => -2,
            2 => 2,
            _ => 0,
        };
        self.heading = heading;
    }

    /// Whether it rose all the way, but for what rounding makes level: else it was a ramp up to a plane.
    const fn rose(&self) -> bool {
        self.level_nm <= self.rising_nm / 8
    }

    /// Whether the turn that is open is full when the heading is this.
    fn is_full(&self, heading: [i64; 2]) -> bool {
        let needed = self.next_at - 2;
        let turned = self.quarters.abs();
        if turned != needed {
            return turned > needed;
        }
        let ([x0, y0], [x1, y1]) = (self.start, heading);
        let past = product(x0, y1) - product(y0, x1);
        if self.quarters < 0 { past <= 0 } else { past >= 0 }
    }
}
