//! Sounds: one at once, then at most three more, 1, 3 and 8 minutes later; any touch of the knob ends them.

use super::Beep;
use crate::time::Instant;

/// When a sound is repeated, ms after its first (job catalogue, section 4).
const REPEATS_MS: [u64; 3] = [60_000, 180_000, 480_000];

/// What is being sounded.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Beeper {
    beep: Option<(Beep, Instant)>,
    repeats: u8,
}

impl Beeper {
    pub(super) const fn start(&mut self, now: Instant, beep: Beep) {
        self.beep = Some((beep, now));
        self.repeats = 0;
    }

    pub(super) const fn end(&mut self) {
        self.beep = None;
    }

    pub(super) fn due(&self) -> Option<Instant> {
        let (_, since) = self.beep?;
        REPEATS_MS.get(usize::from(self.repeats)).map(|&ms| since.after_ms(ms))
    }

    /// The sound that is due, once for all repeats that were missed.
    pub(super) fn take(&mut self, now: Instant) -> Option<Beep> {
        let mut sound = None;
        while self.due().is_some_and(|due| due <= now) {
            sound = self.beep.map(|(beep, _)| beep);
            self.repeats += 1;
        }
        sound
    }
}
