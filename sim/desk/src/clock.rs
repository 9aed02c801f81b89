//! The clock that the core is handed: one that is turned by hand.

use chrono::{NaiveDateTime, TimeDelta};
use holdpoint_shared::app::Now;
use holdpoint_shared::time::Instant;

/// A clock that goes on only when it is told to, so that the same run gives the same picture.
#[derive(Clone, Copy, Debug)]
pub struct HandClock {
    now: Now,
    times: u32,
}

impl HandClock {
    /// A clock that shows `wall`.
    #[must_use]
    pub const fn at(wall: NaiveDateTime) -> Self {
        Self::at_speed(wall, 1)
    }

    /// A clock that shows `wall` and takes every millisecond it is told to pass for `times` as many.
    #[must_use]
    pub const fn at_speed(wall: NaiveDateTime, times: u32) -> Self {
        Self { now: shown(wall), times }
    }

    /// What it shows.
    #[must_use]
    pub const fn now(&self) -> Now {
        self.now
    }

    /// Turns it forward; its wall clock stands, since a run by hand takes no time in the room.
    pub const fn forward_ms(&mut self, ms: u64) {
        self.now.instant = self.now.instant.after_ms(ms);
    }

    /// Lets time pass in the room, wall clock and all; gives the milliseconds that passed there. A wall clock at the
    /// calendar's end is lost.
    pub fn pass_ms(&mut self, ms: u64) -> u64 {
        let passed_ms = ms.saturating_mul(u64::from(self.times));
        self.now.instant = self.now.instant.after_ms(passed_ms);
        self.now.wall = i64::try_from(passed_ms)
            .ok()
            .and_then(TimeDelta::try_milliseconds)
            .and_then(|delta| self.now.wall?.checked_add_signed(delta));
        passed_ms
    }
}

/// What a clock shows that was started at `wall`.
const fn shown(wall: NaiveDateTime) -> Now {
    Now { instant: Instant(0), wall: Some(wall) }
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::*;

    fn at(hour: u32, minute: u32, second: u32) -> NaiveDateTime {
        NaiveDate::from_ymd_opt(2026, 11, 25).unwrap().and_hms_opt(hour, minute, second).unwrap()
    }

    #[test]
    fn sixty_times_as_fast_makes_a_second_a_minute() {
        let mut clock = HandClock::at_speed(at(10, 0, 0), 60);
        assert_eq!(clock.pass_ms(1000), 60_000);
        assert_eq!(clock.now(), Now { instant: Instant(60_000), wall: Some(at(10, 1, 0)) });
        clock.forward_ms(500);
        assert_eq!(clock.now(), Now { instant: Instant(60_500), wall: Some(at(10, 1, 0)) });
    }

    #[test]
    fn the_calendar_s_end_loses_the_wall_clock_and_nothing_else() {
        let mut clock = HandClock::at(at(10, 0, 0));
        assert_eq!(clock.pass_ms(u64::MAX), u64::MAX);
        assert_eq!(clock.now(), Now { instant: Instant(u64::MAX), wall: None });
        clock.pass_ms(1);
        assert_eq!(clock.now().wall, None);
    }
}
