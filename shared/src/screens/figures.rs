//! Numbers and times as screens name them: estimated or not, on which day.

use chrono::{Datelike, Days, NaiveDate};

use crate::time::WallClock;

/// A number and whether it was estimated (shown with `≈`) rather than stated or measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Figure<T> {
    /// The number.
    pub value: T,
    /// Whether it is an estimate.
    pub estimated: bool,
}

impl<T> Figure<T> {
    /// A number that was stated or measured.
    pub const fn known(value: T) -> Self {
        Self { value, estimated: false }
    }

    /// An estimate.
    pub const fn estimated(value: T) -> Self {
        Self { value, estimated: true }
    }
}

/// How a day is named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Day {
    /// "yesterday"
    Yesterday,
    /// "today"; left out where only a time is wanted.
    Today,
    /// "tomorrow"
    Tomorrow,
    /// By its weekday: within the six days that follow.
    Weekday,
    /// Day and month.
    Date,
    /// Day, month and year, without the time.
    OtherYear,
    /// Nobody kept it: nothing is written.
    NotKept,
}

impl Day {
    /// How `date` is named on the day `today`; without a clock always with its year.
    #[must_use]
    pub fn of(date: NaiveDate, today: Option<NaiveDate>) -> Self {
        let Some(today) = today else { return Self::OtherYear };
        let within_week = today.checked_add_days(Days::new(6)).is_some_and(|last| date <= last);
        if date == today {
            Self::Today
        } else if Some(date) == today.pred_opt() {
            Self::Yesterday
        } else if Some(date) == today.succ_opt() {
            Self::Tomorrow
        } else if date > today && within_week {
            Self::Weekday
        } else if date.year() == today.year() {
            Self::Date
        } else {
            Self::OtherYear
        }
    }
}

/// An o'clock time and how its day is named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct ClockTime {
    /// The time.
    pub at: WallClock,
    /// How its day is named.
    pub day: Day,
}

impl ClockTime {
    /// `at` as it is named at `now`.
    #[must_use]
    pub fn new(at: WallClock, now: Option<WallClock>) -> Self {
        Self { at, day: Day::of(at.date(), now.map(|now| now.date())) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    #[test]
    fn days_are_named_as_people_name_them() {
        let today = Some(date(2026, 11, 25));
        assert_eq!(Day::of(date(2026, 11, 25), today), Day::Today);
        assert_eq!(Day::of(date(2026, 11, 24), today), Day::Yesterday);
        assert_eq!(Day::of(date(2026, 11, 26), today), Day::Tomorrow);
        assert_eq!(Day::of(date(2026, 12, 1), today), Day::Weekday);
        assert_eq!(Day::of(date(2026, 12, 2), today), Day::Date);
        assert_eq!(Day::of(date(2026, 11, 23), today), Day::Date);
        assert_eq!(Day::of(date(2025, 11, 25), today), Day::OtherYear);
        assert_eq!(Day::of(date(2026, 11, 25), None), Day::OtherYear);
        assert_eq!(Day::of(NaiveDate::MAX, Some(NaiveDate::MIN)), Day::OtherYear);
        assert_eq!(Day::of(NaiveDate::MIN, Some(NaiveDate::MAX)), Day::OtherYear);
    }
}
