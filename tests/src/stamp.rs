//! The time that the `fatfs` crate stamps files with: it asks a clock, and this one is set by hand, so that a
//! card's files keep the times of their sources.

use std::cell::Cell;

use chrono::{Datelike, NaiveDate, NaiveDateTime, Timelike};

thread_local! {
    static STAMP: Cell<fatfs::DateTime> = const { Cell::new(OLDEST) };
}

/// The oldest time that FAT can keep.
const OLDEST: fatfs::DateTime = fatfs::DateTime {
    date: fatfs::Date { year: 1980, month: 1, day: 1 },
    time: fatfs::Time { hour: 0, min: 0, sec: 0, millis: 0 },
};

/// The newest time that FAT can keep.
const NEWEST: fatfs::DateTime = fatfs::DateTime {
    date: fatfs::Date { year: 2107, month: 12, day: 31 },
    time: fatfs::Time { hour: 23, min: 59, sec: 58, millis: 0 },
};

/// The clock, for `FsOptions::time_provider`.
#[derive(Debug)]
pub struct Stamp;

/// The one clock; every thread sets its own time.
pub static STAMP_CLOCK: Stamp = Stamp;

impl Stamp {
    /// Sets the local time that everything written from now on gets; `None` is the oldest. Times beyond what FAT
    /// can keep (1980 to 2107) count as its first or last.
    pub fn set(&self, local: Option<NaiveDateTime>) {
        STAMP.set(local.map_or(OLDEST, encoded));
    }
}

fn encoded(local: NaiveDateTime) -> fatfs::DateTime {
    let narrow = |number: u32| u16::try_from(number).unwrap_or(u16::MAX);
    if local.date() < NaiveDate::from_ymd_opt(1980, 1, 1).unwrap_or_default() {
        return OLDEST;
    }
    match u16::try_from(local.year()) {
        Ok(year @ ..=2107) => fatfs::DateTime {
            date: fatfs::Date { year, month: narrow(local.month()), day: narrow(local.day()) },
            time: fatfs::Time {
                hour: narrow(local.hour()),
                min: narrow(local.minute()),
                sec: narrow(local.second()),
                millis: 0,
            },
        },
        _ => NEWEST,
    }
}

impl fatfs::TimeProvider for Stamp {
    fn get_current_date(&self) -> fatfs::Date {
        STAMP.get().date
    }

    fn get_current_date_time(&self) -> fatfs::DateTime {
        STAMP.get()
    }
}
