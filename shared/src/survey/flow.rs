//! Plastic a second: peak and mean over half a second.

use super::scale::right;
use super::values::Flow;
use crate::units::{mul_div, times, wide_div};

/// A step of the window, ns: 1/16 s.
pub(super) const STEP_NS: u64 = 62_500_000;
/// Steps of the window: half a second.
const STEPS: usize = 8;

/// Flow while it is measured. Filament in nm, its speed in µm/s.
#[derive(Clone, Debug)]
pub(super) struct FlowGauge {
    /// All filament so far at the ends of the last steps, a ring; the next end takes the place of the first, a window
    /// ago.
    ends: [u64; STEPS],
    next: usize,
    /// All filament so far, wrapping.
    laid: u64,
    /// Time left of the present step.
    left_ns: u64,
    /// Most filament in a window.
    most: u64,
    most_line: u32,
    /// Filament speed, nm/s in Q30.
    peak_q30: u64,
    peak_line: u32,
}

impl Default for FlowGauge {
    fn default() -> Self {
        Self {
            ends: [0; STEPS],
            next: 0,
            laid: 0,
            left_ns: STEP_NS,
            most: 0,
            most_line: 0,
            peak_q30: 0,
            peak_line: 0,
        }
    }
}

impl FlowGauge {
    /// A bead's peak speed of the filament, nm/s in Q30.
    #[inline]
    pub(super) fn peak(&mut self, filament_q30: u64, line: u32) {
        if filament_q30 > self.peak_q30 {
            self.peak_q30 = filament_q30;
            self.peak_line = line;
        }
    }

    /// So much filament evenly over a time.
    #[inline]
    pub(super) fn add(&mut self, duration_ns: u64, filament_nm: u64, line: u32) {
        if duration_ns < self.left_ns {
            self.left_ns -= duration_ns;
            self.laid = self.laid.wrapping_add(filament_nm);
        } else {
            self.across(duration_ns, filament_nm, line);
        }
    }

    fn across(&mut self, duration_ns: u64, filament_nm: u64, line: u32) {
        let (mut duration, mut filament) = (duration_ns, filament_nm);
        // Of a long move two windows tell all.
        if duration > 2 * WINDOWS_NS {
            (duration, filament) = shortened(duration, filament);
        }
        // Below 2³², as what is left of it: a bead has less than 2³² nm, and 16 steps are a second.
        let rate = Rate::new(filament.min(u64::from(u32::MAX)) as u32, duration as u32);
        let a_step = rate.over(STEP_NS as u32);
        let mut laid = self.laid.wrapping_add(rate.over(self.left_ns as u32));
        duration -= self.left_ns;
        loop {
            self.close_step(laid, line);
            if duration < STEP_NS {
                break;
            }
            duration -= STEP_NS;
            laid = laid.wrapping_add(a_step);
        }
        self.left_ns = STEP_NS - duration;
        self.laid = self.laid.wrapping_add(filament);
    }

    /// The end of a step, with all filament so far.
    #[inline(always)]
    #[expect(clippy::indexing_slicing, reason = "the index is masked to the array's length")]
    fn close_step(&mut self, laid: u64, line: u32) {
        let window = laid.wrapping_sub(self.ends[self.next & (STEPS - 1)]);
        self.ends[self.next & (STEPS - 1)] = laid;
        self.next = self.next.wrapping_add(1);
        // Written in either case: whether it is more no processor guesses.
        let more = window > self.most;
        self.most = if more { window } else { self.most };
        self.most_line = if more { line } else { self.most_line };
    }

    /// What was found, with filament of a diameter in µm.
    pub(super) fn finish(&mut self, filament_um: u32, line: u32) -> Flow {
        self.close_step(self.laid, line);
        // Twice the filament of half a second is that of a second; nm to µm.
        let sustained_q10 = u32::try_from((self.most * 2 * 1024) / 1000).unwrap_or(u32::MAX);
        // nm/s in Q30 to µm/s in Q10, to the nearest.
        let peak_q10 = u32::try_from(((self.peak_q30 >> 20) + 500) / 1000).unwrap_or(u32::MAX);
        Flow {
            peak_nl_s: nl_s(peak_q10, filament_um),
            peak_line: self.peak_line,
            sustained_nl_s: nl_s(sustained_q10, filament_um),
            sustained_line: self.most_line,
            peak_feed_um_s: peak_q10 >> 10,
        }
    }
}

