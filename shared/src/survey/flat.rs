//! Rectangles on the plate, µm.

use crate::motion::Move;
use crate::units::thousandth;

use super::values::Bounds;

/// nm to µm, to the nearest. Out of line: a hundred bytes at each place otherwise.
#[inline(never)]
pub(super) fn um(nm: i64) -> i32 {
    if let Ok(nm) = u32::try_from(nm) {
        // Up to 4.29 m.
        return thousandth(nm.saturating_add(500)) as i32;
    }
    let rounded = nm.saturating_add(500).div_euclid(1000);
    rounded.clamp(i64::from(i32::MIN), i64::from(i32::MAX)) as i32
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

/// A rectangle; empty at first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Flat {
    min: [i32; 2],
    max: [i32; 2],
}

impl Default for Flat {
    fn default() -> Self {
        Self { min: [i32::MAX; 2], max: [i32::MIN; 2] }
    }
}

impl Flat {
    pub(super) fn at([x, y, _]: [i64; 3]) -> Self {
        let point = [um(x), um(y)];
        Self { min: point, max: point }
    }

    pub(super) fn of(bounds: &Bounds) -> Self {
        let ([x0, y0, _], [x1, y1, _]) = (bounds.min_nm, bounds.max_nm);
        Self { min: [um(x0), um(y0)], max: [um(x1), um(y1)] }
    }

    /// A cell of a picture, by its place from the origin.
    pub(super) fn cell([x0, y0]: [i32; 2], side: i32, [x, y]: [usize; 2]) -> Self {
        let at = |origin: i32, cell: usize| origin.saturating_add(side.saturating_mul(cell as i32));
        let min = [at(x0, x), at(y0, y)];
        Self { min, max: min.map(|low| low.saturating_add(side)) }
    }

    pub(super) const fn is_empty(&self) -> bool {
        let ([x0, _], [x1, _]) = (self.min, self.max);
        x0 > x1
    }

    /// Both, and what lies between.
    pub(super) fn with(&self, other: &Self) -> Self {
        let ([x0, y0], [x1, y1]) = (self.min, self.max);
        let ([a0, b0], [a1, b1]) = (other.min, other.max);
        Self { min: [x0.min(a0), y0.min(b0)], max: [x1.max(a1), y1.max(b1)] }
    }

    pub(super) fn grown(&self, by: i32) -> Self {
        Self {
            min: self.min.map(|low| low.saturating_sub(by)),
            max: self.max.map(|high| high.saturating_add(by)),
        }
    }

    pub(super) const fn overlaps(&self, other: &Self) -> bool {
        let ([x0, y0], [x1, y1]) = (self.min, self.max);
        let ([a0, b0], [a1, b1]) = (other.min, other.max);
        x0 <= a1 && a0 <= x1 && y0 <= b1 && b0 <= y1
    }

    pub(super) const fn holds(&self, other: &Self) -> bool {
        let ([x0, y0], [x1, y1]) = (self.min, self.max);
        let ([a0, b0], [a1, b1]) = (other.min, other.max);
        x0 <= a0 && a1 <= x1 && y0 <= b0 && b1 <= y1
    }

    /// Whether it is narrower than this in X or in Y.
    pub(super) const fn is_narrow(&self, than: i32) -> bool {
        let ([x0, y0], [x1, y1]) = (self.min, self.max);
        x1.saturating_sub(x0) < than || y1.saturating_sub(y0) < than
    }

    /// Whether there are rectangles to the left, to the right, before and behind.
    pub(super) fn has_on_all_sides<'a, I: Iterator<Item = &'a Self>>(&self, others: impl Fn() -> I) -> bool {
        let ([x0, y0], [x1, y1]) = (self.min, self.max);
        let any =
            |holds: &dyn Fn([i32; 2], [i32; 2]) -> bool| others().any(|other| holds(other.min, other.max));
        any(&|_, [x, _]| x < x0)
            && any(&|_, [_, y]| y < y0)
            && any(&|[x, _], _| x > x1)
            && any(&|[_, y], _| y > y1)
    }

    /// Whether a bead comes over it; `bead` is the bead's box.
    pub(super) fn meets(&self, step: &Move, bead: &Self) -> bool {
        if !self.overlaps(bead) {
            return false;
        }
        if step.arc.is_some() {
            return true;
        }
        // A line whose box overlaps misses it when all corners lie on one side of the line.
        let ([x0, y0, _], [x1, y1, _]) = (step.from.map(um), step.to.map(um));
        let (dx, dy) = (apart(x1, x0), apart(y1, y0));
        let ([left, front], [right, back]) = (self.min, self.max);
        let side = |x: i32, y: i32| {
            (dx.saturating_mul(apart(y, y0)).saturating_sub(dy.saturating_mul(apart(x, x0)))).signum()
        };
        let sides = [side(left, front), side(right, front), side(right, back), side(left, back)];
        !(sides.iter().all(|side| *side > 0) || sides.iter().all(|side| *side < 0))
    }
}

const fn apart(to: i32, from: i32) -> i64 {
    to as i64 - from as i64
}

/// A bead's box.
pub(super) fn around(step: &Move) -> Flat {
    if step.arc.is_none() {
        return Flat::at(step.from).with(&Flat::at(step.to));
    }
    let mut bounds = Bounds::default();
    add_bead(&mut bounds, step);
    Flat::of(&bounds)
}
