//! What the height map holds of each cell: how high plastic is in it, and which of its quarters have some.

use super::grid::{ALL, CELLS, Spot};

/// Heights are held in 2¹³ nm: 537 mm in 16 bits.
pub(super) const UNIT_BITS: u32 = 13;

/// Planes nearer to each other than this are one, units: 33 µm. A spiral rises by less while it crosses a cell.
const SAME_PLANE: u16 = 4;

/// A height in units, rounded down.
#[inline(always)]
pub(super) fn units(z_nm: i64) -> u16 {
    (z_nm >> UNIT_BITS).clamp(0, i64::from(u16::MAX)) as u16
}

/// How a bead lies in a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lies {
    /// It raises the cell by so many units.
    Higher(u16),
    /// On the cell's plane.
    Level,
    /// So many units below what is there.
    Deeper(u16),
}

/// The cells. A byte each says of a cell's quarters which were laid on its plane (lower half of the byte), and which on
/// the plane before, if that one is within a bead's reach (upper half).
///
/// While a part's first layer is laid everything lies on the plate, and the upper half counts how full the cell is.
#[derive(Clone, Debug)]
pub(super) struct Cells {
    heights: [u16; CELLS],
    marks: [u8; CELLS],
    pub(super) top: u16,
    /// The highest bead of the first layer being laid; `None` = that one is done.
    first: Option<u16>,
}

impl Default for Cells {
    fn default() -> Self {
        Self { heights: [0; CELLS], marks: [0; CELLS], top: 0, first: Some(0) }
    }
}

impl Cells {
    /// A bare plate.
    pub(super) fn clear(&mut self) {
        self.heights.fill(0);
        self.marks.fill(0);
        (self.top, self.first) = (0, Some(0));
    }

    /// Whether a first layer is being laid.
    pub(super) const fn is_first(&self) -> bool {
        self.first.is_some()
    }

    /// Another part's first layer begins.
    pub(super) const fn begin_first(&mut self) {
        self.first = Some(0);
    }

    pub(super) fn height(&self, cell: u16) -> u16 {
        self.heights.get(usize::from(cell)).copied().unwrap_or(0)
    }

    fn marks(&self, cell: u16) -> u8 {
        self.marks.get(usize::from(cell)).copied().unwrap_or(0)
    }

    /// The quarters that have some on the cell's plane.
    pub(super) fn laid(&self, cell: u16) -> u8 {
        self.marks(cell) & ALL
    }

    /// A bead at a height that finds support so far below.
    pub(super) fn lay(&mut self, spot: Spot, z: u16, reach: u16) -> Lies {
        let index = usize::from(spot.cell());
        let (Some(height), Some(marks)) = (self.heights.get_mut(index), self.marks.get_mut(index)) else {
            return Lies::Level;
        };
        if z > *height {
            let rise = z - *height;
            if let Some(plane) = &mut self.first {
                *plane = z.max(*plane);
            } else if rise >= SAME_PLANE {
                let below = if *height == 0 { ALL } else { *marks & ALL };
                *marks = if rise <= reach { below << 4 } else { 0 };
            }
            *marks |= spot.bit();
            *height = z;
            self.top = self.top.max(z);
            return Lies::Higher(rise);
        }
        let depth = *height - z;
        if depth < SAME_PLANE {
            *marks |= spot.bit();
        }
        if depth == 0 { Lies::Level } else { Lies::Deeper(depth) }
    }

    /// More of a bead in a cell where it lies on the plane already.
    #[inline]
    pub(super) fn touch(&mut self, spot: Spot) {
        if let Some(marks) = self.marks.get_mut(usize::from(spot.cell())) {
            *marks |= spot.bit();
        }
    }

    /// Whether a bead at this height, laid in a cell, has something beneath it: plastic, or the plate.
    pub(super) fn is_held(&self, cell: u16, z: u16, reach: u16) -> bool {
        z <= reach || self.first.is_none() && self.marks(cell) >> 4 != 0
    }

    /// Whether a quarter beside this one has plastic that a bead at this height rests on or joins.
    pub(super) fn is_held_beside(&self, spot: Spot, z: u16, reach: u16) -> bool {
        spot.beside().into_iter().any(|(cell, bits)| self.carries(cell, z, reach) & bits != 0)
    }

    /// The quarters of a cell that carry a bead at this height in the cell next to it.
    fn carries(&self, cell: u16, z: u16, reach: u16) -> u8 {
        let (height, marks) = (self.height(cell), self.marks(cell));
        let both = (marks | marks >> 4) & ALL;
        if height == 0 {
            0
        } else if height < z {
            if z - height <= reach { both } else { 0 }
        } else if height - z < SAME_PLANE {
            // Laid in this layer: what hangs in the air itself carries nothing.
            marks >> 4
        } else {
            both
        }
    }

    /// Counts a cell of the first layer so many parts fuller.
    pub(super) fn fill(&mut self, cell: u16, parts: u8) {
        let (height, first) = (self.height(cell), self.first);
        if let Some(marks) = self.marks.get_mut(usize::from(cell))
            && first.is_some_and(|plane| height <= plane)
        {
            let full = (*marks >> 4).saturating_add(parts).min(ALL);
            *marks = full << 4 | *marks & ALL;
        }
    }

    /// How full a cell is of the first layer being laid.
    pub(super) fn fullness(&self, cell: u16) -> u8 {
        let of_it = self.first.is_some_and(|plane| self.height(cell) <= plane);
        if of_it { self.marks(cell) >> 4 } else { 0 }
    }

    /// Ends a first layer, and forgets how full its cells are.
    pub(super) fn end_first(&mut self) {
        let Some(plane) = self.first.take() else { return };
        for (height, marks) in self.heights.iter().zip(&mut self.marks) {
            if *height <= plane {
                *marks &= ALL;
            }
        }
    }
}
