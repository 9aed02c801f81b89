//! What the device remembers of its machine, and times as the ledger keeps them.

use chrono::NaiveDate;
use heapless::Vec;

use crate::ledger::GivenUp;
use crate::phase::{CODES, LEARNED_RUNS, LearnedTime, Outcome, learn};
use crate::records::OwnerCode;
use crate::time::WallClock;

/// What the device remembers of its machine, as far as it is needed between two looks into the flash.
#[derive(Clone, Debug, Default)]
pub(super) struct Memory {
    /// Number of the newest run.
    pub(super) run: u32,
    /// Starts since the plate was washed.
    pub(super) starts_since_wash: u16,
    /// Minutes that the nozzle has printed.
    pub(super) nozzle_minutes: u32,
    /// Ratios of true to estimated time, permille, newest last.
    pub(super) ratios: Vec<u16, LEARNED_RUNS>,
    /// Codes of owners who started something here last, the newest first.
    pub(super) owners: Vec<OwnerCode, CODES>,
    /// How the last run ended here; `None` = none is known.
    pub(super) last: Option<Outcome>,
    /// The clock was set, and that is not logged yet.
    pub(super) clock_due: bool,
    /// Since when a lead holds the machine; `None` = nobody does, or the clock was not set.
    pub(super) held_since: Option<WallClock>,
}

impl Memory {
    pub(super) fn learned(&self) -> LearnedTime {
        learn(&self.ratios)
    }
}

/// What had to be given up, as far as it is still to be told.
#[derive(Clone, Debug, Default)]
pub(super) struct GivenUpRows {
    /// The last one, for the screen.
    pub(super) last: Option<GivenUp>,
    /// The ledger has names for a card's events.
    pub(super) in_ledger: bool,
    /// The last one's name is here alone.
    pub(super) here: bool,
}

impl GivenUpRows {
    pub(super) fn job(&self) -> &str {
        self.last.as_ref().map_or("", |row| &row.job)
    }

    pub(super) fn started(&self) -> Option<WallClock> {
        after_2000(self.last.as_ref()?.started_s)
    }
}

/// 2000-01-01, in seconds since 1970: from there on the ledger counts.
const BEGINS: i64 = 946_684_800;

/// A time as the ledger keeps it; 0 without a clock.
pub(super) fn since_2000_s(wall: Option<WallClock>) -> u32 {
    wall.and_then(|wall| u32::try_from(wall.and_utc().timestamp() - BEGINS).ok()).unwrap_or(0)
}

/// The same, read back.
pub(super) fn after_2000(seconds: u32) -> Option<WallClock> {
    let since_1970_s = BEGINS + i64::from(seconds);
    (seconds > 0)
        .then(|| chrono::DateTime::from_timestamp(since_1970_s, 0).map(|at| at.naive_utc()))
        .flatten()
}

/// The day from which days are counted.
pub(super) fn day_2000() -> Option<NaiveDate> {
    NaiveDate::from_ymd_opt(2000, 1, 1)
}
