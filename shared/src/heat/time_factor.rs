//! How far the time estimates are off: what finished jobs took over what was estimated.

use serde::{Deserialize, Serialize};

/// Runs that the time factor remembers (judgement: a fortnight of one machine in a busy room).
const RUNS: usize = 9;

/// Estimates are taken this many times, thousandths, before any run has finished (judgement).
pub const START_PERMILLE: u16 = 1_100;
/// The factor stays within these, thousandths (judgement).
const FACTOR_PERMILLE: (u16, u16) = (900, 1_600);
/// A run outside these is not the job's own time: somebody left it standing, or stopped it (judgement).
const RUN_PERMILLE: (u32, u32) = (500, 3_000);
/// So many jobs give no spread of their own yet; theirs is this, thousandths.
const FIRST_JOBS: usize = 5;
/// See [`FIRST_JOBS`].
const FIRST_SPREAD_PERMILLE: u32 = 100;
/// A window is never narrower than this either way, s.
const LEAST_WINDOW_S: u32 = 180;

/// Actual times over estimated ones, thousandths, of the last runs that finished well.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct TimeFactor {
    /// Newest first; 0 = no run.
    runs: [u16; RUNS],
}

impl TimeFactor {
    /// A run that finished well, without its pauses. One that cannot be the job's own time changes nothing.
    pub fn push(&mut self, actual_s: u32, estimate_s: u32) {
        let permille = u64::from(actual_s) * 1000;
        let Some(permille) = permille.checked_div(u64::from(estimate_s)).and_then(|p| u32::try_from(p).ok())
        else {
            return;
        };
        if (RUN_PERMILLE.0..=RUN_PERMILLE.1).contains(&permille) {
            let [a, b, c, d, e, f, g, h, _] = self.runs;
            self.runs = [permille as u16, a, b, c, d, e, f, g, h];
        }
    }

    fn known(&self) -> &[u16] {
        let count = self.runs.iter().take_while(|run| **run > 0).count();
        self.runs.get(..count).unwrap_or(&[])
    }

    /// The factor on the next estimate, thousandths: the median of the last runs, 900 to 1600; `start` before the
    /// first ([`START_PERMILLE`], or the machine sheet's own).
    ///
    /// ```
    /// use holdpoint_shared::heat::{START_PERMILLE, TimeFactor};
    /// let mut factor = TimeFactor::default();
    /// assert_eq!(factor.permille(START_PERMILLE), 1100);
    /// factor.push(10_160, 9_600);
    /// assert_eq!(factor.permille(START_PERMILLE), 1058);
    /// ```
    #[must_use]
    pub fn permille(&self, start: u16) -> u16 {
        median(self.known()).unwrap_or(start).clamp(FACTOR_PERMILLE.0, FACTOR_PERMILLE.1)
    }

    /// Half the width of the window round an estimate to which the factor was applied, s: 10 % in the first five jobs,
    /// then 1.5 times the median deviation of the last runs, never less than three minutes.
    #[must_use]
    pub fn half_window_s(&self, estimate_s: u32) -> u32 {
        let known = self.known();
        let spread_permille = match median(known) {
            Some(middle) if known.len() >= FIRST_JOBS => {
                let mut apart = [0; RUNS];
                for (apart, run) in apart.iter_mut().zip(known) {
                    *apart = run.abs_diff(middle);
                }
                u32::from(median(apart.get(..known.len()).unwrap_or(&[])).unwrap_or(0)) * 3 / 2
            }
            Some(_) | None => FIRST_SPREAD_PERMILLE,
        };
        // In thousands and the rest apart: no product leaves 32 bits, since a spread stays below 4000.
        let share = (estimate_s / 1000)
            .saturating_mul(spread_permille)
            .saturating_add(estimate_s % 1000 * spread_permille / 1000);
        share.max(LEAST_WINDOW_S)
    }
}

/// The middle value; of an even number the mean of the middle two, rounded down. By counting: sorting costs a board
/// more than nine values are worth.
fn median(values: &[u16]) -> Option<u16> {
    let ranked = |rank: usize| {
        values.iter().copied().find(|value| {
            let below = values.iter().filter(|other| *other < value).count();
            let same = values.iter().filter(|other| *other == value).count();
            (below..below + same).contains(&rank)
        })
    };
    Some(ranked(values.len().checked_sub(1)? / 2)?.midpoint(ranked(values.len() / 2)?))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn factor(permilles: &[u32]) -> TimeFactor {
        let mut factor = TimeFactor::default();
        permilles.iter().for_each(|permille| factor.push(*permille, 1000));
        factor
    }

    #[test]
    fn the_factor_is_the_median_of_the_last_nine() {
        assert_eq!(factor(&[]).permille(START_PERMILLE), 1100);
        assert_eq!(factor(&[1200, 1000]).permille(START_PERMILLE), 1100);
        assert_eq!(factor(&[1000, 2900, 1010]).permille(START_PERMILLE), 1010);
        assert_eq!(factor(&[600, 610, 620]).permille(START_PERMILLE), 900);
        assert_eq!(factor(&[2000, 2000]).permille(START_PERMILLE), 1600);
        // The first three of twelve are forgotten.
        let twelve = [600, 600, 600, 1000, 1001, 1002, 1003, 1004, 1005, 1006, 1007, 1008];
        assert_eq!(factor(&twelve).permille(START_PERMILLE), 1004);
        // Left standing, stopped, or no estimate at all: no run.
        let mut odd = factor(&[3001, 499]);
        odd.push(100, 0);
        odd.push(u32::MAX, 1);
        assert_eq!(odd, TimeFactor::default());
        let text = serde_json::to_string(&factor(&twelve)).unwrap();
        assert_eq!(serde_json::from_str::<TimeFactor>(&text).unwrap(), factor(&twelve));
    }

    #[test]
    fn the_window_is_a_tenth_and_then_by_the_spread() {
        // Two hours: 720 s; half an hour: 180 s; less than that never.
        for runs in [&[][..], &[1000, 1300, 1000, 1300]] {
            assert_eq!(factor(runs).half_window_s(7200), 720);
            assert_eq!(factor(runs).half_window_s(1800), 180);
            assert_eq!(factor(runs).half_window_s(600), 180);
        }
        // Median 1050; apart 50, 20, 0, 10, 40: median 20, 1.5 times 30; of 20,000 s are 600 s.
        let five = factor(&[1000, 1030, 1050, 1060, 1090]);
        assert_eq!(five.half_window_s(20_000), 600);
        assert_eq!(five.half_window_s(1_500), 180);
    }

    proptest! {
        #[test]
        fn no_numbers_panic(
            runs in prop::collection::vec((any::<u32>(), any::<u32>()), 0..20), start: u16, estimate: u32,
        ) {
            let mut factor = TimeFactor::default();
            runs.iter().for_each(|(actual, estimate)| factor.push(*actual, *estimate));
            prop_assert!((900..=1600).contains(&factor.permille(start)));
            prop_assert!(factor.half_window_s(estimate) >= 180);
        }
    }
}
