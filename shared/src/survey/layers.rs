//! Which layer a bead belongs to: planes, with the cases that a plain rule gets wrong.
//!
//! - A strip purged higher than the first layer: what lies on one plane only before the first fall of Z is the
//!   strip, and the first layer begins at the fall.
//! - A strip purged lower: what stands apart from the second plane's first bead is the strip (see `strip`).
//! - Z-hops: only beads make planes.
//! - A spiral: beads that rise while they run, without a travel between. One layer a full turn of their heading.
//! - Parts one after the other: Z falls to where no part stands yet.

use crate::motion::{Move, quadrant};

use super::path::Path;
use super::planes::Planes;
use super::strip::{Group, Strip};
use super::values::{Bounds, Layers, Part, Parts, Plane};

/// Different layer heights that are counted to find the commonest.
const HEIGHTS: usize = 8;

/// What a bead begins.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Begins {
    /// A layer in the order of printing.
    pub(super) pass: bool,
    /// The first layer anew: what was laid before was a strip higher up.
    pub(super) first_again: bool,
    /// A part, from the second on.
    pub(super) part: bool,
}

/// A spiral under way.
#[derive(Clone, Copy, Debug, Default)]
struct Spiral {
    /// Quarter turns of the heading, counter-clockwise positive.
    quarters: i32,
    heading: u32,
    /// Heading of its first bead.
    start: [i64; 2],
    /// Quarter turns at which the next layer begins to count: half way through its turn.
    next_at: i32,
    /// Whether a turn counts already but is not closed.
    open: bool,
    /// Level stretch at its end: Z, quarter turns at its begin, length.
    level_z: i64,
    level_from: i32,
    level_nm: u64,
    /// Rising path since the last layer was counted.
    rising_nm: u64,
}

/// Layers as they come.
#[derive(Clone, Debug)]
pub(super) struct LayerFinder {
    /// Plane of the last bead, nm; `None` before the first.
    plane_nm: Option<i64>,
    plane_um: i32,
    /// Layers begun, in the order of printing.
    passes: u32,
    planes: Planes,
    spiral: Option<Spiral>,
    /// A layer was found at a travel: the next bead begins it.
    due: Begins,
    heights: [(u32, u32); HEIGHTS],
    thickest: Option<Plane>,
    thinnest: Option<Plane>,
    spiral_turns: u32,
    /// The part being printed: its box, its highest plane, its first line.
    part: Bounds,
    part_top_um: i32,
    part_line: u32,
}

impl Default for LayerFinder {
    fn default() -> Self {
        Self {
            plane_nm: None,
            plane_um: 0,
            passes: 0,
            planes: Planes::default(),
            spiral: None,
            due: Begins::default(),
            heights: [(0, 0); HEIGHTS],
            thickest: None,
            thinnest: None,
            spiral_turns: 0,
            part: Bounds::default(),
            part_top_um: 0,
            part_line: 0,
        }
    }
}

/// nm to µm, to the nearest.
pub(super) fn um(nm: i64) -> i32 {
    let rounded = nm.saturating_add(500).div_euclid(1000);
    rounded.clamp(i64::from(i32::MIN), i64::from(i32::MAX)) as i32
}

impl LayerFinder {
    /// Layers begun, in the order of printing.
    pub(super) const fn passes(&self) -> u32 {
        self.passes
    }

