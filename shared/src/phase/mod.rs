//! events → phases: the one state machine of the core.
//!
//! Takes what happened; gives the next phase and what the house must do for it. It knows no clock and no driver, and
//! it has no catch-all arm: an event that a phase has no use for is answered with [`Action::Refused`], never dropped.
//!
//! ```text
//!            card in               listing done            press             turn
//! Waiting ───────────▶ Reading ───────────────▶ Jobs ───────────▶ Verdict ─────────▶ Points
//!    ▲                    │ no jobs               ▲  ▲               │ press            │ turn back
//!    │                    ▼                       │  └───────────────┘                  │ before the first
//!    │                 Nothing                    │                  ▲──────────────────┘
//!    │                    
//!    └── card out, from every phase; a card fault leads to Fault from every phase with a card
//! ```
#![deny(clippy::wildcard_enum_match_arm)]

mod event;
mod machine;

pub use event::{Action, Event};
pub use machine::{Machine, Phase};
