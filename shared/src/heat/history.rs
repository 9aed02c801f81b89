//! The last two minutes of a probe.

use super::MilliCelsius;

/// Time between samples, ms: with eight of them two minutes, the span that a start, an end and a flat line want.
const SPACING_MS: u32 = 15_000;

/// A longer silence breaks the curve: what comes after it is a new one.
const SILENCE_MS: u32 = 3 * SPACING_MS;

/// Samples 15 s apart, newest first.
#[derive(Clone, Debug, Default)]
pub(super) struct ProbeHistory {
    samples: [i32; 8],
    filled: u8,
    /// Since the newest sample.
    since_ms: u32,
}

impl ProbeHistory {
    /// Takes a reading that came `elapsed_ms` after the last one.
    pub(super) fn push(&mut self, elapsed_ms: u32, reading: MilliCelsius) {
        self.since_ms = self.since_ms.saturating_add(elapsed_ms);
        if self.since_ms > SILENCE_MS {
            self.filled = 0;
        }
        if self.filled == 0 {
            self.samples = [reading.0; 8];
        } else if self.since_ms >= SPACING_MS {
            let [a, b, c, d, e, f, g, _] = self.samples;
            self.samples = [reading.0, a, b, c, d, e, f, g];
        } else {
            return;
        }
        self.filled = (self.filled + 1).min(8);
        self.since_ms = 0;
    }

    /// Begins anew.
    pub(super) const fn clear(&mut self) {
        self.filled = 0;
    }

    /// Whether the samples span two minutes.
    pub(super) const fn spans_two_minutes(&self) -> bool {
        self.filled == 8
    }

    /// The reading of 60 to 75 s ago.
    pub(super) const fn minute_ago(&self) -> Option<i32> {
        let [_, _, _, _, then, ..] = self.samples;
        if self.filled >= 5 { Some(then) } else { None }
    }

    /// Least and most of the last two minutes, m°C.
    pub(super) fn extremes(&self) -> (i32, i32) {
        self.samples.iter().fold((i32::MAX, i32::MIN), |(least, most), &t| (least.min(t), most.max(t)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_minute_ago_is_sixty_to_seventy_five_seconds() {
        let mut history = ProbeHistory::default();
        for second in 0..300_i32 {
            history.push(1000, MilliCelsius(second));
            if let Some(then) = history.minute_ago() {
                assert!((60..=75).contains(&(second - then)), "{second}: {then}");
            } else {
                assert!(second < 61);
            }
            assert_eq!(history.spans_two_minutes(), second >= 105);
        }
        assert_eq!(history.extremes(), (180, 285));
    }

    #[test]
    fn a_silence_begins_anew() {
        let mut history = ProbeHistory::default();
        for _ in 0..20 {
            history.push(15_000, MilliCelsius(20_000));
        }
        history.push(60_000, MilliCelsius(50_000));
        assert_eq!((history.minute_ago(), history.extremes()), (None, (50_000, 50_000)));
    }
}
