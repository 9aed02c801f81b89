//! Filling on every second layer only, twice as thick: what a layer lays so, the one before it did not.

use super::values::Beads;

/// Such a bead has at least this share of the layers' median bead, percent, and less than this: two layers' worth, and
/// heights that vary. Chosen here.
const LEAST_PERCENT: u64 = 150;
const MOST_PERCENT: u64 = 400;
/// A layer has none of them if it has less than this share of the one before or after, as a shift: an eighth.
const NONE_SHIFT: u32 = 3;
/// So many layers show a habit. Chosen here.
const LAYERS: u32 = 3;

/// Watches for such layers.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Paired {
    /// Filament over path, Q30; nothing lies between until the layers have a median bead.
    least: u32,
    most: u32,
    /// Path of thick beads in this layer and in the one before, nm, and the size of the longest of this layer.
    now_nm: u64,
    before_nm: u64,
    ratio: u32,
    longest_nm: u64,
    /// Layers that had them after one that had none, and their path.
    layers: u32,
    path_nm: u64,
}

impl Paired {
    /// A bead of `ratio` filament a path, Q30. Gives whether it is kept here until its layer ends.
    #[inline]
    pub(super) fn bead(&mut self, ratio: u32, path_nm: u64) -> bool {
        let thick = (self.least..self.most).contains(&ratio);
        if thick {
            self.now_nm = self.now_nm.saturating_add(path_nm);
            if path_nm >= self.longest_nm {
                (self.ratio, self.longest_nm) = (ratio, path_nm);
            }
        }
        thick
    }

    /// A layer ends.
    pub(super) fn layer(&mut self, beads: &mut Beads) {
        if self.before_nm < self.now_nm >> NONE_SHIFT {
            self.layers = self.layers.saturating_add(1);
            self.path_nm = self.path_nm.saturating_add(self.now_nm);
        } else if self.now_nm > 0 {
            beads.add(self.ratio, self.now_nm);
        }
        (self.before_nm, self.now_nm, self.longest_nm) = (self.now_nm, 0, 0);
        // Parts per million of 2³⁰.
        let share = |percent: u64| {
            let ratio = beads.median_ppm().map_or(0, |median| u64::from(median) * percent * 1074 / 100);
            u32::try_from(ratio).unwrap_or(u32::MAX)
        };
        (self.least, self.most) = (share(LEAST_PERCENT), share(MOST_PERCENT));
    }

    /// The job ends.
    pub(super) fn finish(&mut self, beads: &mut Beads) {
        self.layer(beads);
        if self.layers >= LAYERS {
            beads.paired_nm = self.path_nm;
        } else if self.path_nm > 0 {
            beads.add(self.ratio, self.path_nm);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const USUAL: u32 = 36_000_000; // 0.0335 in Q30

    /// Path of pairs, and path of other beads, mm, after layers with so much path of beads twice as thick.
    fn laid(thick_mm: &[u64]) -> (u64, u64) {
        let (mut watch, mut beads) = (Paired::default(), Beads::default());
        for thick in thick_mm {
            for (ratio, mm) in [(USUAL, 100), (2 * USUAL, *thick)] {
                if !watch.bead(ratio, mm * 1_000_000) {
                    beads.add(ratio, mm * 1_000_000);
                }
            }
            watch.layer(&mut beads);
        }
        watch.finish(&mut beads);
        (beads.paired_nm / 1_000_000, beads.total_nm() / 1_000_000)
    }

    #[test]
    fn every_second_layer_is_a_pair() {
        assert_eq!(laid(&[0, 0, 50, 0, 50, 0, 50, 0]), (150, 800));
    }

    #[test]
    fn layers_that_are_no_pairs_count_at_the_size_of_their_walls() {
        // Walls three times as thick from the third layer on, each ending in a short piece that thins out.
        let (mut watch, mut beads) = (Paired::default(), Beads::default());
        for times in [1, 1, 3, 3, 3, 3] {
            for (ratio, mm) in [(times * USUAL, 100), (times * USUAL * 2 / 3, 2)] {
                if !watch.bead(ratio, mm * 1_000_000) {
                    beads.add(ratio, mm * 1_000_000);
                }
            }
            watch.layer(&mut beads);
        }
        watch.finish(&mut beads);
        assert!(beads.median_ppm().is_some_and(|median| median > 85_000), "{:?}", beads.median_ppm());
    }

    #[test]
    fn layers_in_a_row_and_single_ones_are_not() {
        assert_eq!(laid(&[0, 50, 50, 50, 50, 50]), (0, 850));
        assert_eq!(laid(&[0, 50, 0, 0, 50, 0]), (0, 700));
    }
}
