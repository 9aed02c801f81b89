//! What survives a power cut: balances, what is settled and learned, how the last run ended, the run to be taken up,
//! its first layer's picture, the day book's rows that no card has taken, the records taken over, the last events.
//!
//! Takes NOR flash (any [`embedded_storage::nor_flash::NorFlash`] with words of up to 8 bytes and pages of 256 bytes
//! and more); gives typed values. What confirms is written before it is shown, and after any power cut the ledger is
//! as it was before the change or after it.
//!
//! ```
//! use embedded_storage::nor_flash::NorFlash;
//! use holdpoint_shared::ledger::{Ledger, LedgerError, Refused};
//!
//! /// A ledger in any case: a blank one is begun; what is no ledger is for somebody to decide.
//! fn ledger<F: NorFlash>(flash: F) -> Result<Ledger<F>, Refused<F>> {
//!     match Ledger::open(flash) {
//!         Err(Refused { error: LedgerError::Blank, flash }) => Ledger::format(flash),
//!         opened => opened,
//!     }
//! }
//! ```
//!
//! # In flash
//! A log over pages that take turns (`layout`, `store`). Each row is confirmed by a slot that stands apart from it, and
//! rows are counted without a gap (`scan`): what a cut left, what one flipped bit changed and what is lost are three
//! different things. Longer values lie in pieces under a head (`long`).
//!
//! # Damage
//! A single flipped bit in a row, a slot or a page's head is turned back and written anew. More of it costs the value that
//! it hit: this is named ([`Ledger::losses`]) until somebody has read it, an older balance, record or learned value is
//! kept under that name, and an older run or settled point goes away (`settle`). Only flash that is blank
//! is ever formatted.
//!
//! # Room
//! 52 KiB in pages of 4 KiB, or 53 KiB in pages of 1 KiB, hold the most of everything: two pages stay blank. In less,
//! rows are kept in the run's state only; below 40 KiB, down to 18 KiB, records and pictures are refused before they
//! take what balances and runs need. In still less
//! (RAM in the place of flash) 8 events are kept, no records, and what is too much is told as [`LedgerError::Full`].
//!
//! # Cost
//! The ledger's state takes 3.5 KiB of RAM: it knows where each value stands. Opening reads all of the flash once.
//!
//! # Wear
//! Saving a run's state of which one piece of 126 bytes changed writes 176 bytes: that piece and the head, each with its slot.
//! `tests/tests/ledger` counts the erases.

#![deny(clippy::arithmetic_side_effects, clippy::cast_possible_truncation)]

mod book;
mod cells;
mod checksum;
mod error;
mod event;
mod kind;
mod layout;
mod log;
mod long;
mod losses;
mod machine;
mod no_flash;
mod open;
mod places;
mod row;
mod scan;
mod settle;
mod settled;
mod spool;
mod store;
mod waiting;

pub use book::{Ledger, MachineHold, Record};
pub use error::{LedgerError, Refused};
pub use event::LoggedEvent;
pub use losses::{Losses, Lost};
pub use machine::MachineState;
pub use no_flash::NoFlash;
pub use settled::{Settled, SettledFor};
pub use spool::{Balance, SpoolTag};
pub use waiting::GivenUp;