/// Two windows, ns.
const WINDOWS_NS: u64 = STEP_NS * 2 * STEPS as u64;

/// Time and filament of two windows and what makes the steps come out as behind the whole move.
#[cold]
fn shortened(duration: u64, filament: u64) -> (u64, u64) {
    let kept = WINDOWS_NS + duration % STEP_NS;
    (kept, mul_div(filament, kept, duration).unwrap_or(0))
}

/// Filament a time, to 2⁻¹⁴ and never too much: one division of 32 bits, where exact parts would each take a long one.
struct Rate {
    mantissa: u32,
    shift: u32,
}

impl Rate {
    #[inline(always)]
    fn new(filament_nm: u32, duration_ns: u32) -> Self {
        let (filament_zeros, duration_zeros) =
            (filament_nm.leading_zeros() & 31, duration_ns.leading_zeros() & 31);
        // 16 bits of the duration, rounded up.
        let divisor = ((duration_ns << duration_zeros) >> 16) + 1;
        let mantissa = (filament_nm << filament_zeros) / divisor;
        // Of a duration too short for the shift the first part is too small, and the second has what is left.
        Self { mantissa, shift: 16 + filament_zeros - duration_zeros.min(16 + filament_zeros) }
    }

    #[inline(always)]
    fn over(&self, ns: u32) -> u64 {
        right(u64::from(self.mantissa) * u64::from(ns), self.shift)
    }
}

/// Filament speed (µm/s in Q10) times its cross-section: v · π d²/4, π = 355/113; 10⁶ µm³ = 1 nl.
fn nl_s(feed_q10: u32, filament_um: u32) -> u32 {
    let square = u64::from(filament_um) * u64::from(filament_um);
    let volume = times(times(feed_q10.into(), square), 355) >> 10;
    u32::try_from(wide_div(volume + 226_000_000, 452_000_000)).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bead of 0.45 × 0.20 mm at 60 mm/s from 1.75 mm filament: E 0.0338488 a mm, 4.885 mm³/s (plane geometry of
    /// the stadium: A = (w−h)h + π h²/4).
    #[test]
    fn bead_of_a_known_size() {
        let ratio = (0.033_848_8 * f64::from(1 << 30)) as u32;
        let mut gauge = FlowGauge::default();
        gauge.peak(60_000_000 * u64::from(ratio), 7);
        // 120 mm in 2 s.
        gauge.add(2_000_000_000, 4_061_856, 7);
        let flow = gauge.finish(1750, 8);
        assert!(flow.peak_nl_s.abs_diff(4885) <= 3, "{flow:?}");
        assert!(flow.sustained_nl_s.abs_diff(4885) <= 3, "{flow:?}");
        assert_eq!((flow.peak_line, flow.sustained_line), (7, 7));
    }

    #[test]
    fn a_short_burst_counts_by_its_share_of_half_a_second() {
        let mut gauge = FlowGauge::default();
        gauge.add(1_000_000_000, 0, 1);
        // 1 mm of filament in 0.1 s: 2 mm/s over half a second: 2 · 2.40528 mm³/s.
        gauge.add(100_000_000, 1_000_000, 2);
        gauge.add(1_000_000_000, 0, 3);
        let flow = gauge.finish(1750, 4);
        assert!(flow.sustained_nl_s.abs_diff(4811) <= 2, "{flow:?}");
    }

    #[test]
    fn cutting_a_move_changes_little() {
        let mut whole = FlowGauge::default();
        whole.add(3_000_000_000, 9_000_000, 1);
        let mut cut = FlowGauge::default();
        for _ in 0..3000 {
            cut.add(1_000_000, 3_000, 1);
        }
        let (whole, cut) = (whole.finish(1750, 1), cut.finish(1750, 1));
        assert!(whole.sustained_nl_s.abs_diff(cut.sustained_nl_s) <= 20, "{whole:?} {cut:?}");
    }
}
