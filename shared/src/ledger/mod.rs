//! What survives a power cut: balances, what is settled and learned, how the last run ended, the run to be taken up,
//! its first layer's picture, the records taken over, the last events.
//!
//! Takes NOR flash (any [`embedded_storage::nor_flash::NorFlash`] with words of up to 8 bytes and pages of 256 bytes
//! and more); gives typed values. What confirms is written before it is shown, and after any power cut the ledger is
//! as it was before the change or after it.
//!
//! ```
//! use embedded_storage::nor_flash::NorFlash;
//! use holdpoint_shared::ledger::{Ledger, LedgerError, Refused};
//!
//! /// A ledger in any case: a blank one is begun; one that is damaged is for somebody to decide.
//! fn ledger<F: NorFlash>(flash: F) -> Result<Ledger<F>, Refused<F>> {
//!     match Ledger::open(flash) {
//!         Err(Refused { error: LedgerError::Blank, flash }) => Ledger::format(flash),
//!         opened => opened,
//!     }
//! }
//! ```
//!
//! # In flash
//! Rows of a key and a value in `sequential-storage`'s map; before its pages, two pages of notes that make every
//! erase whole (`guard`, `order`). Longer values lie in pieces under a head (`long`).
//!
//! # Room
//! 44 KiB in pages of 4 KiB, or 36 KiB in pages of 1 KiB, hold the most of everything: one page stays free, two hold
//! notes. In less, down to 16 KiB, records and pictures are refused before they take what balances and runs need. In still less
//! (RAM in the place of flash) 8 events are kept, no records, and what is too much is told as [`LedgerError::Full`].
//!
//! # Cost
//! The ledger's state takes under 400 bytes of RAM; a call takes up to 4 KiB of stack while it runs. Looking for what
//! is not there reads all of the flash: about 1.2 million instructions for 18 KiB. Saving one changed piece of a run's state takes
//! three times that, a new spool sixteen times.
//!
//! # Wear
//! Saving a run's state of which one piece of 126 bytes changed writes 168 bytes: that piece and the head. With the
//! longest state and some spools moved along as the pages go round, a pair of pages of 1 KiB stands 88,000 such
//! saves and a pair of 4 KiB 385,000, at the 10,000 erases of each page that flash in microcontrollers stands at the
//! least (common practice, no source); flash chips stand ten times as many. A ledger of 16 pages of 1 KiB saved
//! every 30 seconds lasts 5,900 hours of printing at the least, one of 8 pages of 4 KiB on a flash chip 128,000.
//! `tests/tests/ledger` counts the erases.

#![deny(clippy::arithmetic_side_effects, clippy::cast_possible_truncation)]

mod book;
mod error;
mod event;
mod guard;
mod long;
mod machine;
mod no_flash;
mod order;
mod row;
mod settled;
mod spool;
mod store;

pub use book::{Hold, Ledger, Record};
pub use error::{LedgerError, Refused};
pub use event::LoggedEvent;
pub use machine::MachineState;
pub use no_flash::NoFlash;
pub use settled::{Scope, Settled};
pub use spool::{Balance, SpoolTag};
