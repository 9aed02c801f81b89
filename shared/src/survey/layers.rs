//! Which layer a bead belongs to: planes, with the cases that a plain rule gets wrong.
//!
//! - A strip purged higher than the first layer: what lies on one plane only before the first fall of Z is the
//!   strip, and the first layer begins at the fall.
//! - A strip purged lower: what stands apart from the second plane's first bead is the strip (see `strip`).
//! - Z-hops: only beads make planes.
//! - A spiral: beads that rise while they run, without a travel between. One layer a full turn of their heading.
//! - Parts one after the other: Z falls to where no part stands yet.

use crate::motion::Move;

use super::flat::um;
use super::path::Path;
use super::planes::Planes;
use super::spiral::Spiral;
use super::strip::{Strip, StripGroup};
use super::values::{Bounds, Layers, Part, Parts, Plane};

/// Planes nearer to each other than this are one, µm: a bed's unevenness put into the file, or rounding. Chosen here: less
/// than half of the thinnest layers in use.
const SAME_PLANE_UM: u32 = 15;

/// No bead is as wide as this, µm: one that would have to be, to lie between two planes, lies beside the last one. Chosen
/// here: more than the widest nozzles lay.
const TOO_WIDE_UM: u64 = 2_000;

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
    /// What may be a layer: whether it is, shows later.
    pub(super) perhaps: bool,
    /// The layer began with the last bead that perhaps began one.
    pub(super) as_pending: bool,
    /// How much higher or lower than the last bead it lies in the same layer, µm: a row of a skin that waves.
    pub(super) aside_um: u32,
}

/// Layers as they come.
#[derive(Clone, Debug)]
pub(super) struct LayerFinder {
    /// Plane of the last bead, nm; `None` before the first.
    pub(super) plane_nm: Option<i64>,
    pub(super) plane_um: i32,
    /// Plane of the layer before the one being laid: where a layer ramps up, its own is known behind the ramp only.
    pub(super) ended_um: i32,
    /// Layers begun, in the order of printing.
    pub(super) passes: u32,
    pub(super) planes: Planes,
    pub(super) spiral: Option<Spiral>,
    heights: [(u32, u32); HEIGHTS],
    thickest: Option<Plane>,
    thinnest: Option<Plane>,
    pub(super) spiral_turns: u32,
    /// The part being printed: its box, its highest plane, its first line.
    part: Bounds,
    /// The same without its first layer.
    part_above: Bounds,
    part_first_um: i32,
    part_top_um: i32,
    part_line: u32,
    /// Cross-section of the filament, µm².
    filament_area_um2: u64,
}

impl Default for LayerFinder {
    fn default() -> Self {
        Self {
            plane_nm: None,
            plane_um: 0,
            ended_um: 0,
            passes: 0,
            planes: Planes::default(),
            spiral: None,
            heights: [(0, 0); HEIGHTS],
            thickest: None,
            thinnest: None,
            spiral_turns: 0,
            part: Bounds::default(),
            part_above: Bounds::default(),
            part_first_um: 0,
            part_top_um: 0,
            part_line: 0,
            filament_area_um2: 0,
        }
    }
}

impl LayerFinder {
    /// For filament of a diameter.
    pub(super) fn new(filament_um: u32) -> Self {
        // π/4 = 355/452.
        let square = u64::from(filament_um).pow(2).min(1 << 40);
        Self { filament_area_um2: square * 355 / 452, ..Self::default() }
    }

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

