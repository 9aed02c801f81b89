//! Jobs made by code, to measure the checks: sound ones that must pass in silence, faulty ones with one planted
//! fault each, and ones that come close to a limit without crossing it.
//!
//! Nothing here looks at what the program under test computes: beads are sized by plane geometry, temperatures and
//! habits are the trade's common practice, and what a fault must raise is written down beside it.

mod by_hand;
mod card;
pub mod cases;
mod dialect;
pub mod edits;
pub mod faulty;
pub mod near;
mod near_limits;
mod near_room;
mod plan;
mod remarks;
pub mod rooms;
mod shape;
pub mod sketch;
pub mod sound;
pub mod sound_feed;
pub mod sound_relief;
pub mod spirals;
pub mod strips;
mod words;
mod writing;

pub use card::{Card, CardFaults};
pub use dialect::{Arcs, Comments, Dialect, Retract};
pub use plan::{End, Heat, Note, Plan, Purge, Start};
pub use shape::Shape;
pub use sketch::{Expected, Place, Sketch, Sketched};

use chrono::{NaiveDate, NaiveDateTime};
use holdpoint_shared::app::{Depth, Now, Setup, Vetting};
use holdpoint_shared::checks::{Finding, Level, Verdict};
use holdpoint_shared::time::Instant;

/// A job on its card with all that it is checked against.
#[derive(Clone, Debug)]
pub struct Job {
    /// What it is, for the test's own words.
    pub what: String,
    /// The card's files, the job first: names, bytes, and the minutes before `now` at which they were saved.
    pub files: Vec<(String, Vec<u8>, i64)>,
    pub card: CardFaults,
    pub setup: Setup,
    /// `None` = the clock is not set.
    pub now: Option<NaiveDateTime>,
}

/// What a vetting gave.
#[derive(Clone, Debug)]
pub struct Outcome {
    pub verdict: Verdict,
    pub findings: Vec<Finding>,
}

impl Outcome {
    /// What a person at the machine is stopped for.
    #[must_use]
    pub fn points(&self) -> Vec<&Finding> {
        self.findings.iter().filter(|finding| finding.level > Level::Note).collect()
    }
}

/// Wednesday, 25 November 2026, at an hour and minute.
///
/// # Panics
/// When there is no such time.
#[must_use]
pub fn wednesday(hour: u32, minute: u32) -> NaiveDateTime {
    let day = NaiveDate::from_ymd_opt(2026, 11, 25).expect("a day of the calendar");
    day.and_hms_opt(hour, minute, 0).expect("a time of day")
}

impl Job {
    /// One file alone on its card, on a Wednesday at ten.
    #[must_use]
    pub fn new(what: impl Into<String>, bytes: Vec<u8>, setup: Setup) -> Self {
        let files = vec![("PART.GCO".to_owned(), bytes, 30)];
        Self { what: what.into(), files, card: CardFaults::default(), setup, now: Some(wednesday(10, 0)) }
    }

    /// Vets it as the device and the desk do: every byte through the card, the survey and all checks.
    ///
    /// # Panics
    /// When the card loses the job.
    #[must_use]
    pub fn vet(&self) -> Outcome {
        let base = self.now.unwrap_or_else(|| wednesday(10, 0));
        let mut card = Card::new(&self.files, base, self.card);
        let mut vetting = Vetting::new();
        vetting.start(&card.entry(0), Depth::Whole);
        let now = Now { instant: Instant(0), wall: self.now };
        loop {
            match vetting.poll(&mut card, &self.setup, now) {
                Ok(()) => break,
                Err(nb::Error::WouldBlock) => {}
                Err(nb::Error::Other(error)) => panic!("{}: {error:?}", self.what),
            }
        }
        let report = vetting.report();
        Outcome { verdict: report.verdict, findings: report.findings.iter().cloned().collect() }
    }
}
