//! `emulate FIRMWARE [CARD]`: runs a firmware on the emulated board and prints its log until it ends.

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context as _, Result};
use holdpoint_board_tests::Emulator;

fn main() -> Result<ExitCode> {
    let mut arguments = std::env::args_os().skip(1).map(PathBuf::from);
    let firmware = arguments.next().context("usage: emulate FIRMWARE [CARD]")?;
    let card = arguments.next();
    let mut board = Emulator::start(&firmware, card.as_deref())?;
    while let Some(line) = board.line()? {
        println!("{line}");
    }
    let status = board.end()?;
    Ok(if status.success() { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}
