//! Holdpoint on a desktop: the device's own core on card images, folders and single files, in a terminal.
//!
//! It adds files, time and windows, and no rule: every verdict comes from the core.

pub mod amounts;
pub mod args;
pub mod atomic;
pub mod clock;
pub mod commands;
pub mod day_book;
pub mod demo;
pub mod device;
pub mod fat_folders;
pub mod faults;
pub mod flash;
pub mod folder;
pub mod hands;
pub mod image;
pub mod job_file;
pub mod job_header;
pub mod listing;
pub mod lock;
pub mod memory_card;
pub mod output;
pub mod parallel;
pub mod plant;
pub mod png;
pub mod power;
pub mod printer;
pub mod progress;
pub mod reading;
pub mod report;
pub mod script;
pub mod settled;
pub mod setup;
pub mod sheet;
pub mod shown;
pub mod slot;
pub mod source;
pub mod stamp;
pub mod stated;
pub mod survey_report;
pub mod temporary;
pub mod terminal;
pub mod verdict;
pub mod vetting;
mod walk;
#[cfg(feature = "window")]
pub mod window;
pub mod world;

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
        Some(Command::Card(args)) => commands::card_args::run(args, &cli.settings),
        Some(Command::Settle(args)) => commands::settle::run(args, &cli.settings),
        Some(Command::Snap(args)) => commands::snap::run(args, &cli.settings),
        Some(Command::Ledger(args)) => commands::ledger::run(args, &cli.settings),
        Some(Command::Checks(args)) => commands::checks::run(args, &cli.settings),
        Some(Command::Words(args)) => commands::words::run(args),
    }
}
