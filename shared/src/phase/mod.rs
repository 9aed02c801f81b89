//! events → phases: the one state machine of the core.
//!
//! Takes what happened; gives the next phase and what the house must do for it. It knows no clock and no driver, and
//! it has no catch-all arm: an event that a phase has no use for is answered with [`Action::Refused`], never dropped.
//!
//! ```text
//!          card in             listed             press               press or turn on
//! Waiting ────────▶ Reading ──────────▶ Jobs ─────────────▶ Verdict ──────────────────▶ Points
//!                      │ no jobs        ▲   turn back, or     │  ▲    turn back before     │
//!                      ▼                └── press (no points) ┘  └──── the first ──────────┘
//!                   Nothing
//! ```
//! Taking the card out leads to Waiting from every phase; a card fault leads to Fault from every phase with a card.
#![deny(clippy::wildcard_enum_match_arm)]

mod answers;
mod event;
mod machine;
mod question;

pub use answers::{
    AfterFault, AfterTrouble, Again, Before, FailReason, FirstLayer, Hand, LeadReason, Left, OutOfUse,
    Outcome, PartOff, Running, Seen, Shown, StillRunning, Strip,
};
pub use event::{Action, Event};
pub use machine::{Machine, Phase};
pub use question::{Answer, Question};

/// An answer to a killer that comes sooner than this after its question is asked for once more (job catalogue,
/// section 6: below 0.4 s nobody looked). Milliseconds.
pub const QUICKEST_MS: u64 = 400;
