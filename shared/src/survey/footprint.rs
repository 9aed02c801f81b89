//! The first layer's beads as a picture.

use crate::motion::{Arc, Move, hypot2};

use super::chords::chords;
use super::steps::Steps;
use super::values::{FOOTPRINT_CELLS, FOOTPRINT_STEPS, Footprint};
use crate::units::mul_div;

/// Cells of one bead that are drawn at most; twice around the picture.
const MOST_CELLS: u32 = 512;

/// Draws beads on the plate.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Pen {
    cell_nm: i64,
    origin_nm: [i64; 2],
}

impl Pen {
    /// A plate of a size in µm, with X0 Y0 at its corner or its centre; sets the picture's scale.
    pub(super) fn new(bed_um: [i64; 2], origin_centre: bool, picture: &mut Footprint) -> Self {
        let [x, y] = bed_um.map(|side| side.clamp(1_000, 4_000_000));
        let cells = FOOTPRINT_CELLS as i64;
        let cell_um = (x.max(y) + cells - 1) / cells;
        let origin_um = if origin_centre { [-x / 2, -y / 2] } else { [0, 0] };
        picture.cell_um = cell_um as u32;
        picture.origin_um = origin_um.map(|side| side as i32);
        Self { cell_nm: cell_um * 1000, origin_nm: origin_um.map(|side| side * 1000) }
    }

    fn cell(&self, point: [i64; 2]) -> [i32; 2] {
        let ([x, y], [x0, y0]) = (point, self.origin_nm);
        [self.along(x, x0), self.along(y, y0)]
    }

    fn along(&self, value: i64, origin: i64) -> i32 {
        let from = value.saturating_sub(origin);
        match (u32::try_from(from), u32::try_from(self.cell_nm)) {
            // Up to 4 m, which a board divides at once.
            (Ok(from), Ok(cell @ 1..)) => (from / cell).min(1_000) as i32,
            _ => from.div_euclid(self.cell_nm.max(1)).clamp(-1_000, 1_000) as i32,
        }
    }

    /// A bead.
    pub(super) fn draw(&self, step: &Move, mut ink: Ink<'_>) {
        let ([x0, y0, _], [x1, y1, _]) = (step.from, step.to);
        match &step.arc {
            Some(arc) => self.arc(arc, &mut ink),
            None => {
                let whole = ink.laid_nm;
                self.line([x0, y0], [x1, y1], &mut ink, whole);
            }
        }
    }

    /// A straight bead; `share` is what was laid at its begin and at its end, see [`Ink`].
    fn line(&self, from: [i64; 2], to: [i64; 2], ink: &mut Ink<'_>, share: [u64; 2]) {
        let ([mut x, mut y], end) = (self.cell(from), self.cell(to));
        let [x1, y1] = end;
        // Bresenham 1965.
        let (dx, dy) = ((x1 - x).abs(), -(y1 - y).abs());
        let (sx, sy) = ((x1 - x).signum(), (y1 - y).signum());
        let mut error = dx + dy;
        let mut steps = StepsAlong::new(ink, share, dx.max(-dy));
        for _ in 0..MOST_CELLS * 4 {
            ink.set(x, y, steps.next(ink));
            if [x, y] == end {
                break;
            }
            let twice = 2 * error;
            if twice >= dy {
                error += dy;
                x += sx;
            }
            if twice <= dx {
                error += dx;
                y += sy;
            }
        }
    }

    /// A bead along an arc, as a chain of chords that leave it by less than a cell.
    fn arc(&self, arc: &Arc, ink: &mut Ink<'_>) {
        chords(arc, &mut |from, to| {
            let ([x0, y0], [x1, y1]) = (from, to);
            let share = ink.chord(hypot2(x1.saturating_sub(x0), y1.saturating_sub(y0)));
            self.line(from, to, ink, share);
        });
    }
}

/// What one bead is drawn with: into which picture, and when it is laid, in filament of lead and first layer, nm.
pub(super) struct Ink<'a> {
    picture: &'a mut Footprint,
    steps: Steps,
    /// A bead of what may be the purge strip.
    lead: bool,
    /// Laid before the bead, and with it.
    laid_nm: [u64; 2],
    /// The bead's path: so far, and in all, nm.
    path_nm: [u64; 2],
}

impl<'a> Ink<'a> {
    /// For a bead of `path_nm` with `laid_nm` of filament.
    pub(super) fn new(
        picture: &'a mut Footprint,
        steps: &mut Steps,
        lead: bool,
        path_nm: u64,
        laid_nm: u32,
    ) -> Self {
        let laid_nm = steps.bead(laid_nm, || picture.halve());
        Self { picture, steps: *steps, lead, laid_nm, path_nm: [0, path_nm] }
    }

    /// The next chord's part of the bead's filament, from its begin to its end.
    fn chord(&mut self, length_nm: u64) -> [u64; 2] {
        let ([from, to], [gone, path]) = (self.laid_nm, self.path_nm);
        let end = gone.saturating_add(length_nm).min(path);
        let at = |along: u64| from.saturating_add(mul_div(to - from, along, path.max(1)).unwrap_or(0));
        let share = [at(gone), at(end)];
        self.path_nm = [end, path];
        share
    }

    fn set(&mut self, x: i32, y: i32, step: u8) {
        let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y)) else { return };
        if self.lead { self.picture.lead(x, y, step) } else { self.picture.lay(x, y, step) }
    }
}

/// The steps of a line's cells, one after the other: its filament is laid evenly along them.
struct StepsAlong {
    from_nm: u64,
    /// Filament a cell; `None` = all of it falls into one step.
    cell_nm: Option<u64>,
    /// From 1.
    step: u8,
}

impl StepsAlong {
    fn new(ink: &Ink<'_>, [from_nm, to_nm]: [u64; 2], farthest: i32) -> Self {
        let (first, last) = (ink.steps.index(from_nm), ink.steps.index(to_nm.saturating_sub(1)));
        let cells = u64::try_from(farthest).unwrap_or(0).saturating_add(1);
        let cell_nm = (first < last).then(|| to_nm.saturating_sub(from_nm) / cells);
        Self { from_nm, cell_nm, step: number(first) }
    }

    fn next(&mut self, ink: &Ink<'_>) -> u8 {
        if let Some(cell_nm) = self.cell_nm {
            self.step = number(ink.steps.index(self.from_nm));
            self.from_nm = self.from_nm.saturating_add(cell_nm);
        }
        self.step
    }
}

/// A step's number, from 1.
fn number(index: u64) -> u8 {
    u8::try_from(index.saturating_add(1)).unwrap_or(FOOTPRINT_STEPS).min(FOOTPRINT_STEPS)
}
