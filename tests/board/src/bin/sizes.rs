//! `sizes BOARD FIRMWARE`: prints the flash and RAM that a firmware takes, and fails above the board's ceilings.

use std::path::Path;
use std::process::ExitCode;

use anyhow::{Result, bail};
use holdpoint_board_tests::{Budget, Sizes, holds};

fn main() -> Result<ExitCode> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [board, firmware] = arguments.as_slice() else { bail!("usage: sizes BOARD FIRMWARE") };
    let budget = Budget::of(board)?;
    let sizes = Sizes::of(Path::new(firmware))?;
    let flash = holds(&format!("{board} flash"), "bytes", sizes.flash_bytes, budget.flash_bytes);
    let ram = holds(&format!("{board} static RAM"), "bytes", sizes.static_ram_bytes, budget.static_ram_bytes);
    Ok(if flash && ram { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}
