//! The purge strip, told from the first layer.
//!
//! The job's first beads belong together while each begins within 3 mm of the box of those before. They are a purge
//! strip when they lie higher than the first layer, or when they are narrow, the beads of the first layer do not surround
//! them and none of the first three layers comes over their box. Otherwise they are a part of the first layer.

use crate::motion::Move;

use super::footprint::{Ink, Pen};
use super::steps::Steps;
use super::values::{Bounds, Footprint};

/// How near to its beads' box a bead begins that belongs to the strip, nm. Chosen here: more than the gap between
/// two lines of a strip, less than that to anything printed on purpose.
const TOGETHER_NM: i64 = 3_000_000;

/// A strip is narrower than this one way, nm: wider, it is a layer that a wider one follows. Chosen here: a few lines side
/// by side.
const NARROW_NM: i64 = 10_000_000;

/// Layers in which a bead over the strip's box shows that it was none.
pub(super) const WATCHED_LAYERS: u32 = 3;

/// Beads that belong together.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Group {
    pub(super) bounds: Bounds,
    pub(super) filament_nm: i64,
    pub(super) path_nm: u64,
    pub(super) line: u32,
}

impl Group {
    fn add(&mut self, step: &Move, path_nm: u64, line: u32) {
        if self.bounds.is_empty() {
            self.line = line;
        }
        add_bead(&mut self.bounds, step);
        self.filament_nm = self.filament_nm.saturating_add(step.feed_nm);
        self.path_nm = self.path_nm.saturating_add(path_nm);
    }

    fn merge(&mut self, other: &Self) {
        if other.bounds.is_empty() {
            return;
        }
        if self.bounds.is_empty() || other.line < self.line {
            self.line = other.line;
        }
        self.bounds.merge(&other.bounds);
        self.filament_nm = self.filament_nm.saturating_add(other.filament_nm);
        self.path_nm = self.path_nm.saturating_add(other.path_nm);
    }
}

/// All points of a bead that can be farthest along an axis.
#[inline]
pub(super) fn add_bead(bounds: &mut Bounds, step: &Move) {
    bounds.add(step.from);
    bounds.add(step.to);
    add_arc(bounds, step);
}

/// An arc's farthest points between its ends.
#[inline]
pub(super) fn add_arc(bounds: &mut Bounds, step: &Move) {
    if let Some(arc) = &step.arc {
        let [.., z] = step.to;
        for [x, y] in arc.extremes() {
            bounds.add([x, y, z]);
        }
    }
}

/// The first beads and the first layer.
#[derive(Clone, Debug)]
pub(super) struct Strip {
    pub(super) lead: Group,
    pub(super) first: Group,
    /// Whether the next bead may still belong to the lead.
    open: bool,
    /// Laid higher or lower than the first layer.
    other_plane: bool,
    /// A later bead came over it.
    crossed: bool,
    /// Filament of both, from which the picture's order is told.
    steps: Steps,
}

impl Default for Strip {
    fn default() -> Self {
        Self {
            lead: Group::default(),
            first: Group::default(),
            open: true,
            other_plane: false,
            crossed: false,
            steps: Default::default(),
        }
    }
}

impl Strip {
    /// The first layer begins again at another height: all before was the strip.
    pub(super) fn first_again(&mut self, picture: &mut Footprint) {
        self.lead.merge(&self.first);
        self.first = Group::default();
        self.open = false;
        self.other_plane = true;
        picture.all_is_purge();
        self.steps = Default::default();
    }

    /// A bead of the first layer, with its path and its filament, nm; gives whether it is one of the lead.
    pub(super) fn bead(
        &mut self,
        step: &Move,
        path_nm: u64,
        laid_nm: u32,
        line: u32,
        pen: &Pen,
        picture: &mut Footprint,
    ) -> bool {
        self.open = self.open && (self.lead.bounds.is_empty() || near(&self.lead.bounds, step.from));
        let group = if self.open { &mut self.lead } else { &mut self.first };
        group.add(step, path_nm, line);
        pen.draw(step, Ink::new(picture, &mut self.steps, self.open, path_nm, laid_nm));
        self.open
    }

    /// Whether the second layer's first bead shows that all before was a strip, purged lower than the first layer:
    /// nothing else was laid before, and the bead begins away from it.
    pub(super) fn is_left(&self, step: &Move) -> bool {
        self.open && is_narrow(&self.lead.bounds) && !near(&self.lead.bounds, step.from)
    }

    /// A bead behind the lead, in the layers that are watched; gives whether it shows that the lead is no strip.
    pub(super) fn watch(&mut self, step: &Move) -> bool {
        if self.crossed || self.other_plane {
            return false;
        }
        let mut bead = Bounds::default();
        add_bead(&mut bead, step);
        self.crossed = overlap(&bead, &self.lead.bounds);
        self.crossed
    }

    /// The second layer begins; gives whether that shows that the lead is no strip.
    pub(super) fn close(&mut self) -> bool {
        // Never left: it is the whole first layer.
        let whole = self.open;
        self.crossed |= whole;
        self.open = false;
        whole
    }

    /// Whether the lead is a purge strip, as far as is known.
    pub(super) fn is_strip(&self) -> bool {
        let surrounded = within(&self.lead.bounds, &self.first.bounds);
        let apart = !self.open && !self.crossed && !surrounded && !self.first.bounds.is_empty();
        !self.lead.bounds.is_empty() && (self.other_plane || apart && is_narrow(&self.lead.bounds))
    }

    /// Whether the lead is a purge strip; if not, it joins the first layer.
    pub(super) fn finish(&mut self, picture: &mut Footprint) -> bool {
        let is_strip = self.is_strip();
        picture.settle_lead(is_strip);
        if !is_strip {
            self.first.merge(&self.lead);
        }
        is_strip
    }
}

/// Axis by axis in X and Y.
fn plane_axes(a: &Bounds, b: &Bounds, holds: impl Fn([i64; 2], [i64; 2]) -> bool) -> bool {
    let a = a.min_nm.into_iter().zip(a.max_nm);
    let b = b.min_nm.into_iter().zip(b.max_nm);
    a.zip(b).take(2).all(|((a0, a1), (b0, b1))| holds([a0, a1], [b0, b1]))
}

fn overlap(a: &Bounds, b: &Bounds) -> bool {
    plane_axes(a, b, |[a0, a1], [b0, b1]| a0 <= b1 && b0 <= a1)
}

fn within(inner: &Bounds, outer: &Bounds) -> bool {
    plane_axes(inner, outer, |[a0, a1], [b0, b1]| b0 <= a0 && a1 <= b1)
}

/// Whether a strip could be so wide; nothing at all is none.
fn is_narrow(bounds: &Bounds) -> bool {
    let ([x0, y0, _], [x1, y1, _]) = (bounds.min_nm, bounds.max_nm);
    !bounds.is_empty() && (x1.wrapping_sub(x0) < NARROW_NM || y1.wrapping_sub(y0) < NARROW_NM)
}

fn near(bounds: &Bounds, point: [i64; 3]) -> bool {
    let mut place = Bounds::default();
    place.add(point);
    plane_axes(bounds, &place, |[a0, a1], [b0, b1]| {
        a0.saturating_sub(TOGETHER_NM) <= b0 && b1 <= a1.saturating_add(TOGETHER_NM)
    })
}
