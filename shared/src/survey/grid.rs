//! The height map's cells and their quarters: which one a place lies in, and which ones a line crosses.
//!
//! The map wraps around, so that no place lies outside it. Its side is the plate's longer one and a little more, so
//! that what lies just outside the plate does not meet what lies at its other edge.

/// Cells along each side, as bits.
pub(super) const SIDE_BITS: u32 = 6;
pub(super) const SIDE: u32 = 1 << SIDE_BITS;
/// Cells of the map.
pub(super) const CELLS: usize = (SIDE * SIDE) as usize;

/// Cells that the plate takes of a side.
const PLATE_CELLS: i64 = 60;

/// Side of a plate that no sheet states, µm. Judgement: most room machines are smaller.
const UNSTATED_UM: i64 = 300_000;

/// Positions are reckoned in 2¹² nm: a metre has 18 bits.
const STEP_BITS: u32 = 12;

/// Samples of one line at most: one for each quarter along a map's side and more.
const MOST_SAMPLES: i32 = 256;

/// A move along an axis that is reckoned with, in steps of 2¹² nm: 8 m.
const FARTHEST: i64 = 1 << 21;

/// A quarter of a cell: the cell's number, and two bits for the upper and the right half.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Spot(u16);

impl Spot {
    pub(super) const fn cell(self) -> u16 {
        self.0 >> 2
    }

    /// The quarter as one bit of four.
    pub(super) const fn bit(self) -> u8 {
        1 << (self.0 & 3)
    }

    /// The three cells beside the quarter, each with its quarters that touch this one.
    pub(super) const fn beside(self) -> [(u16, u8); 3] {
        let mask = SIDE as u16 - 1;
        let (x, y) = (self.cell() & mask, self.cell() >> SIDE_BITS);
        let (to_x, columns) = if self.0 & 1 == 0 { (x + mask, RIGHT) } else { (x + 1, !RIGHT) };
        let (to_y, rows) = if self.0 & 2 == 0 { (y + mask, UPPER) } else { (y + 1, !UPPER) };
        let (to_x, to_y) = (to_x & mask, (to_y & mask) << SIDE_BITS);
        let y = y << SIDE_BITS;
        [(y | to_x, columns & ALL), (to_y | x, rows & ALL), (to_y | to_x, columns & rows & ALL)]
    }
}

/// All quarters of a cell, those in its right half, those in its upper half.
pub(super) const ALL: u8 = 0b1111;
pub(super) const RIGHT: u8 = 0b1010;
pub(super) const UPPER: u8 = 0b1100;

/// A piece of a line: its number from 1 on of so many of one length.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub(super) number: u32,
    pub(super) count: u32,
    pub(super) length_nm: u64,
}

