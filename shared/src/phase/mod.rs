//! events → phases: the one state machine of the core, from a card to the next person's free machine.
//!
//! Takes what happened and what time it is; gives the next phase and what the house must do for it. It knows no clock
//! and no driver, and it has no catch-all arm: an event that a phase has no use for is answered with
//! [`Action::Refused`], never dropped. `transitions.md` holds every phase against every event; a test keeps it true.
//!
//! ```text
//!          card in             listed             press               press or turn on
//! Waiting ────────▶ Reading ──────────▶ Jobs ─────────────▶ Verdict ──────────────────▶ Points
//!    ▲                 │ no jobs        ▲   turn back, or     │  ▲    turn back before     │
//!    │                 ▼                └── press (no points) ┘  └──── the first ──────────┤
//!    │              Nothing                                   │ HOLD: hold the knob        │
//!    │                                                       Key ── code and reason ──┐    │ all read
//!    │                                                        └──────────┐            ▼    ▼
//!    │                              card out, the same card in again:  Away ◀──────▶ Walk ──▶ Release
//!    │                                                                                           │ press and hold:
//!    └── CloseOut ◀── Plate ◀── CoolDown ◀── Run ◀── FirstLayer ◀── WarmUp ◀── Start ◀───────────┘ the gate opens
//! ```
//! Before the release, taking the card out leads to Waiting (from walk-round and release by way of Away); a card fault
//! leads to Fault from every phase with a card. After the release the card is the printer's, and what happens at the
//! slot changes nothing until the run is closed out. A stop leads to CoolDown from wherever it comes.
//!
//! The gate only ever inhibits a start. It opens at the release and stays open through the run and for as long as
//! anything may be hot, whatever phase the next person is in by then.
#![deny(clippy::wildcard_enum_match_arm)]

mod answering;
mod answers;
mod beeper;
mod card;
#[cfg(test)]
mod card_tests;
mod closing;
mod due;
mod event;
mod hands;
mod key;
mod machine;
mod owner;
mod person;
#[expect(clippy::module_inception, reason = "the phases themselves")]
mod phase;
mod plan;
mod question;
mod run;
#[cfg(test)]
mod run_tests;
mod stages;
#[cfg(test)]
mod table_tests;
mod terms;
#[cfg(test)]
mod tests;
mod times;
mod view;
mod walk;

pub use crate::heat::{Heat, HeatNews, Stall};
pub use answers::{
    AfterFault, AfterTrouble, Again, FailReason, FirstLayer, Hand, LeadReason, OutOfUse, Outcome, PartOff,
    PlateBack, Running, Seen, Shown, StillRunning, Strip,
};
pub use card::AWAY_MS;
pub use event::{Action, Beep, Event, Gate, RowKind, Seal, Told};
pub use hands::{SPOOL_HOURS, Situation, hands_needed};
pub use key::{CODE_DIGITS, Entered, Key};
pub use machine::Machine;
pub use person::{CODES, CodeEntry, InCharge, Person, Sign};
pub use phase::Phase;
pub use plan::{
    FIRST_PERMILLE, FIRST_SPREAD_PERMILLE, LOOKS, Look, LookAt, MARKS, POINTS, Plan, Point, STOPS, StageMark,
    StartStep, Watch,
};
pub use question::{Answer, Question};
pub use run::{CloseOut, RunState, Stage};
pub use terms::{MUST_READ, Offer, Terms};
pub use times::{
    Ahead, FIRST_JOBS, LEARNED_RUNS, LearnedTime, NARROWEST_S, PERMILLE_LIMITS, half_window_s, learn, looks,
    watch_time,
};
pub use view::{Asked, RunView};
pub use walk::{BREAK_MS, HOLD_MS};

/// An answer to a killer that comes sooner than this after its question is asked for once more (job catalogue,
/// section 6: below 0.4 s nobody looked); after the release such a press is refused. Milliseconds.
pub const QUICKEST_MS: u64 = 400;
