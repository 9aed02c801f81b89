//! The computer's clock.

use chrono::{Local, NaiveDateTime, TimeZone, Timelike};

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
