//! The first layer on the plate, as a picture, and the order in which it is laid.

/// Cells along each side of the footprint: one for each pixel of the watch's screen.
pub const FOOTPRINT_CELLS: usize = 48;

/// Bits of a cell of the layer.
const CELL_BITS: usize = 4;

/// Steps that the first layer's order is told in at most; of all but the smallest layers more than half are used.
pub const FOOTPRINT_STEPS: u8 = (1 << CELL_BITS) - 1;

/// Bytes of a row of the layer.
const LAYER_ROW: usize = FOOTPRINT_CELLS * CELL_BITS / 8;

/// A picture of the first layer on the plate: `FOOTPRINT_CELLS` rows of as many cells over the square whose side is
/// the plate's longer one; x to the right, y to the back. In a row's bytes the lowest bits are the first cell's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Footprint {
    /// The step in which a bead of the first layer first crosses each cell, from 1; 0 = none does. Steps are equal
    /// amounts of filament.
    pub layer: [[u8; LAYER_ROW]; FOOTPRINT_CELLS],
    /// Cells crossed by a bead of the purge strip, one bit each.
    pub purge: [[u8; FOOTPRINT_CELLS / 8]; FOOTPRINT_CELLS],
    /// Begin of each step, permille of the first layer's time, [`known`](Self::known) of them.
    pub begins: [u16; FOOTPRINT_STEPS as usize],
    /// Steps that the layer came to; 0 = the order is not known.
    pub known: u8,
    /// Side of a cell, µm.
    pub cell_um: u32,
    /// Position of the near left corner, µm.
    pub origin_um: [i32; 2],
}

/// How far a cell of the first layer is at a moment, by time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Laid {
    /// Its step has not begun.
    ToCome,
    /// Its step is under way.
    Now,
    /// Its step is over: a bead crosses it.
    Done,
}

impl Default for Footprint {
    fn default() -> Self {
        Self {
            layer: [[0; LAYER_ROW]; FOOTPRINT_CELLS],
            purge: [[0; FOOTPRINT_CELLS / 8]; FOOTPRINT_CELLS],
            begins: [0; FOOTPRINT_STEPS as usize],
            known: 0,
            cell_um: 0,
            origin_um: [0; 2],
        }
    }
}

impl Footprint {
    /// Whether a bead of the first layer crosses the cell.
    #[must_use]
    pub fn layer_at(&self, x: usize, y: usize) -> bool {
        self.step_at(x, y) != 0
    }

    /// Whether a bead of the purge strip crosses the cell.
    #[must_use]
    pub fn purge_at(&self, x: usize, y: usize) -> bool {
        self.purge.get(y).is_some_and(|row| get::<1>(row, x) != 0)
    }

    /// The step in which a bead of the first layer first crosses the cell, from 1; 0 = none does.
    #[must_use]
    pub fn step_at(&self, x: usize, y: usize) -> u8 {
        self.layer.get(y).map_or(0, |row| get::<CELL_BITS>(row, x))
    }

    /// How far a cell of the first layer is when so much of the layer's time is over, permille; `None` = no bead of it
    /// crosses the cell, or the order is not known.
    #[must_use]
    pub fn laid_at(&self, x: usize, y: usize, done_permille: u16) -> Option<Laid> {
        let step = usize::from(self.step_at(x, y));
        let begins = self.begins.get(..usize::from(self.known))?;
        let begin = *begins.get(step.checked_sub(1)?)?;
        // The last step ends with the layer.
        let end = begins.get(step).copied().unwrap_or(1000);
        Some(match done_permille {
            done if done >= end => Laid::Done,
            // At 0 nothing is begun: the strip may still be under way.
            done if done >= begin.max(1) => Laid::Now,
            _ => Laid::ToCome,
        })
    }

    /// A bead of the first layer crosses the cell in a step; one that crossed it before counts.
    pub(in crate::survey) fn lay(&mut self, x: usize, y: usize, step: u8) {
        if let Some(row) = self.layer.get_mut(y)
            && get::<CELL_BITS>(row, x) == 0
        {
            put::<CELL_BITS>(row, x, step);
        }
    }

    /// A bead of what may be the purge strip crosses the cell. What it is shows later: its step is kept as well.
    pub(in crate::survey) fn lead(&mut self, x: usize, y: usize, step: u8) {
        self.strip(x, y);
        self.lay(x, y, step);
    }

    /// A bead of the purge strip crosses the cell.
    pub(super) fn strip(&mut self, x: usize, y: usize) {
        if let Some(row) = self.purge.get_mut(y) {
            put::<1>(row, x, 1);
        }
    }

    /// Makes each two steps one.
    pub(in crate::survey) fn halve(&mut self) {
        for byte in self.layer.iter_mut().flatten() {
            let both = u16::from(*byte);
            *byte = ((both & 0xF).div_ceil(2) | ((both >> 4).div_ceil(2) << 4)) as u8;
        }
    }

    /// All that was drawn so far is the purge strip.
    pub(in crate::survey) fn all_is_purge(&mut self) {
        for y in 0..FOOTPRINT_CELLS {
            for x in 0..FOOTPRINT_CELLS {
                if self.layer_at(x, y) {
                    self.strip(x, y);
                }
            }
        }
        self.layer = [[0; LAYER_ROW]; FOOTPRINT_CELLS];
    }

    /// What was drawn as lead is the purge strip, or it belongs to the layer, cell by cell.
    pub(in crate::survey) fn settle_lead(&mut self, strip: impl Fn(usize, usize) -> bool) {
        for y in 0..FOOTPRINT_CELLS {
            for x in 0..FOOTPRINT_CELLS {
                if !self.purge_at(x, y) {
                    continue;
                }
                let (rows, bits) = if strip(x, y) {
                    // Its steps were kept in case it belongs to the layer.
                    (
                        self.layer.get_mut(y).and_then(|row| row.get_mut(x * CELL_BITS / 8)),
                        0xF << (x * CELL_BITS % 8),
                    )
                } else {
                    (self.purge.get_mut(y).and_then(|row| row.get_mut(x / 8)), 1 << (x % 8))
                };
                if let Some(byte) = rows {
                    *byte &= !bits;
                }
            }
        }
    }
}

/// The value of `BITS` bits of a cell.
fn get<const BITS: usize>(row: &[u8], x: usize) -> u8 {
    let each = 8 / BITS;
    row.get(x / each).map_or(0, |byte| (byte >> (x % each * BITS)) & (0xFF >> (8 - BITS)))
}

/// Sets them in a cell that has none, or has the same.
fn put<const BITS: usize>(row: &mut [u8], x: usize, value: u8) {
    let each = 8 / BITS;
    if let Some(byte) = row.get_mut(x / each) {
        *byte |= (value & (0xFF >> (8 - BITS))) << (x % each * BITS);
    }
}
