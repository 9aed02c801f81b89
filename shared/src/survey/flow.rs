//! Plastic a second: peak and mean over half a second.

use super::fixed_point::quotient;
use super::stretch::SettledMove;
use super::values::Flow;
use crate::units::{mul_div, times, wide_div};

/// The window: half a second, ns.
const WINDOW_NS: u32 = 500_000_000;
/// Moves are taken together until they are this long, ns: 1/64 s. Where in such a piece its filament goes is not kept.
const PIECE_NS: u64 = 15_625_000;
/// Pieces of a window at most, and two that hang over: a shorter one is followed by one of twice the length.
const PIECES: usize = 64;
/// A ramp is cut into pieces of this length, ns: 1/32 s, within which a speed of 100 mm/s changes by a third at 1 m/s².
const RAMP_NS: u64 = 2 * PIECE_NS;
/// And into so many at most.
const RAMP_PIECES: u64 = 16;

/// So much filament evenly over a time.
#[derive(Clone, Copy, Debug, Default)]
struct FlowPiece {
    ns: u32,
    nm: u32,
    /// Filament a time, nm/ns in Q32: up to a metre a second. Divided once, since a piece is asked for its parts often.
    rate_q32: u32,
}

impl FlowPiece {
    fn new(ns: u32, nm: u32) -> Self {
        let rate_q32 = if nm < ns { quotient(u64::from(nm) << 32, ns) } else { u32::MAX };
        Self { ns, nm, rate_q32 }
    }

    /// Filament of a part of it.
    #[inline]
    fn over(self, ns: u32) -> u64 {
        if ns >= self.ns { self.nm.into() } else { (u64::from(self.rate_q32) * u64::from(ns)) >> 32 }
    }
}

/// Flow while it is measured. Filament in nm, its speed in µm/s.
///
/// The filament within the window rises and falls evenly while the window's two ends are within one piece each: its
/// maximum lies where one of them passes from piece to piece.
#[derive(Clone, Debug)]
pub(super) struct FlowGauge {
    /// Pieces that the window reaches, a ring, the first one at `first`.
    pieces: [FlowPiece; PIECES],
    first: usize,
    count: usize,
    /// Time of the first piece that the window has left behind, and of all of them, ns.
    gone_ns: u32,
    span_ns: u64,
    /// Filament of all of them.
    held_nm: u64,
    /// The piece that is being put together.
    open_ns: u64,
    open_nm: u64,
    /// Most filament in a window.
    most: u64,
    most_line: u32,
    /// Filament speed, nm/s in Q30.
    peak_q30: u64,
    peak_line: u32,
    /// Speed at the end of the last move, nm/s.
    entry_nm_s: u32,
}

