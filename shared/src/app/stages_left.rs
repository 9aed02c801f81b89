//! What the probes read in the stages of a run that were left, for the day book's events.
//!
//! The card is in the printer while most of it happens: what a stage came to is kept, through a power cut too, until a
//! card takes it.

use heapless::Vec;
use serde::{Deserialize, Serialize};

use crate::daybook::wall;
use crate::heat::{PROBES, Span};
use crate::phase::Stage;
use crate::time::WallClock;

/// The probes' words in an event, in the order of [`Probe`](crate::heat::Probe).
pub(super) const PROBE_WORDS: [&str; PROBES] = ["plate", "nozzle", "air"];

/// Stages that wait for a card: those of a run, and a warm-up and a first layer that had to be run again. When more
/// wait, the oldest is lost.
const WAITING: usize = 7;

/// A stage that was left.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct StageLeft {
    /// Number of the run, as in its row.
    pub(super) run: u32,
    pub(super) stage: Stage,
    /// When.
    #[serde(with = "wall")]
    pub(super) at: Option<WallClock>,
    /// What is still to be written, by probe.
    pub(super) spans: [Option<Span>; PROBES],
}

/// The stages that wait for a card, the oldest first.
pub(super) type WaitingStages = Vec<StageLeft, WAITING>;

/// The stage's word in an event; `None` = not logged.
pub(super) const fn word(stage: Stage) -> Option<&'static str> {
    match stage {
        Stage::Start | Stage::CloseOut => None,
        Stage::WarmUp => Some("WARM"),
        Stage::FirstLayer => Some("WATCH"),
        Stage::Run => Some("RUN"),
        Stage::CoolDown => Some("COOL"),
        Stage::Plate => Some("LIFT"),
    }
}

/// As many stages as may wait, each with the longest of everything.
#[cfg(test)]
pub(super) fn longest() -> WaitingStages {
    let at = chrono::NaiveDate::from_ymd_opt(2099, 12, 31).and_then(|day| day.and_hms_opt(23, 59, 59));
    let span = Span { least_dc: i16::MIN, most_dc: i16::MAX };
    let left = StageLeft { run: u32::MAX, stage: Stage::Plate, at, spans: [Some(span); PROBES] };
    core::iter::repeat_n(left, WAITING).collect()
}
