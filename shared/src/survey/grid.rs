//! The height map's cells: which one a place lies in, and which ones a line crosses.
//!
//! The map wraps around, so that no place lies outside it. Its side is the plate's longer one and a little more, so
//! that what lies just outside the plate does not meet what lies at its other edge.

/// Cells along each side, as bits.
pub(super) const SIDE_BITS: u32 = 6;
const SIDE: u32 = 1 << SIDE_BITS;
/// Cells of the map.
pub(super) const CELLS: usize = (SIDE * SIDE) as usize;

/// Cells that the plate takes of a side.
const PLATE_CELLS: i64 = 60;

/// Side of a plate that no sheet states, µm. Judgement: most room machines are smaller.
const UNSTATED_UM: i64 = 300_000;

/// Positions are reckoned in 2¹² nm: a metre has 18 bits.
const STEP_BITS: u32 = 12;

/// Samples of one line at most: twice a cell along a map's side and more.
const MOST_SAMPLES: i32 = 256;

/// A move along an axis that is reckoned with, in steps of 2¹² nm: 8 m.
const FARTHEST: i64 = 1 << 21;

/// Places to cells.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Grid {
    /// Cells a step, Q26: 64 cells are a whole turn of 32 bits.
    inverse: u32,
    pub(super) cell_um: u32,
}

impl Grid {
    /// For a plate of this size, µm.
    pub(super) fn new(bed_um: [i64; 2]) -> Self {
        let [x, y] = bed_um;
        let side = if x.max(y) > 0 { x.max(y) } else { UNSTATED_UM };
        let cell_um = (side.clamp(60_000, 4_000_000) / PLATE_CELLS) as u32;
        let steps = (cell_um * 1000) >> STEP_BITS;
        Self { inverse: (1 << (32 - SIDE_BITS)) / steps.max(1), cell_um }
    }

    /// The cell of a place in steps.
    #[inline(always)]
    fn of_steps(self, [x, y]: [u32; 2]) -> u16 {
        let [x, y] = [x, y].map(|steps| steps.wrapping_mul(self.inverse) >> (32 - SIDE_BITS));
        (y << SIDE_BITS | x) as u16
    }

    /// The cell of a place, nm.
    #[inline(always)]
    pub(super) fn cell(self, place: [i64; 2]) -> u16 {
        self.of_steps(place.map(|nm| (nm >> STEP_BITS) as u32))
    }

    /// Gives the cells of a line, two samples a cell at the least: the cell, the sample's number, and how many there
    /// are. The begin of the line is no sample of it.
    #[inline(never)]
    pub(super) fn line(self, from: [i64; 2], to: [i64; 2], each: &mut impl FnMut(u16, u32, u32)) {
        let ([x0, y0], [x1, y1]) = (from, to);
        let apart = [x1 - x0, y1 - y0].map(|nm| nm >> STEP_BITS);
        if apart.iter().any(|steps| steps.abs() > FARTHEST) {
            return;
        }
        let [dx, dy] = apart.map(|steps| steps as i32);
        let half = ((self.cell_um * 1000) >> (STEP_BITS + 1)).max(1) as i32;
        let count = (dx.abs().max(dy.abs()) / half + 1).min(MOST_SAMPLES);
        // Q8, so that the steps of a long line end where it does.
        let steps = [(dx << 8) / count, (dy << 8) / count];
        let mut at = [x0, y0].map(|nm| (nm >> STEP_BITS) as u32);
        let begin = at;
        let mut gone = [0_i32; 2];
        for number in 1..=count {
            for (((at, begin), gone), step) in at.iter_mut().zip(begin).zip(&mut gone).zip(steps) {
                *gone += step;
                *at = begin.wrapping_add((*gone >> 8) as u32);
            }
            let cell = if number == count { self.cell(to) } else { self.of_steps(at) };
            each(cell, number as u32, count as u32);
        }
    }
}

/// The eight cells round one.
pub(super) fn around(cell: u16) -> impl Iterator<Item = u16> {
    let mask = SIDE as u16 - 1;
    let (x, y) = (cell & mask, cell >> SIDE_BITS);
    let beside = [mask, 0, 1];
    beside
        .into_iter()
        .flat_map(move |dy| beside.into_iter().map(move |dx| (dx, dy)))
        .filter(|step| *step != (0, 0))
        .map(move |(dx, dy)| ((y + dy) & mask) << SIDE_BITS | ((x + dx) & mask))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    const MM: i64 = 1_000_000;

    #[test]
    fn a_plate_has_sixty_cells_and_its_surroundings_four() {
        let grid = Grid::new([240_000, 200_000]);
        assert_eq!(grid.cell_um, 4000);
        // 4 mm a cell: rows of 64.
        for (place, cell) in [([1, 1], 0), ([5, 1], 1), ([1, 5], 64), ([239, 1], 59), ([-3, 1], 63)] {
            assert_eq!(grid.cell(place.map(|mm| mm * MM)), cell, "{place:?}");
        }
        assert_eq!(Grid::new([0, 0]).cell_um, 5000);
    }

    #[test]
    fn a_line_crosses_its_cells_in_order() {
        let grid = Grid::new([240_000, 240_000]);
        let cells = |from: [i64; 2], to: [i64; 2]| {
            let mut cells = Vec::new();
            grid.line(from.map(|mm| mm * MM), to.map(|mm| mm * MM), &mut |cell, _, _| cells.push(cell));
            cells.dedup();
            cells
        };
        assert_eq!(cells([2, 2], [18, 2]), [0, 1, 2, 3, 4]);
        assert_eq!(cells([18, 2], [2, 2]), [4, 3, 2, 1, 0]);
        assert_eq!(cells([2, 2], [2, 10]), [0, 64, 128]);
        assert_eq!(cells([2, 2], [3, 2]), [0]);
        assert_eq!(cells([2, 2], [-6, 2]), [0, 63, 62]);
        // 236 mm at once: every cell of a row.
        assert_eq!(cells([2, 2], [238, 2]), (0..60).collect::<Vec<_>>());
        assert!(cells([0, 0], [100_000, 0]).is_empty());
    }

    #[test]
    fn eight_cells_are_around_one() {
        let sorted = |cell| {
            let mut cells: Vec<_> = around(cell).collect();
            cells.sort_unstable();
            cells
        };
        assert_eq!(sorted(65), [0, 1, 2, 64, 66, 128, 129, 130]);
        assert_eq!(sorted(0), [1, 63, 64, 65, 127, 4032, 4033, 4095]);
    }
}
