//! Passes that smooth a top face: the head goes once more over beads that it has laid at the same height, with little
//! feed and its lines closer to each other than beads can lie.
//!
//! Told from beads that are starved by a fault, which lie as far from each other as others do: the lines of a smoothing
//! pass cover their own box more than once over.

use super::values::Beads;
use crate::motion::{Move, hypot2};
use crate::units::signed_mul_div;

/// A bead below this share of the layers' median bead may smooth, percent: passes at some 10 % are common practice, no
/// source.
const MOST_PERCENT: u64 = 30;
/// Lines closer than this share of the bore smooth, percent: a bead's own line is 100 to 150 % of it (common practice,
/// no source), a smoothing one 25 to 50 % (common practice, no source).
const CLOSE_PERCENT: u64 = 70;
/// A jump further than this ends a pass, nm: to another face, or back to a seam (judgement).
const JUMP_NM: i64 = 3_000_000;
/// Shorter beads, from line to line, are written too coarsely to compare, nm.
const COARSE_NM: u64 = 300_000;

/// Watches for such passes.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Smoothing {
    /// Thinner beads may smooth: filament over path, Q30; 0 in the first two layers.
    below: u32,
    /// Whether a full bead was laid at this height.
    laid: bool,
    bore_um: u32,
    /// Direction of its lines, Q14, its box along them and across, µm, and where it is, nm.
    along: [i64; 2],
    least: [i32; 2],
    most: [i32; 2],
    end: [i64; 2],
    /// Its path, and the size of its first bead.
    path_nm: u64,
    ratio: u32,
}

impl Smoothing {
    pub(super) fn new(bore_um: u32) -> Self {
        Self { bore_um, ..Self::default() }
    }

    /// A layer begins.
    pub(super) fn layer(&mut self, beads: &mut Beads) {
        self.close(beads);
        self.laid = false;
        // Parts per million of 2³⁰.
        let share = beads.median_ppm().map_or(0, |median| u64::from(median) * MOST_PERCENT * 1074 / 100);
        self.below = u32::try_from(share).unwrap_or(u32::MAX);
    }

    /// A bead that is thin because it rises or falls into its seam, outside spirals. Gives whether it is one.
    #[cold]
    pub(super) fn ramp(&self, ratio: u32, path_nm: u64, beads: &mut Beads) -> bool {
        let thin = ratio < self.below;
        if thin {
            beads.smoothing_nm = beads.smoothing_nm.saturating_add(path_nm);
        }
        thin
    }

    /// A bead of `ratio` filament a path, Q30. Gives whether it is kept here until its pass ends.
    #[inline]
    pub(super) fn bead(&mut self, step: &Move, ratio: u32, path_nm: u64, beads: &mut Beads) -> bool {
        if ratio >= self.below {
            self.laid = true;
            if self.path_nm > 0 {
                self.close(beads);
            }
            return false;
        }
        if self.laid {
            self.thin(step, ratio, path_nm, beads);
        }
        self.laid
    }

    #[inline(never)]
    fn thin(&mut self, step: &Move, ratio: u32, path_nm: u64, beads: &mut Beads) {
        let ([x0, y0, _], [x1, y1, _]) = (step.from, step.to);
        let [x, y] = self.end;
        let far = x0.saturating_sub(x).saturating_abs().max(y0.saturating_sub(y).saturating_abs()) > JUMP_NM;
        // A pass has one size of bead, but for what the file's digits round.
        let other = path_nm >= COARSE_NM && ratio.abs_diff(self.ratio) > self.ratio / 4;
        if self.path_nm > 0 && (far || other) {
            self.close(beads);
        }
        if self.path_nm == 0 {
            (self.least, self.most, self.ratio) = ([i32::MAX; 2], [i32::MIN; 2], ratio);
            let (dx, dy) = (x1.saturating_sub(x0), y1.saturating_sub(y0));
            let length = hypot2(dx, dy).max(1);
            self.along = [dx, dy].map(|way| signed_mul_div(way, 1 << 14, length));
        }
        let [ax, ay] = self.along;
        for [x, y] in [[x0, y0], [x1, y1]].map(|point| point.map(|nm| nm / 1000)) {
            let turned = |a: i64, b: i64| x.saturating_mul(a).saturating_add(y.saturating_mul(b)) >> 14;
            let um =
                [turned(ax, ay), turned(-ay, ax)].map(|um| um.clamp(i32::MIN.into(), i32::MAX.into()) as i32);
            for ((least, most), at) in self.least.iter_mut().zip(&mut self.most).zip(um) {
                (*least, *most) = ((*least).min(at), (*most).max(at));
            }
        }
        self.end = [x1, y1];
        self.path_nm = self.path_nm.saturating_add(path_nm);
    }

