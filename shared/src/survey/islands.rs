//! Pieces that hang together: cells of the height map that touch each other, corners too.

use super::grid::{ALL, RIGHT, SIDE, SIDE_BITS, UPPER};

/// A set of the map's cells, a row each.
#[derive(Clone, Copy, Debug)]
pub(super) struct Picture([u64; SIDE as usize]);

impl Picture {
    /// The cells that are so.
    pub(super) fn of(is: impl Fn(u16) -> bool) -> Self {
        let mut picture = Self([0; SIDE as usize]);
        for (row, bits) in (0_u16..).zip(&mut picture.0) {
            for column in 0..SIDE as u16 {
                *bits |= u64::from(is(row << SIDE_BITS | column)) << column;
            }
        }
        picture
    }

    pub(super) fn holds(&self, cell: u16) -> bool {
        let row = self.0.get(usize::from(cell >> SIDE_BITS)).copied().unwrap_or(0);
        row >> (u32::from(cell) & (SIDE - 1)) & 1 != 0
    }

    /// The cells in it, in order.
    pub(super) fn cells(&self) -> impl Iterator<Item = u16> {
        (0..1 << (2 * SIDE_BITS)).filter(|cell| self.holds(*cell))
    }

    /// Takes the first piece out; `None` = nothing is left.
    pub(super) fn take_piece(&mut self) -> Option<Self> {
        let at = self.0.iter().position(|row| *row != 0)?;
        let mut piece = Self([0; SIDE as usize]);
        let first = self.0.get(at).copied().unwrap_or(0);
        if let Some(row) = piece.0.get_mut(at) {
            *row = first & first.wrapping_neg();
        }
        // It grows by what touches it until nothing is added. The map wraps around, and so do its pieces.
        while piece.grow(&self.0) {}
        for (left, taken) in self.0.iter_mut().zip(piece.0) {
            *left &= !taken;
        }
        Some(piece)
    }

    /// Takes in the cells of a map that touch it, once upwards and once downwards; gives whether there were any.
    fn grow(&mut self, map: &[u64; SIDE as usize]) -> bool {
        const COUNT: usize = SIDE as usize;
        let mut grown = false;
        for at in (0..COUNT).chain((0..COUNT).rev()) {
            let row = |number: usize| self.0.get(number % COUNT).copied().unwrap_or(0);
            let (own, near) = (row(at), row(at) | row(at + 1) | row(at + COUNT - 1));
            let touched = near | near.rotate_left(1) | near.rotate_right(1);
            let new = touched & map.get(at).copied().unwrap_or(0) | own;
            if new != own
                && let Some(place) = self.0.get_mut(at)
            {
                *place = new;
                grown = true;
            }
        }
        grown
    }

    /// Half cells that it covers: an edge goes through the middle of its cells on the mean.
    pub(super) fn area_halves(&self) -> u32 {
        const COUNT: usize = SIDE as usize;
        let row = |number: usize| self.0.get(number % COUNT).copied().unwrap_or(0);
        let halves = |at: usize| {
            let own = row(at);
            let inside = own & row(at + 1) & row(at + COUNT - 1) & own.rotate_left(1) & own.rotate_right(1);
            own.count_ones() + inside.count_ones()
        };
        (0..COUNT).map(halves).sum()
    }

    /// How many columns and rows it takes.
    pub(super) fn sides(&self) -> [u32; 2] {
        let columns = self.0.iter().fold(0, |all, row| all | row);
        let rows = self.0.iter().zip(0..).fold(0_u64, |all, (row, at)| all | u64::from(*row != 0) << at);
        [columns, rows].map(length)
    }
}

/// Where along both axes the halves of a piece's cells are laid: the columns of the left and the right halves, the rows of
/// the lower and the upper ones.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sides {
    columns: [u64; 2],
    rows: [u64; 2],
}

impl Sides {
    /// A cell with these quarters laid.
    pub(super) fn add(&mut self, cell: u16, quarters: u8) {
        let (column, row) = (u32::from(cell) & (SIDE - 1), u32::from(cell >> SIDE_BITS) & (SIDE - 1));
        let laid = |half: u8| u64::from(quarters & half != 0);
        for (all, half) in self.columns.iter_mut().zip([ALL & !RIGHT, RIGHT]) {
            *all |= laid(half) << column;
        }
        for (all, half) in self.rows.iter_mut().zip([ALL & !UPPER, UPPER]) {
            *all |= laid(half) << row;
        }
    }

