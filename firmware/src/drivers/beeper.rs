//! What a beeper sounds when, without waiting: asked for its level from time to time.

use holdpoint_shared::phase::Beep;
use holdpoint_shared::time::Instant;

/// A sound: how often, and for how long it is on and off each time.
struct Pattern {
    times: u64,
    on_ms: u64,
    off_ms: u64,
}

/// One short, two short, three slow (the core says how many; their lengths are judgement).
const fn pattern(beep: Beep) -> Pattern {
    match beep {
        Beep::Start => Pattern { times: 1, on_ms: 120, off_ms: 0 },
        Beep::Attention => Pattern { times: 2, on_ms: 120, off_ms: 120 },
        Beep::Alarm => Pattern { times: 3, on_ms: 500, off_ms: 300 },
    }
}

/// A beeper over time.
#[derive(Clone, Copy, Debug, Default)]
pub struct Beeper {
    playing: Option<(Beep, Instant)>,
}

impl Beeper {
    /// Begins a sound; it ends one that is under way.
    pub const fn start(&mut self, now: Instant, beep: Beep) {
        self.playing = Some((beep, now));
    }

    /// Whether it sounds now. To be asked every 50 ms or more often.
    pub fn level(&mut self, now: Instant) -> bool {
        let Some((beep, since)) = self.playing else { return false };
        let Pattern { times, on_ms, off_ms } = pattern(beep);
        let at = now.since_ms(since);
        let whole = on_ms + off_ms;
        if at >= times * whole {
            self.playing = None;
            return false;
        }
        at % whole < on_ms
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lengths of sound and silence in turn, ms, asked every 10 ms for five seconds.
    fn heard(beep: Beep) -> Vec<u64> {
        let mut beeper = Beeper::default();
        beeper.start(Instant(1_000), beep);
        let levels: Vec<bool> = (0..500).map(|step| beeper.level(Instant(1_000 + step * 10))).collect();
        levels.chunk_by(|a, b| a == b).map(|same| same.len() as u64 * 10).collect()
    }

    #[test]
    fn each_sound_has_its_own_count() {
        assert_eq!(heard(Beep::Start), [120, 4_880]);
        assert_eq!(heard(Beep::Attention), [120, 120, 120, 4_640]);
        assert_eq!(heard(Beep::Alarm), [500, 300, 500, 300, 500, 2_900]);
    }

    #[test]
    fn it_is_quiet_before_and_a_new_sound_ends_the_old() {
        let mut beeper = Beeper::default();
        assert!(!beeper.level(Instant(5)));
        beeper.start(Instant(10), Beep::Alarm);
        beeper.start(Instant(700), Beep::Start);
        assert!(beeper.level(Instant(819)));
        assert!(!beeper.level(Instant(820)));
        assert!(!beeper.level(Instant(900)));
    }
}