    /// A level bead on a plane.
    pub(super) fn plane(
        &mut self,
        step: &Move,
        path: &Path,
        line: u32,
        begins: &mut Begins,
        strip: &Strip,
        parts: &mut Parts,
    ) {
        let [.., z] = step.to;
        let z_um = um(z);
        let before = self.plane_nm.replace(z);
        if before.is_some() && self.is_plane(z_um) {
            return;
        }
        if self.lies_beside(z_um, path) {
            begins.aside_um = z_um.abs_diff(self.plane_um);
            self.plane_um = z_um;
            self.planes.raise(z_um);
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

    /// Whether a bead is too thick for the step from the last one's height: it lies beside that, a little higher or lower.
    fn lies_beside(&self, z_um: i32, path: &Path) -> bool {
        let section_um2 = (u64::from(path.ratio) * self.filament_area_um2) >> 30;
        self.planes.count() > 1 && u64::from(z_um.abs_diff(self.plane_um)) * TOO_WIDE_UM < section_um2
    }

    /// Whether a height is that of the plane being laid.
    pub(super) const fn is_plane(&self, z_um: i32) -> bool {
        z_um.abs_diff(self.plane_um) < SAME_PLANE_UM
    }

    /// A layer begins above the plane being laid, or beside it.
    pub(super) fn begin_pass(&mut self, begins: &mut Begins) {
        self.passes = self.passes.saturating_add(1);
        self.ended_um = self.plane_um;
        begins.pass = true;
    }

    pub(super) fn open(&mut self, z_um: i32, begins: &mut Begins) {
        self.begin_pass(begins);
        self.planes.add(z_um);
        self.plane_um = z_um;
    }

    pub(super) fn height(&mut self, height_um: i32, line: u32) {
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
            (self.part_first_um, self.part_top_um) = (self.plane_um, self.plane_um);
            self.part_above = Bounds::default();
        }
        self.part_top_um = self.part_top_um.max(self.plane_um);
        self.part.add(point);
        if self.plane_um > self.part_first_um {
            self.part_above.add(point);
        }
    }

    /// Takes in the beads that could have been a purge strip and are none.
    #[cold]
    pub(super) fn take_in(&mut self, strip: &Strip) {
        strip.works().for_each(|group| self.take_in_group(group));
    }

    fn take_in_group(&mut self, group: &StripGroup) {
        if group.bounds.is_empty() {
            return;
        }
        if self.part.is_empty() {
            (self.part_line, self.part_top_um) = (group.line, self.plane_um);
            (self.part_above, self.part_first_um) = (Bounds::default(), self.plane_um);
        }
        self.part_line = self.part_line.min(group.line);
        self.part.merge(&group.bounds);
    }

    pub(super) fn close_part(&mut self, strip: &Strip, parts: &mut Parts) {
        // From the second part on they are in the first one's box, or are a strip.
        if parts.count == 0 {
            self.take_in(strip);
        }
        if self.part.is_empty() {
            return;
        }
        let ([x0, y0, _], [x1, y1, _]) = (self.part.min_nm, self.part.max_nm);
        // One layer alone is all there is to strike.
        let above = if self.part_above.is_empty() { &self.part } else { &self.part_above };
        let ([a0, b0, _], [a1, b1, _]) = (above.min_nm, above.max_nm);
        let part = Part {
            min_um: [um(x0), um(y0)],
            max_um: [um(x1), um(y1)],
            low_min_um: [um(a0 - x0), um(b0 - y0)],
            low_max_um: [um(x1 - a1), um(y1 - b1)],
            top_um: self.part_top_um,
            line: self.part_line,
        };
        self.part = Bounds::default();
        parts.count = parts.count.saturating_add(1);
        // Full: counted only.
        let _ = parts.list.push(part);
    }

    fn over_own(&self, point: [i64; 3]) -> bool {
        let axes = self.part.min_nm.iter().zip(self.part.max_nm).zip(point);
        axes.take(2).all(|((min, max), value)| *min <= value && value <= max)
    }

    pub(super) fn over_any_part(&self, step: &Move, parts: &Parts) -> bool {
        let [x, y, _] = step.to;
        self.over_own(step.to) || parts.list.iter().any(|part| inside(part, [um(x), um(y)]))
    }

    /// The plane of the first layer, µm.
    pub(super) const fn first_um(&self) -> Option<i32> {
        self.planes.first()
    }

    /// Ends the job, after the last bead's [`travel`](Self::travel).
    pub(super) fn finish(&mut self, layers: &mut Layers, strip: &Strip, parts: &mut Parts) {
        self.close_part(strip, parts);
        layers.count = self.planes.count();
        layers.exact = self.planes.exact();
        layers.passes = self.passes;
        layers.thickest = self.thickest;
        layers.thinnest = self.thinnest;
        layers.top_um = self.planes.top().unwrap_or(0);
        layers.spiral_turns = self.spiral_turns;
        let commonest = self.heights.iter().max_by_key(|(_, count)| *count).filter(|(_, count)| *count > 0);
        layers.typical_um = commonest.map(|(height, _)| *height);
        layers.typical_count = commonest.map_or(0, |(_, count)| *count);
    }
}

fn inside(part: &Part, place: [i32; 2]) -> bool {
    part.min_um.iter().zip(place).all(|(min, value)| value >= *min)
        && part.max_um.iter().zip(place).all(|(max, value)| value <= *max)
}
