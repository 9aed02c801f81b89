//! The first layer's beads as a picture.

use crate::motion::{Arc, hypot2};

use super::values::{FOOTPRINT_CELLS, Footprint};
use crate::units::signed_mul_div;

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

    /// A straight bead.
    pub(super) fn line(&self, from: [i64; 2], to: [i64; 2], rows: &mut Rows) {
        let ([mut x, mut y], end) = (self.cell(from), self.cell(to));
        let [x1, y1] = end;
        // Bresenham 1965.
        let (dx, dy) = ((x1 - x).abs(), -(y1 - y).abs());
        let (sx, sy) = ((x1 - x).signum(), (y1 - y).signum());
        let mut error = dx + dy;
        for _ in 0..MOST_CELLS * 4 {
            set(rows, x, y);
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
    pub(super) fn arc(&self, arc: &Arc, rows: &mut Rows) {
        let [cx, cy] = arc.centre;
        let at = |[x, y]: [i64; 2]| [cx.saturating_add(x), cy.saturating_add(y)];
        // By quarters: corner points at the directions it passes, in the order of travel.
        let r = arc.radius_nm as i64;
        let axes = [[r, 0], [0, r], [-r, 0], [0, -r]];
        let first = crate::motion::quadrant(arc.start);
        let mut last = arc.start;
        for step in 0..4_u32 {
            let k = (if arc.counter_clockwise { first + 1 + step } else { first + 4 - step }) & 3;
            if arc.passes & (1 << k) == 0 {
                continue;
            }
            let Some(&axis) = axes.get(k as usize) else { continue };
            self.bow(arc, last, axis, 3, &at, rows);
            last = axis;
        }
        self.bow(arc, last, arc.end, 3, &at, rows);
    }

    /// Up to a quarter turn between two points, halved `depth` times.
    fn bow(
        &self,
        arc: &Arc,
        from: [i64; 2],
        to: [i64; 2],
        depth: u32,
        at: &impl Fn([i64; 2]) -> [i64; 2],
        rows: &mut Rows,
    ) {
        let ([x0, y0], [x1, y1]) = (from, to);
        let middle = [x0.saturating_add(x1), y0.saturating_add(y1)];
        let [mx, my] = middle;
        let length = hypot2(mx, my);
        if depth == 0 || length == 0 {
            self.line(at(from), at(to), rows);
            return;
        }
        let on = middle.map(|part| signed_mul_div(part, arc.radius_nm, length));
        self.bow(arc, from, on, depth - 1, at, rows);
        self.bow(arc, on, to, depth - 1, at, rows);
    }
}

/// Rows of a picture.
pub(super) type Rows = [[u8; FOOTPRINT_CELLS / 8]; FOOTPRINT_CELLS];

fn set(rows: &mut Rows, x: i32, y: i32) {
    let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y)) else { return };
    if let Some(byte) = rows.get_mut(y).and_then(|row| row.get_mut(x / 8)) {
        *byte |= 1 << (x % 8);
    }
}
