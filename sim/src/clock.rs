//! The clocks that the core is handed: one that runs with the computer's, one that is turned by hand.

use std::time::Instant as Started;

use chrono::{Local, NaiveDateTime, TimeDelta, TimeZone, Timelike};
use holdpoint_shared::app::Now;
use holdpoint_shared::time::Instant;

/// A clock that runs in real time from a given local time on.
#[derive(Clone, Copy, Debug)]
pub struct RunningClock {
    began: NaiveDateTime,
    started: Started,
}

impl RunningClock {
    /// A clock that shows `began` now.
    #[must_use]
    pub fn from(began: NaiveDateTime) -> Self {
        Self { began, started: Started::now() }
    }

    /// What it shows now.
    #[must_use]
    pub fn now(&self) -> Now {
        let elapsed = self.started.elapsed();
        let wall = TimeDelta::from_std(elapsed).ok().and_then(|delta| self.began.checked_add_signed(delta));
        Now { instant: Instant(u64::try_from(elapsed.as_millis()).unwrap_or(u64::MAX)), wall }
    }
}

/// A clock that goes on only when it is told to, so that the same run gives the same picture.
#[derive(Clone, Copy, Debug)]
pub struct HandClock {
    now: Now,
}

impl HandClock {
    /// A clock that shows `wall`.
    #[must_use]
    pub const fn at(wall: NaiveDateTime) -> Self {
        Self { now: Now { instant: Instant(0), wall: Some(wall) } }
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
}

/// Minutes east of UTC at which the computer's clock stood at a local time. A time that the clocks passed twice or
/// skipped counts as the earlier one, or as UTC.
#[must_use]
pub fn utc_offset_min(at: NaiveDateTime) -> i32 {
    Local.offset_from_local_datetime(&at).earliest().map_or(0, |offset| offset.local_minus_utc() / 60)
}

/// The computer's local time to the second.
#[must_use]
pub fn local_time() -> NaiveDateTime {
    let now = Local::now().naive_local();
    now.with_nanosecond(0).unwrap_or(now)
}
