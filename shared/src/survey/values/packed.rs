//! The first layer's picture in few bytes, to be kept.
//!
//! Cells in their order, row by row from the front, each byte a run of like ones: below 112 so many and one more that
//! nothing crosses; from there on eight bytes for each value, a run of 1 to 8: steps 1 to 15, then the purge strip. A
//! cell that both cross is the strip's.

use super::footprint::{FOOTPRINT_CELLS, FOOTPRINT_STEPS, Footprint};

/// First byte that is no run of blank cells; the longest such run.
const BLANKS: u8 = 112;
/// Longest run of any other value.
const MOST: u8 = 8;
/// The purge strip's value; steps stand below it.
const PURGE: u8 = 16;
const CELLS: usize = FOOTPRINT_CELLS * FOOTPRINT_CELLS;

impl Footprint {
    /// The most bytes that the cells take.
    pub const MOST_PACKED: usize = CELLS;

    fn value(&self, x: usize, y: usize) -> u8 {
        if self.purge_at(x, y) { PURGE } else { self.step_at(x, y) }
    }

    /// Writes the cells to the beginning of `into`, and says how long they are; `None` = they do not fit.
    #[must_use]
    pub fn pack_cells(&self, into: &mut [u8]) -> Option<usize> {
        let mut cells =
            (0..FOOTPRINT_CELLS).flat_map(|y| (0..FOOTPRINT_CELLS).map(move |x| (x, y))).peekable();
        let mut length = 0;
        while let Some((x, y)) = cells.next() {
            let value = self.value(x, y);
            let most = if value == 0 { BLANKS } else { MOST };
            let mut more = 0;
            while more + 1 < most && cells.next_if(|&(x, y)| self.value(x, y) == value).is_some() {
                more += 1;
            }
            *into.get_mut(length)? = if value == 0 { more } else { BLANKS + (value - 1) * MOST + more };
            length += 1;
        }
        Some(length)
    }

    /// Draws packed cells in place of what was drawn; `false` = they are none, and nothing is drawn.
    pub fn unpack_cells(&mut self, bytes: &[u8]) -> bool {
        (self.layer, self.purge) = (Self::default().layer, Self::default().purge);
        let mut at = 0;
        for &byte in bytes {
            let (value, more) = match byte.checked_sub(BLANKS) {
                None => (0, byte),
                Some(rest) => (rest / MOST + 1, rest % MOST),
            };
            if value > PURGE || (value < PURGE && value > FOOTPRINT_STEPS) {
                at = usize::MAX;
            }
            for _ in 0..=more {
                if at < CELLS {
                    self.draw(at % FOOTPRINT_CELLS, at / FOOTPRINT_CELLS, value);
                }
                at = at.saturating_add(1);
            }
        }
        let whole = at == CELLS;
        if !whole {
            *self = Self { cell_um: self.cell_um, origin_um: self.origin_um, ..Self::default() };
        }
        whole
    }

    fn draw(&mut self, x: usize, y: usize, value: u8) {
        match value {
            0 => {}
            PURGE => self.strip(x, y),
            step => self.lay(x, y, step),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// As the other side sees it: the strip hides what else crosses its cells.
    fn shown(picture: &Footprint) -> std::vec::Vec<u8> {
        (0..CELLS).map(|at| picture.value(at % FOOTPRINT_CELLS, at / FOOTPRINT_CELLS)).collect()
    }

    #[test]
    fn a_blank_plate_is_short_and_a_motley_one_fits() {
        let mut bytes = [0; Footprint::MOST_PACKED];
        assert_eq!(Footprint::default().pack_cells(&mut bytes), Some(CELLS.div_ceil(112)));
        let mut motley = Footprint::default();
        motley.layer.iter_mut().for_each(|row| row.fill(0x21));
        assert_eq!(motley.pack_cells(&mut bytes), Some(CELLS));
        assert_eq!(motley.pack_cells(&mut bytes[1..]), None);
    }

    /// By the description above, by hand: 50 blank cells, ten of step 3, one of the strip, and the rest.
    #[test]
    fn the_bytes_are_as_described() {
        let mut picture = Footprint::default();
        (2..12).for_each(|x| picture.lay(x, 1, 3));
        picture.lay(12, 1, 3);
        picture.strip(12, 1);
        let mut bytes = [0; 40];
        let length = picture.pack_cells(&mut bytes).unwrap();
        assert_eq!(bytes[..4], [49, 112 + 2 * 8 + 7, 112 + 2 * 8 + 1, 112 + 15 * 8]);
        // 2304 - 61 = 2243 = 20 · 112 + 3.
        assert_eq!(bytes[4..length], [[111; 20].as_slice(), &[2]].concat());
    }

    #[test]
    fn what_is_no_picture_draws_nothing() {
        let blank = [111; 20];
        for bytes in [&[][..], &blank, &[240; 400], &[255], &[111; 22]] {
            let mut picture = Footprint::default();
            assert!(!picture.unpack_cells(bytes), "{bytes:?}");
            assert_eq!(picture, Footprint::default());
        }
    }

    proptest! {
        #[test]
        fn any_picture_comes_back(
            cells in prop::collection::vec((0..CELLS, 0_u8..=16, 1_usize..60), 0..60),
            cut in any::<prop::sample::Index>(),
            any in prop::collection::vec(any::<u8>(), 0..100),
        ) {
            let mut picture = Footprint::default();
            for (at, value, run) in cells {
                (at..(at + run).min(CELLS))
                    .for_each(|at| picture.draw(at % FOOTPRINT_CELLS, at / FOOTPRINT_CELLS, value));
            }
            let mut bytes = [0; Footprint::MOST_PACKED];
            let length = picture.pack_cells(&mut bytes).unwrap();
            let mut other = Footprint::default();
            other.layer.iter_mut().for_each(|row| row.fill(0x77));
            prop_assert!(other.unpack_cells(&bytes[..length]));
            prop_assert_eq!(shown(&other), shown(&picture));
            let cut = cut.index(length);
            prop_assert!(!other.unpack_cells(&bytes[..cut]), "cut at {}", cut);
            // Bytes from anywhere are a picture or none, and end.
            other.unpack_cells(&any);
        }
    }
}