impl Default for FlowGauge {
    fn default() -> Self {
        Self {
            pieces: [FlowPiece { ns: 0, nm: 0, rate_q32: 0 }; PIECES],
            first: 0,
            count: 0,
            gone_ns: 0,
            span_ns: 0,
            held_nm: 0,
            open_ns: 0,
            open_nm: 0,
            most: 0,
            most_line: 0,
            peak_q30: 0,
            peak_line: 0,
            entry_nm_s: 0,
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

    /// Stands still.
    pub(super) fn stand(&mut self, ns: u64, line: u32) {
        self.entry_nm_s = 0;
        self.add(ns, 0, line);
    }

    /// A move with the filament of its bead, which goes as the move speeds up and slows down.
    #[inline]
    pub(super) fn lay(&mut self, settled: SettledMove, laid_nm: u32, line: u32) {
        let entry_nm_s = core::mem::replace(&mut self.entry_nm_s, settled.exit_nm_s);
        if laid_nm == 0 || settled.ramp_ns < RAMP_NS {
            self.add(settled.duration_ns, laid_nm.into(), line);
        } else {
            self.ramps(settled, entry_nm_s, laid_nm, line);
        }
    }

    /// A move with long ramps, in pieces.
    #[inline(never)]
    fn ramps(&mut self, settled: SettledMove, entry_nm_s: u32, laid_nm: u32, line: u32) {
        let SettledMove { duration_ns, ramp_ns, peak_nm_s, exit_nm_s } = settled;
        let (up, down) = (peak_nm_s.saturating_sub(entry_nm_s), peak_nm_s.saturating_sub(exit_nm_s));
        // One acceleration: the times are as the speeds gained and lost.
        let rise_ns = portion(ramp_ns, up.into(), u64::from(up) + u64::from(down));
        let fall_ns = ramp_ns - rise_ns.min(ramp_ns);
        let cruise_ns = duration_ns.saturating_sub(ramp_ns);
        let mean = |a: u32, b: u32| u64::from(a.midpoint(b)).max(1);
        let way = |ns: u64, speed: u64| ns.saturating_mul(speed);
        let phases = [
            (rise_ns, entry_nm_s, peak_nm_s),
            (cruise_ns, peak_nm_s, peak_nm_s),
            (fall_ns, peak_nm_s, exit_nm_s),
        ];
        let whole =
            phases.iter().fold(0, |sum, (ns, from, to)| way(*ns, mean(*from, *to)).saturating_add(sum));
        let mut left_nm = u64::from(laid_nm);
        for (ns, from, to) in phases {
            let parts = if from == to { 1 } else { (ns / RAMP_NS + 1).min(RAMP_PIECES) };
            let at = |part: u64| {
                let step = portion(from.abs_diff(to).into(), part, parts);
                if to > from { u64::from(from) + step } else { u64::from(from) - step }
            };
            // From one edge to the next, so that no time is lost.
            let (mut begin, mut before) = (0, at(0));
            for edge in 1..=parts {
                let (end, after) = (portion(ns, edge, parts), at(edge));
                let speed = before.midpoint(after).max(1);
                let share = portion(laid_nm.into(), way(end - begin, speed), whole).min(left_nm);
                left_nm -= share;
                self.add(end - begin, share, line);
                (begin, before) = (end, after);
            }
        }
        self.add(0, left_nm, line);
    }

    /// So much filament evenly over a time.
    #[inline]
    fn add(&mut self, duration_ns: u64, filament_nm: u64, line: u32) {
        if duration_ns >= 2 * PIECE_NS {
            self.close(line);
        }
        self.open_ns = self.open_ns.saturating_add(duration_ns);
        self.open_nm = self.open_nm.saturating_add(filament_nm);
        if self.open_ns >= PIECE_NS {
            self.close(line);
        }
    }

    /// The piece that is being put together is one.
    #[inline(never)]
    fn close(&mut self, line: u32) {
        let (mut ns, mut nm) = (self.open_ns, self.open_nm);
        if ns == 0 {
            return;
        }
        (self.open_ns, self.open_nm) = (0, 0);
        const LONG_NS: u64 = 2 * WINDOW_NS as u64;
        if ns > LONG_NS {
            // Of an even time two windows tell all.
            nm = mul_div(nm, LONG_NS, ns).unwrap_or(0);
            ns = LONG_NS;
        }
        let [ns, nm] = [ns, nm].map(|value| u32::try_from(value).unwrap_or(u32::MAX));
        self.pass(FlowPiece::new(ns, nm), line);
    }

    /// The window's front end passes a piece, its back end what lies half a second behind.
    fn pass(&mut self, piece: FlowPiece, line: u32) {
        let filled = self.span_ns - u64::from(self.gone_ns);
        let room = u64::from(WINDOW_NS).saturating_sub(filled);
        let mut left = piece.ns.saturating_sub(u32::try_from(room).unwrap_or(u32::MAX));
        while left > 0 {
            let Some(back) = self.back().filter(|back| back.ns - self.gone_ns <= left) else { break };
            left -= back.ns - self.gone_ns;
            self.drop_back(back);
            self.note(self.held_nm + piece.over(piece.ns - left), line);
        }
        self.push(piece);
        self.gone_ns += left;
        let behind = self.back().map_or(0, |back| back.over(self.gone_ns));
        self.note(self.held_nm - behind.min(self.held_nm), line);
    }

    fn back(&self) -> Option<FlowPiece> {
        self.pieces.get(self.first).copied().filter(|_| self.count > 0)
    }

    fn drop_back(&mut self, back: FlowPiece) {
        self.first = (self.first + 1) % PIECES;
        self.count -= 1;
        self.gone_ns = 0;
        self.span_ns -= u64::from(back.ns);
        self.held_nm -= u64::from(back.nm);
    }

    fn push(&mut self, piece: FlowPiece) {
        // Never full, as the pieces' least length has it.
        if self.count >= PIECES
            && let Some(back) = self.back()
        {
            self.drop_back(back);
        }
        if let Some(place) = self.pieces.get_mut((self.first + self.count) % PIECES) {
            *place = piece;
        }
        self.count += 1;
        self.span_ns += u64::from(piece.ns);
        self.held_nm += u64::from(piece.nm);
    }

    #[inline]
    fn note(&mut self, window: u64, line: u32) {
        if window > self.most {
            self.most = window;
            self.most_line = line;
        }
    }

    /// What was found, with filament of a diameter in µm.
    pub(super) fn finish(&mut self, filament_um: u32, line: u32) -> Flow {
        self.close(line);
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
            mean_bead_um_s: 0,
        }
    }
}

/// `value` · `part` / `whole`, rounded down, for a part not above the whole: exact while value and whole have 32 bits, else
/// to their upper 32. The general division of such products takes a board thousands of instructions.
fn portion(value: u64, part: u64, whole: u64) -> u64 {
    if part >= whole {
        return value;
    }
    let long = (64 - value.leading_zeros()).saturating_sub(32);
    let wide = (64 - whole.leading_zeros()).saturating_sub(32);
    u64::from(quotient((value >> long) * (part >> wide), (whole >> wide) as u32)) << long
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

    /// Two spikes of 20 ms half a second apart from edge to edge, at an odd time: both are within one window.
    #[test]
    fn spikes_at_both_ends_of_a_window_count() {
        for odd_ns in [0, 3_141_592, 7_812_500, 12_345_678] {
            let mut gauge = FlowGauge::default();
            gauge.add(1_000_000_000 + odd_ns, 0, 1);
            gauge.add(20_000_000, 1_000_000, 2);
            gauge.add(460_000_000, 0, 3);
            gauge.add(20_000_000, 1_000_000, 4);
            gauge.add(700_000_000, 0, 5);
            let flow = gauge.finish(1750, 6);
            // 2 mm in half a second: 4 mm/s of 2.40528 mm².
            assert!(flow.sustained_nl_s.abs_diff(9621) <= 9, "{odd_ns}: {flow:?}");
        }
    }

    /// From rest to 80 mm/s at 100 mm/s² and back: the best half second has a mean of 80 − 100·0.25/2 = 67.5 mm/s.
    #[test]
    fn a_long_ramp_has_its_flow_at_the_top() {
        let mut gauge = FlowGauge::default();
        let settled = SettledMove {
            duration_ns: 1_600_000_000,
            ramp_ns: 1_600_000_000,
            peak_nm_s: 80_000_000,
            exit_nm_s: 0,
        };
        // 64 mm of path, 0.04 mm of filament each: 2.7 mm/s of 2.40528 mm².
        gauge.lay(settled, 2_560_000, 1);
        let flow = gauge.finish(1750, 2);
        assert!(flow.sustained_nl_s.abs_diff(6494) <= 30, "{flow:?}");
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
