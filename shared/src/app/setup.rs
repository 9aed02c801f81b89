//! What the device goes by: the time, the records, and what is known besides them.

use crate::checks::{Answers, History, Probes, Settlement, Settlements};
use crate::phase::FailReason;
use crate::records::{Grade, Language, Machine, Room, Spool, UnknownKey};
use crate::time::{Instant, WallClock};
use chrono::NaiveDate;

/// The time, as the caller knows it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Now {
    /// Never goes back; for waits.
    pub instant: Instant,
    /// The wall clock; `None` = not set, or doubtful after a power cut.
    pub wall: Option<WallClock>,
}

/// What a job is checked against.
#[derive(Clone, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Setup {
    /// The machine sheet.
    pub machine: Machine,
    /// The loaded spool's ticket; `None` = no spool is known.
    pub spool: Option<Spool>,
    /// The room rules.
    pub room: Room,
    /// Language of the screens, whatever the room rules say; `None` = theirs.
    pub language: Option<Language>,
    /// Keys of each record that are not known, in the order of [`RecordName::ALL`](crate::records::RecordName::ALL).
    pub unknown_keys: [Option<UnknownKey>; 3],
    /// Records that were refused with none in use in their place, in the same order.
    pub refused: [bool; 3],
    /// What was settled for machines and spools.
    pub settled: Settlements,
    /// What else is known here and now.
    pub known: Known,
}

/// What is known besides the records: remembered, told and measured.
#[derive(Clone, Debug, Default)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Known {
    /// What is remembered of machine and spool.
    pub history: History,
    /// What a person said of this job.
    pub answers: Answers,
    /// What the probes read.
    pub probes: Probes,
    /// When the spool's sticker was read for this machine, and nothing went wrong since; it holds for
    /// [`SPOOL_HOURS`](crate::phase::SPOOL_HOURS).
    pub spool_answered: Option<Instant>,
    /// Why the last run here failed, if it did.
    pub last_failure: Option<FailReason>,
    /// The last day on which something was started here, as far as is remembered.
    pub started_on: Option<NaiveDate>,
    /// The day on which the plate was last washed, as far as is remembered.
    pub washed_on: Option<NaiveDate>,
    /// A card was pulled out while it was read, and no other was read since.
    pub pulled_early: bool,
    /// The file in the slot is not the one that got the verdict.
    pub changed_since_verdict: bool,
}

impl Setup {
    /// The three records, with nothing settled.
    #[must_use]
    pub fn new(machine: Machine, spool: Option<Spool>, room: Room) -> Self {
        Self {
            machine,
            spool,
            room,
            language: None,
            unknown_keys: [const { None }; 3],
            refused: [false; 3],
            settled: Settlements::new(),
            known: Known::default(),
        }
    }

    /// The settlement of a check that holds for this machine or the loaded spool.
    #[must_use]
    pub fn settlement(&self, check: u8) -> Option<&Settlement> {
        self.settled.find(check, &self.machine.tag, self.spool_id())
    }

    /// The grade on the loaded spool's ticket, as this room names it.
    #[must_use]
    pub fn spool_grade(&self) -> Option<Grade> {
        self.spool.as_ref().and_then(|spool| self.room.grade(&spool.material))
    }

    /// The loaded spool's number; empty = no spool is known.
    pub(super) fn spool_id(&self) -> &str {
        self.spool.as_ref().map_or("", |spool| &spool.id)
    }
}