    /// Ends a pass: it smooths if its lines lay close, else its beads are beads like others.
    #[inline(never)]
    pub(super) fn close(&mut self, beads: &mut Beads) {
        let path_um = self.path_nm / 1000;
        let bore = u64::from(self.bore_um);
        let mut area = 1_u64;
        for (least, most) in self.least.iter().zip(self.most) {
            area = area.saturating_mul(u64::from(most.abs_diff(*least)).saturating_add(bore));
        }
        if path_um.saturating_mul(bore).saturating_mul(CLOSE_PERCENT) / 100 > area {
            beads.smoothing_nm = beads.smoothing_nm.saturating_add(self.path_nm);
        } else if self.path_nm > 0 {
            beads.add(self.ratio, self.path_nm);
        }
        self.path_nm = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A face of 20 mm by 10 mm, gone over in lines of a spacing with a share of the usual feed, after half as many
    /// full ones at the same height or none.
    fn smoothed_mm(spacing_um: i64, percent: u32, after_full: bool) -> u64 {
        const FULL: u32 = 36_000_000; // 0.0335 in Q30
        let mut beads = Beads::default();
        beads.path_nm[Beads::band(33_500)] = 1_000_000_000;
        let mut watch = Smoothing::new(400);
        watch.layer(&mut beads);
        let line = |y_um: i64| Move {
            from: [0, y_um * 1000, 200_000],
            to: [20_000_000, y_um * 1000, 200_000],
            ..Move::default()
        };
        if after_full {
            assert!(!watch.bead(&line(0), FULL, 20_000_000, &mut beads), "a full bead is none");
        }
        for number in 0..10_000 / spacing_um {
            // Back and forth.
            let mut step = line(number * spacing_um);
            if number % 2 == 1 {
                core::mem::swap(&mut step.from, &mut step.to);
            }
            let ratio = FULL / 100 * percent;
            if !watch.bead(&step, ratio, 20_000_000, &mut beads) {
                beads.add(ratio, 20_000_000);
            }
        }
        watch.close(&mut beads);
        let lines = (10_000 / spacing_um) as u64;
        let all = beads.total_nm() - 1_000_000_000 + beads.smoothing_nm;
        assert_eq!(all, lines * 20_000_000, "no path is lost");
        beads.smoothing_nm / 1_000_000
    }

    #[test]
    fn close_thin_lines_over_full_ones_smooth() {
        assert_eq!(smoothed_mm(100, 10, true), 2_000, "100 lines of 20 mm");
        assert_eq!(smoothed_mm(200, 15, true), 1_000);
    }

    #[test]
    fn a_turned_face_is_no_larger() {
        let mut beads = Beads::default();
        beads.path_nm[Beads::band(33_500)] = 1_000_000_000;
        let mut watch = Smoothing::new(400);
        watch.layer(&mut beads);
        watch.laid = true;
        // 20 mm by 10 mm at 45 degrees, lines 0.15 mm apart: its box along the axes is more than twice as large.
        for number in 0..66 {
            let (u, v) = (14_142_000, number * 106_000);
            let mut step = Move { from: [-v, v, 0], to: [u - v, u + v, 0], ..Move::default() };
            if number % 2 == 1 {
                core::mem::swap(&mut step.from, &mut step.to);
            }
            assert!(watch.bead(&step, 3_600_000, 20_000_000, &mut beads));
        }
        watch.close(&mut beads);
        assert_eq!(beads.smoothing_nm, 66 * 20_000_000);
    }

    #[test]
    fn thin_ramps_are_left_out() {
        let mut beads = Beads::default();
        beads.path_nm[Beads::band(33_500)] = 1_000_000_000;
        let mut watch = Smoothing::new(400);
        watch.layer(&mut beads);
        assert!(watch.ramp(3_600_000, 2_000_000, &mut beads));
        assert!(!watch.ramp(18_000_000, 2_000_000, &mut beads), "half of the usual feed");
        assert_eq!(beads.smoothing_nm, 2_000_000);
    }

    #[test]
    fn starved_beads_do_not() {
        assert_eq!(smoothed_mm(400, 10, true), 0, "as far apart as beads lie");
        assert_eq!(smoothed_mm(100, 40, true), 0, "not thin");
        assert_eq!(smoothed_mm(100, 10, false), 0, "nothing lies there yet");
    }
}
