//! The no_std core of Holdpoint: it reads a print job from a card, surveys every move, checks the job against
//! the machine, the spool and the room, and says on a small screen whether the work may pass its hold point.
//!
//! It does no I/O of its own and reads no clock: whoever runs it hands in blocks, time, probe readings and knob
//! events, and gets back screens, sounds, the gate's state and rows to write. It needs no heap and panics on no
//! input. It never sets heat and never moves an axis.
//!
//! # The way through
//!
//! blocks → bytes → words → moves → survey → findings → phase → screen. A room imports only rooms before it
//! (`tests/tests/architecture.rs` holds the table and fails on any other arrow).
//!
//! # Features
//!
//! `defmt` (off) formats public values for its log. Every board has the whole core.

#![no_std]
#![forbid(unsafe_code)]
#![deny(missing_docs)]
#![deny(clippy::std_instead_of_core, clippy::alloc_instead_of_core)]
#![deny(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

#[cfg(test)]
extern crate std;

pub mod json;
pub mod limits;
pub mod time;
pub mod units;
pub mod visible;

pub mod app;
pub mod checks;
pub mod daybook;
pub mod header;
pub mod heat;
pub mod ledger;
pub mod media;
pub mod motion;
pub mod phase;
pub mod records;
pub mod screens;
pub mod survey;
pub mod text;
pub mod words;