/// A length cut into so many equal parts.
fn part_of(length_nm: u64, count: u32) -> u64 {
    // A board divides 32 bits much faster.
    let part_nm = match u32::try_from(length_nm) {
        Ok(length_nm) => length_nm.checked_div(count).map(u64::from),
        Err(_) => length_nm.checked_div(count.into()),
    };
    part_nm.unwrap_or(length_nm)
}

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

    /// The quarter of a place in steps. Both axes written out, here and below: a loop over the two costs more than its work.
    #[inline(always)]
    const fn of_steps(self, x: u32, y: u32) -> Spot {
        let x = x.wrapping_mul(self.inverse) >> (31 - SIDE_BITS);
        let y = y.wrapping_mul(self.inverse) >> (31 - SIDE_BITS);
        Spot(((y >> 1) << (SIDE_BITS + 2) | (x >> 1) << 2 | (y & 1) << 1 | x & 1) as u16)
    }

    /// The quarter of a place, nm.
    #[inline(always)]
    pub(super) const fn spot(self, [x, y]: [i64; 2]) -> Spot {
        self.of_steps((x >> STEP_BITS) as u32, (y >> STEP_BITS) as u32)
    }

    /// Gives the quarters of a line, two samples a cell at the least. The begin of the line is no sample of it.
    #[inline(never)]
    pub(super) fn line(
        self,
        from: [i64; 2],
        to: [i64; 2],
        length_nm: u64,
        each: &mut impl FnMut(Spot, Piece),
    ) {
        let ([x0, y0], [x1, y1]) = (from, to);
        let (dx, dy) = ((x1 - x0) >> STEP_BITS, (y1 - y0) >> STEP_BITS);
        if dx.abs() > FARTHEST || dy.abs() > FARTHEST {
            return;
        }
        let (dx, dy) = (dx as i32, dy as i32);
        let half = ((self.cell_um * 1000) >> (STEP_BITS + 1)).max(1) as i32;
        let longer = dx.abs().max(dy.abs());
        if longer < half {
            // Most lines of a curve: one sample, and no division.
            return each(self.spot(to), Piece { number: 1, count: 1, length_nm });
        }
        let count = (longer / half + 1).min(MOST_SAMPLES);
        // Q8, so that the steps of a long line end where it does.
        let (step_x, step_y) = ((dx << 8) / count, (dy << 8) / count);
        let (begin_x, begin_y) = ((x0 >> STEP_BITS) as u32, (y0 >> STEP_BITS) as u32);
        let (mut gone_x, mut gone_y) = (0_i32, 0_i32);
        let mut piece = Piece { number: 0, count: count as u32, length_nm: part_of(length_nm, count as u32) };
        for number in 1..=count {
            piece.number = number as u32;
            (gone_x, gone_y) = (gone_x + step_x, gone_y + step_y);
            let at = |begin: u32, gone: i32| begin.wrapping_add((gone >> 8) as u32);
            let spot = if number == count {
                self.spot(to)
            } else {
                self.of_steps(at(begin_x, gone_x), at(begin_y, gone_y))
            };
            each(spot, piece);
        }
    }
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
            assert_eq!(grid.spot(place.map(|mm| mm * MM)).cell(), cell, "{place:?}");
        }
        assert_eq!(Grid::new([0, 0]).cell_um, 5000);
    }

    #[test]
    fn a_line_crosses_its_cells_in_order() {
        let grid = Grid::new([240_000, 240_000]);
        let cells = |from: [i64; 2], to: [i64; 2]| {
            let mut cells = Vec::new();
            grid.line(from.map(|mm| mm * MM), to.map(|mm| mm * MM), 0, &mut |spot, _| {
                cells.push(spot.cell());
            });
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
    fn a_quarter_touches_those_beside_it() {
        let grid = Grid::new([240_000, 240_000]);
        let spot = |x: i64, y: i64| grid.spot([x * MM, y * MM]);
        // Cell 65 is 4 to 8 mm from both edges; its quarters are 2 mm wide.
        for (at, near) in [
            (spot(5, 5), [spot(3, 5), spot(3, 7), spot(5, 3), spot(7, 3), spot(3, 3)]),
            (spot(7, 5), [spot(9, 5), spot(9, 7), spot(7, 3), spot(5, 3), spot(9, 3)]),
            (spot(5, 7), [spot(3, 5), spot(3, 7), spot(5, 9), spot(7, 9), spot(3, 9)]),
            (spot(7, 7), [spot(9, 5), spot(9, 7), spot(5, 9), spot(7, 9), spot(9, 9)]),
        ] {
            assert_eq!(at.cell(), 65);
            let touched = at.beside().map(|(cell, bits)| (cell, bits.count_ones()));
            assert_eq!(touched.iter().map(|(_, count)| count).sum::<u32>(), 5, "{at:?}");
            for other in near {
                let found =
                    at.beside().iter().any(|(cell, bits)| *cell == other.cell() && bits & other.bit() != 0);
                assert!(found, "{at:?} {other:?}");
            }
        }
        // The map wraps around.
        assert_eq!(spot(1, 1).beside().map(|(cell, _)| cell), [63, 4032, 4095]);
    }
}
