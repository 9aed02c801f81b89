//! A bead's layer: on a plane, on a ramp, or a turn of a spiral.

use crate::motion::Move;

use super::flat::um;
use super::layers::{Begins, LayerFinder};
use super::path::Path;
use super::planes::Planes;
use super::spiral::{Spiral, TurnPlace, headings};
use super::strip::Strip;
use super::values::Parts;

impl LayerFinder {
    /// A bead: filament laid while X or Y moves.
    #[inline]
    pub(super) fn bead(
        &mut self,
        step: &Move,
        path: &Path,
        line: u32,
        strip: &Strip,
        parts: &mut Parts,
    ) -> Begins {
        let [.., z0] = step.from;
        let [.., z1] = step.to;
        if self.plane_nm == Some(z1) && z0 == z1 && self.spiral.is_none() {
            return Begins::default();
        }
        self.unusual(step, path, line, strip, parts)
    }

    fn unusual(&mut self, step: &Move, path: &Path, line: u32, strip: &Strip, parts: &mut Parts) -> Begins {
        let ([.., z0], [.., z1]) = (step.from, step.to);
        let mut begins = Begins::default();
        if z1 > z0 && self.spiral.is_none() {
            self.ramp_beside(step, &mut begins, strip, parts);
        }
        if z1 > z0 || (self.spiral.is_some() && z0 == z1) {
            if self.spiral_bead(step, path, line, &mut begins, strip) {
                self.plane(step, path, line, &mut begins, strip, parts);
            }
        } else if z0 == z1 {
            self.plane(step, path, line, &mut begins, strip, parts);
        }
        // A falling bead makes no plane: it joins a layer's end to its begin.
        begins
    }

    /// A rising bead that begins below the plane being laid, beside all parts: the next part's first.
    fn ramp_beside(&mut self, step: &Move, begins: &mut Begins, strip: &Strip, parts: &mut Parts) {
        let [.., z0] = step.from;
        let z_um = um(z0);
        // Below one plane alone it tells a strip, see `plane`. A scarf seam begins within the layer being laid, wherever the layer before ended.
        let falls = z_um < self.ended_um && !self.is_plane(z_um) && self.planes.count() > 1;
        if falls && !self.over_any_part(step, parts) {
            self.close_part(strip, parts);
            begins.part = true;
            self.begin_pass(begins);
            self.plane_um = z_um;
        }
    }

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
    fn full(&mut self, spiral: &mut Spiral, place: &TurnPlace, line: u32, begins: &mut Begins) {
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
