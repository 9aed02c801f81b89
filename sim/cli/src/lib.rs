//! The `holdpoint` command: files, the terminal, windows and the computer's clock round `holdpoint-desk`.
//!
//! It contains no rule: every verdict comes from the core.

pub mod args;
pub mod atomic;
pub mod clock;
pub mod commands;
pub mod day_book;
pub mod flash_file;
pub mod folder;
pub mod folder_card;
pub mod image_file;
pub mod job_header;
pub mod job_input;
pub mod lock;
pub mod output;
pub mod parallel;
mod picture;
pub mod progress;
pub mod reader;
pub mod say;
pub mod source;
pub mod terminal;
pub mod usage;
mod walk;
#[cfg(feature = "window")]
pub mod window;

use std::process::ExitCode;

use anyhow::Result;
use args::{Cli, Command};

/// Does what the command line asks for, and gives the exit code.
///
/// # Errors
/// When an input cannot be read or an output not be written: one line that names the file, the place and the remedy.
pub fn run(cli: Cli) -> Result<ExitCode> {
    match &cli.command {
        None => commands::show::run(None, &cli.picture, &cli.pace, &cli.settings),
        Some(Command::Show(args)) => {
            commands::show::run(args.card.as_deref(), &args.picture, &args.pace, &cli.settings)
        }
        Some(Command::Vet(args)) => commands::vet::run(args, &cli.settings),
        Some(Command::Survey(args)) => commands::survey::run(args, &cli.settings),
        Some(Command::Stamp(args)) => commands::stamp::run(args, &cli.settings),
        Some(Command::Card(args)) => commands::card::run(args, &cli.settings),
        Some(Command::Settle(args)) => commands::settle::run(args, &cli.settings),
        Some(Command::Snap(args)) => commands::snap::run(args, &cli.settings),
        Some(Command::Ledger(args)) => commands::ledger::run(args, &cli.settings),
        Some(Command::Checks(args)) => commands::checks::run(args, &cli.settings),
        Some(Command::Words(args)) => commands::words::run(args),
    }
}