    /// The layer that has just begun is the first one: what lay below was a purge strip.
    #[cold]
    pub(super) fn first_is_here(&mut self) {
        self.passes = 1;
        self.planes = Planes::default();
        self.planes.add(self.plane_um);
        self.heights = [(0, 0); HEIGHTS];
        (self.thickest, self.thinnest) = (None, None);
        self.part = Bounds::default();
    }

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
        let mut begins = core::mem::take(&mut self.due);
        if z1 > z0 || (self.spiral.is_some() && z0 == z1) {
            self.spiral_bead(step, path, z0, z1, line, &mut begins);
        } else if z0 == z1 {
            self.plane(step, line, &mut begins, strip, parts);
        }
        // A falling bead makes no plane: it joins a layer's end to its begin.
        begins
    }

    /// A level bead on a plane.
    fn plane(&mut self, step: &Move, line: u32, begins: &mut Begins, strip: &Strip, parts: &mut Parts) {
        let [.., z] = step.to;
        let z_um = um(z);
        let before = self.plane_nm.replace(z);
        if before.is_some() && z_um == self.plane_um {
            return;
        }
        if before.is_some() && z_um < self.plane_um {
            if self.passes == 1 && self.planes.count() == 1 {
                // One plane only, and then lower: that was the purge strip.
                *begins = Begins { first_again: true, ..*begins };
                self.passes = 0;
                self.planes = Planes::default();
                self.part = Bounds::default();
            } else if !self.over_any_part(step, parts) {
                self.close_part(strip, parts);
                begins.part = true;
            }
        } else if before.is_some() {
            self.height(z_um.saturating_sub(self.plane_um), line);
        }
        self.open(z_um, begins);
    }

    fn open(&mut self, z_um: i32, begins: &mut Begins) {
        self.passes = self.passes.saturating_add(1);
        self.planes.add(z_um);
        self.plane_um = z_um;
        begins.pass = true;
    }

    fn height(&mut self, height_um: i32, line: u32) {
        let Ok(height) = u32::try_from(height_um) else { return };
        if self.thickest.is_none_or(|plane| height_um > plane.z_um) {
            self.thickest = Some(Plane { z_um: height_um, line });
        }
        if self.thinnest.is_none_or(|plane| height_um < plane.z_um) {
            self.thinnest = Some(Plane { z_um: height_um, line });
        }
        let slot = self.heights.iter_mut().find(|(known, count)| *count == 0 || *known == height);
        match slot {
            Some((known, count)) => {
                *known = height;
                *count = count.saturating_add(1);
            }
            // Full: the rare ones fade (Misra and Gries 1982), so that the commonest is still there at the end.
            None => self.heights.iter_mut().for_each(|(_, count)| *count -= 1),
        }
    }

    /// A bead of a spiral: rising, or level behind a rising one.
    fn spiral_bead(&mut self, step: &Move, path: &Path, z0: i64, z1: i64, line: u32, begins: &mut Begins) {
        let (enter, exit) = headings(step);
        let fresh = self.spiral.is_none();
        let mut spiral = self.spiral.take().unwrap_or_else(|| Spiral {
            heading: quadrant(enter),
            start: enter,
            next_at: 2,
            level_z: z0,
            ..Spiral::default()
        });
        if fresh && self.passes == 0 {
            // A job that begins with a spiral: its first turn is the first layer.
            self.passes = 1;
            begins.pass = true;
            (spiral.next_at, spiral.open) = (6, true);
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
            self.close_turn(z, line);
        }
        if z0 == z1 {
            if spiral.level_z != z1 || spiral.level_nm == 0 {
                (spiral.level_z, spiral.level_from, spiral.level_nm) = (z1, spiral.quarters, 0);
            }
            spiral.level_nm = spiral.level_nm.saturating_add(path.plane_nm);
            if spiral.quarters.abs_diff(spiral.level_from) >= 2 {
                // Half a turn on one plane: a layer after a ramp, no spiral.
                self.level_off(spiral, line, begins);
                return;
            }
        } else {
            spiral.level_nm = 0;
            spiral.rising_nm = spiral.rising_nm.saturating_add(path.plane_nm);
        }
        if spiral.quarters.abs() >= spiral.next_at {
            spiral.next_at += 4;
            spiral.rising_nm = 0;
            spiral.open = true;
            self.passes = self.passes.saturating_add(1);
            begins.pass = true;
        }
        self.plane_nm = Some(z1);
        self.spiral = Some(spiral);
    }

    /// A turn of a spiral is a layer; its plane is where it ends.
    fn close_turn(&mut self, z: i64, line: u32) {
        let z_um = um(z);
        if self.planes.count() > 0 {
            self.height(z_um.saturating_sub(self.plane_um), line);
        }
        self.planes.add(z_um);
        self.plane_um = z_um;
        self.spiral_turns = self.spiral_turns.saturating_add(1);
    }

    /// What seemed a spiral is a layer on one plane.
    fn level_off(&mut self, spiral: Spiral, line: u32, begins: &mut Begins) {
        self.spiral = None;
        let z = spiral.level_z;
        self.plane_nm = Some(z);
        let z_um = um(z);
        if spiral.open {
            self.close_turn(z, line);
        } else if z_um != self.plane_um {
            self.height(z_um.saturating_sub(self.plane_um), line);
            self.open(z_um, begins);
        }
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
        let Some(spiral) = self.spiral.take() else { return };
        if spiral.open {
            self.close_turn(self.plane_nm.unwrap_or(0), line);
        } else if spiral.level_nm > spiral.rising_nm {
            let mut begins = self.due;
            self.level_off(spiral, line, &mut begins);
            self.due = begins;
        } else if let Some(z) = self.plane_nm {
            // Less than half a turn more belongs to the last one.
            self.planes.raise(um(z));
            self.plane_um = um(z);
        }
    }

    /// Whether the box of the part being printed holds a point.
    #[inline]
    pub(super) const fn part_holds(&self, point: [i64; 3]) -> bool {
        self.part.contains(point)
    }

    /// Grows the part being printed.
    #[inline]
    pub(super) fn grow(&mut self, point: [i64; 3], line: u32) {
        if self.part.is_empty() {
            self.part_line = line;
            self.part_top_um = self.plane_um;
        }
        self.part_top_um = self.part_top_um.max(self.plane_um);
        self.part.add(point);
    }

    /// Takes in beads that seemed a purge strip and are none.
    #[cold]
    pub(super) fn take_in(&mut self, lead: &Group) {
        if lead.bounds.is_empty() {
            return;
        }
        if self.part.is_empty() {
            (self.part_line, self.part_top_um) = (lead.line, self.plane_um);
        }
        self.part_line = self.part_line.min(lead.line);
        self.part.merge(&lead.bounds);
    }

    fn close_part(&mut self, strip: &Strip, parts: &mut Parts) {
        // From the second part on the lead stands in the first one's box, or is a strip.
        if parts.count == 0 && !strip.is_strip() {
            self.take_in(&strip.lead);
        }
        if self.part.is_empty() {
            return;
        }
        let ([x0, y0, _], [x1, y1, _]) = (self.part.min_nm, self.part.max_nm);
        let part = Part {
            min_um: [um(x0), um(y0)],
            max_um: [um(x1), um(y1)],
            top_um: self.part_top_um,
            line: self.part_line,
        };
        self.part = Bounds::default();
        parts.count = parts.count.saturating_add(1);
        // Full: counted only.
        let _ = parts.list.push(part);
    }

    /// Whether a move to this height needs [`Self::depth`].
    #[inline]
    pub(super) fn is_low(&self, z: i64, parts: &Parts) -> bool {
        parts.count > 0 || self.plane_nm.is_some_and(|plane| z < plane)
    }

    /// How far a point lies below the top of a part whose box it is in, nm; 0 = in none.
    pub(super) fn depth(&self, point: [i64; 3], parts: &Parts) -> i64 {
        let [x, y, z] = point;
        let place = [um(x), um(y)];
        let below = |top_um: i32| i64::from(top_um) * 1000 - z;
        let own = if self.over_own(point) { below(self.part_top_um) } else { 0 };
        let done = parts.list.iter().filter(|part| inside(part, place)).map(|part| below(part.top_um));
        done.fold(own, i64::max).max(0)
    }

    fn over_own(&self, point: [i64; 3]) -> bool {
        let axes = self.part.min_nm.iter().zip(self.part.max_nm).zip(point);
        axes.take(2).all(|((min, max), value)| *min <= value && value <= max)
    }

    fn over_any_part(&self, step: &Move, parts: &Parts) -> bool {
        let [x, y, _] = step.to;
        self.over_own(step.to) || parts.list.iter().any(|part| inside(part, [um(x), um(y)]))
    }

    /// The plane of the first layer, µm.
    pub(super) const fn first_um(&self) -> Option<i32> {
        self.planes.first()
    }

    /// Ends the job.
    pub(super) fn finish(&mut self, layers: &mut Layers, strip: &Strip, parts: &mut Parts, line: u32) {
        self.travel(line);
        self.close_part(strip, parts);
        layers.count = self.planes.count();
        layers.exact = self.planes.exact();
        layers.passes = self.passes;
        layers.thickest = self.thickest;
        layers.thinnest = self.thinnest;
        layers.top_um = self.planes.top().unwrap_or(0);
        layers.spiral_turns = self.spiral_turns;
        layers.typical_um = self
            .heights
            .iter()
            .filter(|(_, count)| *count > 0)
            .max_by_key(|(_, count)| *count)
            .map(|(height, _)| *height);
    }
}

fn inside(part: &Part, place: [i32; 2]) -> bool {
    part.min_um.iter().zip(place).all(|(min, value)| value >= *min)
        && part.max_um.iter().zip(place).all(|(max, value)| value <= *max)
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

    /// Whether the turn that is open is full when the heading is this.
    fn is_full(&self, heading: [i64; 2]) -> bool {
        let needed = self.next_at - 2;
        let turned = self.quarters.abs();
        if turned != needed {
            return turned > needed;
        }
        let ([x0, y0], [x1, y1]) = (self.start.map(i128::from), heading.map(i128::from));
        let past = x0 * y1 - y0 * x1;
        if self.quarters < 0 { past <= 0 } else { past >= 0 }
    }
}
