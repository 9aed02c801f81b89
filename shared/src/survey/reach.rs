//! Where moves go: boxes, low travels, distance from a round plate's centre.

use crate::motion::{Axes, Move, hypot2};

use super::flat::add_arc;
use super::keep_out::crosses;
use super::measure::Measure;

/// Height of the lowest bands of travel, nm, and how many there are.
const BAND_NM: i64 = 50_000;
const BANDS: i64 = 4;

impl Measure {
    /// A move in X, Y or Z without a bead. Gives whether the beads before it that were pending are a layer.
    #[inline]
    pub(super) fn travel(&mut self, step: &Move) -> bool {
        let [.., z] = step.to;
        let begins = self.layers.travel(self.line);
        if begins && self.layers.passes() == 2 {
            self.second_layer(0, true);
        }
        self.relief.travel(step, &self.path, self.line, &mut self.survey.relief);
        if self.path.in_plane
            && step.feed_nm <= 0
            && step.wording.z_stated
            && (0..BANDS * BAND_NM).contains(&z)
        {
            let band = (z as u32 / BAND_NM as u32) as usize;
            let facts = &mut self.survey.motion;
            if let (Some(sum), Some(line)) =
                (facts.low_travel_nm.get_mut(band), facts.low_travel_line.get_mut(band))
            {
                *sum = sum.saturating_add(self.path.plane_nm);
                if *line == 0 {
                    *line = self.line;
                }
            }
        }
        self.since_bead.parked = true;
        begins
    }

    /// Where a move goes; gives whether all of it is known to lie in the part's box.
    #[inline]
    pub(super) fn reach(&mut self, step: &Move) -> bool {
        let [.., z] = step.to;
        // All points of a part were added to both boxes: a chained line's end inside it changes neither.
        let inside = self.chained && step.arc.is_none() && self.layers.part_holds(step.to);
        if !inside {
            self.survey.reached.add(step.to);
            add_arc(&mut self.survey.reached, step);
            if step.feed_nm > 0 {
                if !self.chained {
                    self.survey.printed.add(step.from);
                    self.survey.reached.add(step.from);
                }
                self.survey.printed.add(step.to);
                add_arc(&mut self.survey.printed, step);
            }
        }
        let facts = &mut self.survey.motion;
        if self.path.in_plane && step.wording.z_stated && facts.lowest_xy_z_nm.is_none_or(|lowest| z < lowest)
        {
            facts.lowest_xy_z_nm = Some(z);
            facts.lowest_xy_line = self.line;
        }
        if self.homed != Axes::XYZ && self.leads_astray(step) {
            self.survey.motion.before_homing.add(self.line);
        }
        if let Some(centre) = self.round {
            self.radius(step, centre);
        }
        if !self.keep_outs.is_empty()
            && self.homed == Axes::XYZ
            && self.keep_outs.iter().any(|place| crosses(place, step))
        {
            self.survey.motion.kept_out.add(self.line);
        }
        inside
    }

    /// Whether a move goes along an axis that was not homed.
    #[cold]
    fn leads_astray(&self, step: &Move) -> bool {
        let mut axes = [Axes::X, Axes::Y, Axes::Z].into_iter().zip(step.from.iter().zip(step.to));
        axes.any(|(axis, (from, to))| !self.homed.meets(axis) && *from != to) || step.arc.is_some()
    }

    /// Distance from a round plate's centre.
    fn radius(&mut self, step: &Move, centre: [i64; 2]) {
        let [cx, cy] = centre;
        let from_centre = |x: i64, y: i64| hypot2(x.saturating_sub(cx), y.saturating_sub(cy));
        let ([x0, y0, _], [x1, y1, _]) = (step.from, step.to);
        let mut far = from_centre(x1, y1);
        if step.feed_nm > 0 && !self.chained {
            far = far.max(from_centre(x0, y0));
        }
        if let Some(arc) = &step.arc {
            // Its farthest point, if the arc passes the direction from the plate's centre to its own.
            let [x, y] = arc.centre;
            if arc.passes_direction([x.saturating_sub(cx), y.saturating_sub(cy)]) {
                far = far.max(from_centre(x, y).saturating_add(arc.radius_nm));
            }
        }
        let facts = &mut self.survey.motion;
        facts.farthest_move_nm = facts.farthest_move_nm.max(far);
        if step.feed_nm > 0 {
            facts.farthest_bead_nm = facts.farthest_bead_nm.max(far);
        }
    }
}
