//! Runs a firmware on QEMU's lm3s6965evb and watches it from outside: log lines, screen, keys, card slot.
//!
//! Not among the workspace's default members: it needs a built firmware and QEMU, and its defmt decoder turns on
//! features of shared libraries that the simulator does not want. `.ci/board` builds and runs it.

mod cards;
mod emulator;
mod ledger_board;
mod qmp;
mod sample;
mod screen;
mod sizes;

pub use cards::Card;
pub use emulator::{Emulator, Key, find_qemu, image};
pub use ledger_board::{Ended, FlashFile, LedgerBoard};
pub use sample::sample_job;
pub use screen::Shot;
pub use sizes::{Budget, Running, Sizes, holds};