    /// The narrower side of the piece, half cells.
    pub(super) fn narrower(&self) -> u32 {
        let ([left, right], [lower, upper]) = (self.columns, self.rows);
        half_cells(left, right).min(half_cells(lower, upper))
    }
}

/// The length of a piece along an axis in half cells, from the places along it where its first and its second halves
/// are laid.
fn half_cells(first: u64, second: u64) -> u32 {
    let both = first | second;
    // A piece hangs together, so that it begins and ends once.
    let (begin, end) = (both & !both.rotate_left(1), both & !both.rotate_right(1));
    2 * length(both) - u32::from(begin & !first != 0) - u32::from(end & !second != 0)
}

/// The shortest stretch of a ring of 64 that holds all bits.
fn length(bits: u64) -> u32 {
    if bits == 0 {
        return 0;
    }
    // The longest gap, found by closing gaps from both ends at once.
    let mut gap = 0;
    let mut free = !bits;
    while free != 0 {
        free &= free.rotate_left(1);
        gap += 1;
    }
    SIDE - gap
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    fn cell(x: u16, y: u16) -> u16 {
        y << SIDE_BITS | x
    }

    #[test]
    fn pieces_are_what_touches() {
        // A ring round a dot, a diagonal, and a bar across the map's edge.
        let ring = |x: u16, y: u16| {
            (10..=20).contains(&x)
                && (10..=20).contains(&y)
                && !((12..=18).contains(&x) && (12..=18).contains(&y))
        };
        let is = |at: u16| {
            let (x, y) = (at & 63, at >> 6);
            ring(x, y)
                || (x, y) == (15, 15)
                || (30..40).contains(&x) && x == y
                || y == 50 && !(3..60).contains(&x)
        };
        let mut map = Picture::of(is);
        let mut pieces = Vec::new();
        while let Some(piece) = map.take_piece() {
            pieces.push((piece.cells().count(), piece.sides()));
        }
        assert_eq!(pieces, [(121 - 49, [11, 11]), (1, [1, 1]), (10, [10, 10]), (7, [7, 1])]);
    }

    #[test]
    fn cells_at_an_edge_count_half() {
        let square = |at: u16| (10..20).contains(&(at & 63)) && (10..20).contains(&(at >> 6));
        assert_eq!(Picture::of(square).area_halves(), 100 + 64);
        let turned = |at: u16| (at & 63).abs_diff(30) + (at >> 6).abs_diff(30) <= 10;
        // A diamond of 221 cells, 40 of them at its edge.
        assert_eq!(Picture::of(turned).area_halves(), 221 + 181);
    }

    #[test]
    fn a_piece_has_half_cells_at_its_ends() {
        // Cells 10 to 14, of the first and the last one or both halves; at the map's edge too.
        let five = |first: u64, second: u64| {
            [0, 52].map(|by| half_cells(first.rotate_left(by), second.rotate_left(by)))
        };
        assert_eq!(five(0b11111 << 10, 0b11111 << 10), [10, 10]);
        assert_eq!(five(0b11110 << 10, 0b11111 << 10), [9, 9]);
        assert_eq!(five(0b11110 << 10, 0b01111 << 10), [8, 8]);
        // Halves that nothing is laid in amid a piece.
        assert_eq!(five(0b10101 << 10, 0b11011 << 10), [10, 10]);
        assert_eq!(half_cells(u64::MAX, u64::MAX), 128);
        assert_eq!(half_cells(0, 0), 0);
    }

    #[test]
    fn a_spiral_is_one_piece() {
        // Walls of a maze, one cell wide: the piece grows along all of them.
        let is = |at: u16| {
            let (x, y) = (at & 63, at >> 6);
            y < 62 && x < 62 && (y % 2 == 0 || x == if y % 4 == 1 { 61 } else { 0 })
        };
        let mut map = Picture::of(is);
        let piece = map.take_piece().expect("a piece");
        assert!(map.take_piece().is_none());
        assert!(piece.holds(cell(0, 0)) && piece.holds(cell(61, 1)) && !piece.holds(cell(5, 1)));
        assert_eq!(piece.sides(), [62, 62]);
    }
}
