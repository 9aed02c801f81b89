//! `sizes BOARD FIRMWARE [STACK]`: prints the flash and RAM that a firmware takes, and the stack that it was seen to use, and
//! fails above the board's ceilings.

use std::path::Path;
use std::process::ExitCode;

use anyhow::{Context as _, Result, bail};
use holdpoint_board_tests::{Budget, Sizes, holds};

fn main() -> Result<ExitCode> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (board, firmware, stack) = match arguments.as_slice() {
        [board, firmware] => (board, firmware, None),
        [board, firmware, stack] => (board, firmware, Some(stack.parse()?)),
        _ => bail!("usage: sizes BOARD FIRMWARE [STACK]"),
    };
    let budget = Budget::of(board)?;
    let sizes = Sizes::of(Path::new(firmware))?;
    let flash = holds(&format!("{board} flash"), "bytes", sizes.flash_bytes, budget.flash_bytes);
    let ram = holds(&format!("{board} static RAM"), "bytes", sizes.static_ram_bytes, budget.static_ram_bytes);
    let stack = match stack {
        Some(bytes) => {
            let ceiling = budget.job_stack_bytes.with_context(|| format!("{board} has no ceiling for it"))?;
            holds(&format!("{board} stack, a whole job"), "bytes", bytes, ceiling)
        }
        None => true,
    };
    Ok(if flash && ram && stack { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}
