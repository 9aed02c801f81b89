//! The first layer's steps: equal amounts of the filament that lead and first layer lay.
//!
//! How much that is in all is known at the layer's end only. So a step is short at first, and whenever the last one is
//! full each two become one. The picture is drawn as moves come, their times are known as they settle: both sides go by
//! the same filament, and so by the same steps.

use super::values::FOOTPRINT_STEPS;
use crate::units::mul_div;

/// A step's filament at first, as a power of two, nm: a quarter of a millimetre. Chosen here: all but a few strokes come
/// to more, and double it.
const FIRST_SHIFT: u8 = 18;

/// Filament laid so far, in steps.
#[derive(Clone, Copy, Debug)]
pub(super) struct Steps {
    laid_nm: u64,
    /// A step's filament, as a power of two, nm.
    shift: u8,
}

impl Default for Steps {
    fn default() -> Self {
        Self { laid_nm: 0, shift: FIRST_SHIFT }
    }
}

impl Steps {
    /// A bead with its filament; gives what was laid before it and with it, nm. `halve` is called for each time that
    /// two steps become one.
    pub(super) fn bead(&mut self, laid_nm: u32, mut halve: impl FnMut()) -> [u64; 2] {
        let before = self.laid_nm;
        self.laid_nm = before.saturating_add(laid_nm.into());
        while self.index(self.laid_nm.saturating_sub(1)) >= FOOTPRINT_STEPS.into() {
            self.shift += 1;
            halve();
        }
        [before, self.laid_nm]
    }

    /// The place of the step, from 0, in which so much is laid, nm.
    pub(super) const fn index(&self, laid_nm: u64) -> u64 {
        laid_nm.wrapping_shr(self.shift as u32)
    }

    /// Steps that were begun.
    pub(super) fn begun(&self) -> u8 {
        if self.laid_nm == 0 { 0 } else { self.index(self.laid_nm - 1).min(FOOTPRINT_STEPS.into()) as u8 + 1 }
    }
}

/// When each step begins, as moves settle.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct StepTimes {
    steps: Steps,
    /// ms, without the machine sheet's factor; held at the type's end, seven weeks.
    begins_ms: [u32; FOOTPRINT_STEPS as usize],
}

impl StepTimes {
    /// A bead of lead or first layer: its filament, begin and time.
    pub(super) fn bead(&mut self, laid_nm: u32, start_ns: u64, duration_ns: u64) {
        let begins = &mut self.begins_ms;
        let [before, after] = self.steps.bead(laid_nm, || {
            for to in 0..begins.len().div_ceil(2) {
                let begin = begins.get(2 * to).copied().unwrap_or(0);
                begins.get_mut(to).into_iter().for_each(|place| *place = begin);
            }
        });
        // The steps that begin in this bead: most beads have none.
        let mut at = before.checked_next_multiple_of(1 << (self.steps.shift & 63)).unwrap_or(u64::MAX);
        while at < after {
            let share = mul_div(duration_ns, at - before, laid_nm.into()).unwrap_or(0);
            let step = usize::try_from(self.steps.index(at)).unwrap_or(usize::MAX);
            begins.get_mut(step).into_iter().for_each(|begin| *begin = ms(start_ns.saturating_add(share)));
            at = at.saturating_add(1 << (self.steps.shift & 63));
        }
    }

    /// Begin of each step, permille of the layer's time, and how many there are.
    pub(super) fn begins(&self, start_ns: u64, end_ns: u64) -> ([u16; FOOTPRINT_STEPS as usize], u8) {
        let (start, end) = (ms(start_ns), ms(end_ns));
        let span = u64::from(end.saturating_sub(start).max(1));
        let share = |at_ms: u32| {
            let into = u64::from(at_ms.saturating_sub(start)).min(span);
            u16::try_from(into * 1000 / span).unwrap_or(1000)
        };
        (self.begins_ms.map(share), self.steps.begun())
    }
}

fn ms(ns: u64) -> u32 {
    u32::try_from(ns / 1_000_000).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Beads of one length and one time each: step k of n begins at k/n of the whole, whatever the doubling.
    #[test]
    fn equal_beads_begin_steps_at_equal_times() {
        for count in [1_u64, 7, 100, 5_000] {
            let mut times = StepTimes::default();
            for bead in 0..count {
                times.bead(1_000_000, bead * 2_000_000_000, 2_000_000_000);
            }
            let whole_nm = count * 1_000_000;
            let (begins, known) = times.begins(0, count * 2_000_000_000);
            let step_nm = 1_u64 << times.steps.shift;
            assert_eq!(u64::from(known), whole_nm.div_ceil(step_nm), "{count}");
            assert!(count < 5 || known >= 8, "{count}: {known} steps");
            for (step, begin) in (0..known.into()).zip(begins) {
                let expected = step as f64 * step_nm as f64 * 1000.0 / whole_nm as f64;
                assert!((f64::from(begin) - expected).abs() <= 1.0, "{count}: {step} {begin} {expected}");
            }
        }
    }

    #[test]
    fn a_bead_of_any_size_ends_the_doubling() {
        let mut steps = Steps::default();
        for _ in 0..4 {
            steps.bead(u32::MAX, || {});
        }
        steps.laid_nm = u64::MAX - 1;
        steps.bead(u32::MAX, || {});
        assert!(steps.index(u64::MAX - 1) < FOOTPRINT_STEPS.into());
        assert_eq!(Steps::default().begun(), 0);
    }
}
