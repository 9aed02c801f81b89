//! The `holdpoint` command: arguments and exit codes, nothing else.

use std::process::ExitCode;

use clap::error::ErrorKind;
use holdpoint_sim::args::Cli;
use holdpoint_sim::{run, terminal, verdict};

fn main() -> ExitCode {
    let cli = match Cli::read() {
        Ok(cli) => cli,
        Err(error) => {
            // Nothing more can be said when even this cannot be written.
            let _ = error.print();
            return match error.kind() {
                ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => ExitCode::SUCCESS,
                _ => ExitCode::from(verdict::EXIT_USAGE),
            };
        }
    };
    match run(cli) {
        Ok(code) => code,
        // Whoever read our output has seen enough; but no verdict was given whole.
        Err(error) if terminal::is_closed_pipe(&error) => ExitCode::from(verdict::EXIT_INPUT),
        Err(error) => {
            eprintln!("holdpoint: {error:#}");
            ExitCode::from(if error.is::<verdict::Usage>() {
                verdict::EXIT_USAGE
            } else {
                verdict::EXIT_INPUT
            })
        }
    }
}
