//! What a firmware costs, and what it may.

use std::collections::BTreeMap;
use std::path::Path;

use anyhow::{Context as _, Result};
use object::{Object as _, ObjectSection as _, SectionFlags, SectionKind};
use serde::Deserialize;

/// The ceilings of one board, from `firmware/sizes.toml`.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Budget {
    /// Bytes of flash.
    pub flash_bytes: u64,
    /// Bytes of statics in RAM.
    pub static_ram_bytes: u64,
    /// Bytes of stack that a whole job may use, on a board whose tests watch it from outside.
    pub job_stack_bytes: Option<u64>,
    /// What only running it tells; `None` for a board that is not emulated.
    pub running: Option<Running>,
    /// What the tests of the emulated chip hold; they read it themselves.
    pub timed: Option<Timed>,
}

/// The ceilings of times by the emulated chip's clock, the card's line counted in.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Timed {
    /// Milliseconds from card in to the first verdicts of 200 jobs.
    pub card_in_ms: u64,
    /// Milliseconds from the press to the full verdict of a job of a megabyte.
    pub full_verdict_ms: u64,
    /// Percent of the processor's time that drawing takes meanwhile.
    pub drawing_percent: u64,
    /// Milliseconds from the press to the full verdict of a quarter of a megabyte of long straight lines.
    pub long_lines_ms: u64,
}

/// The ceilings of what is measured while a firmware runs.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Running {
    /// Hundredths of an instruction a byte, for reading the card.
    pub card_read_centi_instructions: u64,
    /// Hundredths of an instruction a byte, for the survey without the reading.
    pub survey_centi_instructions: u64,
}

impl Budget {
    /// The ceilings of a board.
    ///
    /// # Errors
    /// When the file is not as described there, or lacks the board.
    pub fn of(board: &str) -> Result<Self> {
        let text = include_str!("../../../firmware/sizes.toml");
        let boards: BTreeMap<String, Self> = toml::from_str(text).context("firmware/sizes.toml")?;
        boards.get(board).copied().with_context(|| format!("firmware/sizes.toml has no board {board}"))
    }
}

/// Bytes that a firmware takes before it runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sizes {
    /// Flash: code, constants, and the first values of variables.
    pub flash_bytes: u64,
    /// RAM: variables, with and without a first value.
    pub static_ram_bytes: u64,
}

impl Sizes {
    /// Reads them from the linked file.
    ///
    /// # Errors
    /// When it is no linked file.
    pub fn of(firmware: &Path) -> Result<Self> {
        let data = std::fs::read(firmware).with_context(|| format!("{}", firmware.display()))?;
        let file = object::File::parse(data.as_slice()).with_context(|| format!("{}", firmware.display()))?;
        let mut sizes = Self::default();
        for section in file.sections() {
            let SectionFlags::Elf { sh_flags } = section.flags() else { continue };
            let (loaded, written) = (
                sh_flags & u64::from(object::elf::SHF_ALLOC) != 0,
                sh_flags & u64::from(object::elf::SHF_WRITE) != 0,
            );
            if !loaded {
                continue;
            }
            if written {
                sizes.static_ram_bytes += section.size();
            }
            if section.kind() != SectionKind::UninitializedData {
                sizes.flash_bytes += section.size();
            }
        }
        Ok(sizes)
    }
}

/// Prints one measured value beside its ceiling; `false` when it is above.
#[must_use]
pub fn holds(what: &str, unit: &str, value: u64, ceiling: u64) -> bool {
    let within = value <= ceiling;
    println!("{what:<34}{value:>12} of {ceiling:>9} {unit}{}", if within { "" } else { "  TOO MUCH" });
    within
}
