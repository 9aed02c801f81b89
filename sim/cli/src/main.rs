//! The `holdpoint` command: arguments and exit codes, nothing else.

use std::process::ExitCode;

use clap::error::ErrorKind;
use holdpoint_cli::args::Cli;
use holdpoint_cli::say::{say, say_error};
use holdpoint_cli::usage::{EXIT_USAGE, Usage};
use holdpoint_cli::{run, terminal};
use holdpoint_desk::shown::has_hidden;
use holdpoint_desk::verdict::EXIT_INPUT;

fn main() -> ExitCode {
    let cli = match Cli::read() {
        Ok(cli) => cli,
        Err(error) => {
            let asked = matches!(error.kind(), ErrorKind::DisplayHelp | ErrorKind::DisplayVersion);
            if !asked && std::env::args_os().any(|argument| has_hidden(&argument.to_string_lossy())) {
                // The parser's message has several lines and repeats the argument as it is.
                say(
                    "an argument with a line break or another control character in it is not understood; is it a file's name? write ./ before it",
                );
            } else {
                // Nothing more can be said when even this cannot be written.
                let _ = error.print();
            }
            return if asked { ExitCode::SUCCESS } else { ExitCode::from(EXIT_USAGE) };
        }
    };
    match run(cli) {
        Ok(code) => code,
        // Whoever read our output has seen enough; but no verdict was given whole.
        Err(error) if terminal::is_closed_pipe(&error) => ExitCode::from(EXIT_INPUT),
        Err(error) => {
            say_error(&error);
            ExitCode::from(if error.is::<Usage>() { EXIT_USAGE } else { EXIT_INPUT })
        }
    }
}
