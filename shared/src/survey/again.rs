//! Beads that are laid a second time: the same ends at the same height.
//!
//! A table of marks, one for each bead, made of its ends and height, so that it needs no clearing when the height
//! changes. Of a layer with more beads than it holds a sample is kept, chosen by the mark itself: a bead that
//! comes again is in the sample again.

use crate::motion::Move;

/// Marks kept, as bits.
const SLOT_BITS: u32 = 10;
const SLOTS: usize = 1 << SLOT_BITS;

/// Marks of a layer from which on only every second bead is kept.
const CROWDED: u16 = 640;

/// Beads of one layer.
#[derive(Clone, Debug)]
pub(super) struct Again {
    marks: [u16; SLOTS],
    /// Beads kept in this layer.
    kept: u16,
    /// One bead in 2ⁿ is kept.
    shift: u32,
}

impl Default for Again {
    fn default() -> Self {
        Self { marks: [0; SLOTS], kept: 0, shift: 0 }
    }
}

impl Again {
    /// A layer begins.
    pub(super) fn layer(&mut self) {
        (self.kept, self.shift) = (0, 0);
    }

    /// Another job begins.
    pub(super) fn clear(&mut self) {
        self.marks.fill(0);
        self.layer();
    }

    /// A bead; gives how many times its path counts as laid again, 0 = it is new.
    #[inline]
    pub(super) fn bead(&mut self, step: &Move) -> u32 {
        let mark = mark(step);
        if mark & ((1 << self.shift) - 1) != 0 {
            return 0;
        }
        let slot = (mark >> 6) as usize & (SLOTS - 1);
        // 0 is an empty slot.
        let rest = (mark >> (32 - 16)) as u16 | 1;
        let Some(kept) = self.marks.get_mut(slot) else { return 0 };
        if *kept == rest {
            return 1 << self.shift;
        }
        *kept = rest;
        self.kept += 1;
        if self.kept >= CROWDED && self.shift < 6 {
            self.shift += 1;
            self.kept = CROWDED / 2;
        }
        0
    }
}

/// A number made of a bead's ends, height and way.
#[inline]
fn mark(step: &Move) -> u32 {
    let ([x0, y0, z0], [x1, y1, z1]) = (step.from, step.to);
    let way = step.arc.as_ref().map_or(0, |arc| {
        let [x, y] = arc.centre;
        (x as u32).rotate_left(7) ^ (y as u32).rotate_left(19) ^ u32::from(arc.counter_clockwise)
    });
    // The golden ratio's multiplier (Knuth, TAOCP 3, 6.4), turned so that the upper bits come down.
    let mix = |mark: u32, nm: i64| (mark ^ nm as u32).wrapping_mul(0x9E37_79B1).rotate_left(15);
    // Written out: of an array the compiler makes a call for each.
    let mark = mix(mix(mix(mix(mix(way, x0), y0), x1), y1), z0 ^ z1.rotate_left(9));
    mark ^ mark >> 15
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x0: i64, x1: i64, y: i64, z: i64) -> Move {
        Move { from: [x0 * 10_000, y * 10_000, z], to: [x1 * 10_000, y * 10_000, z], ..Move::default() }
    }

    fn layer(again: &mut Again, beads: i64, z: i64) -> (u32, u32) {
        let mut found = (0, 0);
        for number in 0..beads {
            let times = again.bead(&line(number * 7, number * 7 + 300, number % 90, z));
            found = (found.0 + u32::from(times > 0), found.1 + times);
        }
        found
    }

    #[test]
    fn a_bead_counts_the_second_time_only() {
        let mut again = Again::default();
        assert_eq!(again.bead(&line(1, 2, 3, 200)), 0);
        assert_eq!(again.bead(&line(2, 1, 3, 200)), 0, "the way back");
        assert_eq!(again.bead(&line(1, 2, 3, 400)), 0, "higher up");
        assert_eq!(again.bead(&line(1, 2, 3, 200)), 1);
        again.clear();
        assert_eq!(again.bead(&line(1, 2, 3, 200)), 0);
    }

    #[test]
    fn layers_of_any_size_are_met_again_about_whole() {
        for beads in [20, 500, 3_000, 20_000] {
            let mut again = Again::default();
            again.layer();
            let (false_ones, _) = layer(&mut again, beads, 200_000);
            assert!(false_ones <= 3, "{beads}: {false_ones} by chance");
            let (_, times) = layer(&mut again, beads, 200_000);
            let share = f64::from(times) / beads as f64;
            assert!((0.5..1.5).contains(&share), "{beads}: {share}");
        }
    }
}
