//! What parts stand on: how much of the plate the first layer of each piece covers, and how high that piece grows.

use heapless::Vec;

use super::cells::{Cells, UNIT_BITS};
use super::islands::{Picture, Sides};
use super::values::{FEET, Foot, ReliefFacts};

/// Parts of a cell that are counted: twelve fill it, so that a first layer set a little full still fits in 15.
const PARTS: u32 = 12;

/// Pieces of first layers that are kept apart. Chosen here: more than lie on a plate in most jobs.
const PIECES: usize = 24;

/// A piece of a first layer: one of its cells, its area, mm², and the narrower side of what is laid upon it,
/// half cells.
#[derive(Clone, Copy, Debug)]
struct FootPiece {
    cell: u16,
    area_mm2: u16,
    half_cells: u8,
}

/// The first layers' pieces.
#[derive(Clone, Debug, Default)]
pub(super) struct Feet {
    pieces: Vec<FootPiece, PIECES>,
    /// More than are kept.
    too_many: bool,
    /// Area of all of them, mm².
    whole_mm2: u32,
    /// A twelfth of a cell, µm², and what was laid of the next one.
    part_um2: u32,
    begun_um2: u32,
}

impl Feet {
    pub(super) fn restart(&mut self, cell_um: u32) {
        *self = Self { part_um2: (cell_um * cell_um / PARTS).max(1), ..Self::default() };
    }

    pub(super) fn clear(&mut self) {
        *self = Self { part_um2: self.part_um2, ..Self::default() };
    }

    /// A piece of a first layer's bead covers so much of a cell. What is less than a part is carried on to the next
    /// piece, which nearly always lies next to it.
    #[inline]
    pub(super) fn cover(&mut self, cells: &mut Cells, cell: u16, um2: u32) {
        self.begun_um2 = self.begun_um2.saturating_add(um2);
        if self.begun_um2 >= self.part_um2 {
            let parts = self.begun_um2.checked_div(self.part_um2).unwrap_or(0);
            self.begun_um2 -= parts * self.part_um2;
            cells.fill(cell, parts.min(15) as u8);
        }
    }

    /// Ends a first layer.
    #[cold]
    #[inline(never)]
    pub(super) fn end_first(&mut self, cells: &mut Cells) {
        let mut map = Picture::of(|cell| cells.fullness(cell) > 0);
        while let Some(piece) = map.take_piece() {
            let parts = piece.cells().fold(0_u64, |sum, cell| sum + u64::from(cells.fullness(cell)));
            let area_mm2 = (parts * u64::from(self.part_um2) + 500_000) / 1_000_000;
            self.whole_mm2 = self.whole_mm2.saturating_add(u32::try_from(area_mm2).unwrap_or(u32::MAX));
            let area_mm2 = u16::try_from(area_mm2).unwrap_or(u16::MAX);
            if let Some(cell) = piece.cells().next() {
                self.too_many |= self.pieces.push(FootPiece { cell, area_mm2, half_cells: 0 }).is_err();
            }
        }
        cells.end_first();
    }

    /// The layers above the first show how wide the pieces are, without brim and skirt.
    #[cold]
    pub(super) fn above(&mut self, cells: &Cells, first_top: u16) {
        let mut map = Picture::of(|cell| cells.height(cell) > 0);
        while let Some(piece) = map.take_piece() {
            let mut sides = Sides::default();
            for cell in piece.cells().filter(|cell| cells.height(*cell) > first_top) {
                sides.add(cell, cells.laid(cell));
            }
            let half_cells = sides.narrower();
            for own in self.pieces.iter_mut().filter(|own| piece.holds(own.cell)) {
                own.half_cells = half_cells as u8;
            }
        }
    }

    /// The end: what each piece stands on.
    pub(super) fn finish(&self, cells: &Cells, cell_um: u32, facts: &mut ReliefFacts) {
        facts.feet = [Foot::default(); FEET];
        // Heights are rounded down to a unit.
        let um = |height: u16| ((u32::from(height) + 1) << UNIT_BITS) / 1000;
        if self.too_many {
            // As if all stood on one foot.
            facts.foot(Foot { top_um: um(cells.top), area_mm2: self.whole_mm2, side_um: 0 });
            return;
        }
        let mut map = Picture::of(|cell| cells.height(cell) > 0);
        while let Some(piece) = map.take_piece() {
            let top = piece.cells().map(|cell| cells.height(cell)).max().unwrap_or(0);
            let mut foot = Foot { top_um: um(top), ..Foot::default() };
            for own in self.pieces.iter().filter(|own| piece.holds(own.cell)) {
                foot.area_mm2 = foot.area_mm2.saturating_add(own.area_mm2.into());
                // The half cells at both ends may be touched only.
                let side_um = u32::from(own.half_cells).saturating_sub(2) * cell_um / 2;
                foot.side_um = foot.side_um.max(side_um);
            }
            if foot.area_mm2 > 0 {
                facts.foot(foot);
            }
        }
    }
}

impl ReliefFacts {
    /// Keeps the most slender.
    fn foot(&mut self, mut new: Foot) {
        for kept in &mut self.feet {
            if new.slender() > kept.slender() {
                core::mem::swap(kept, &mut new);
            }
        }
    }
}

impl Foot {
    /// Square of the height over the foot's area.
    fn slender(self) -> u64 {
        u64::from(self.top_um).pow(2) / self.stands_mm2().max(1)
    }
}
