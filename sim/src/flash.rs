//! The device's own flash on a desktop: in memory, and in a file where its user wants to find it again.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use embedded_storage::nor_flash::{
    ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash, check_erase, check_read, check_write,
};
use holdpoint_shared::ledger::{Ledger, LedgerError, Refused};

use crate::power::{Power, WriteFate};

/// Bytes of a page: that of the boards with flash chips of their own.
const PAGE_BYTES: usize = 4096;

/// Pages: as many as a board keeps for the ledger.
const PAGES: usize = 16;

/// Flash whose cells stand in memory.
#[derive(Clone, Debug)]
pub struct Flash {
    cells: Vec<u8>,
    power: Power,
}

impl Flash {
    /// As it comes from the maker.
    #[must_use]
    pub fn blank() -> Self {
        Self { cells: vec![0xFF; PAGES * PAGE_BYTES], power: Power::new() }
    }

    /// The flash kept in a file; a blank one where there is none yet.
    ///
    /// # Errors
    /// When the file cannot be read or has another size.
    pub fn load(path: &Path) -> Result<Self> {
        match fs::read(path) {
            Ok(cells) if cells.len() == PAGES * PAGE_BYTES => Ok(Self { cells, power: Power::new() }),
            Ok(cells) => anyhow::bail!(
                "{}: {} bytes; a device's flash has {}. Name another file, or one that is not there yet",
                path.display(),
                cells.len(),
                PAGES * PAGE_BYTES
            ),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(Self::blank()),
            Err(error) => Err(error).with_context(|| format!("{}: cannot be read", path.display())),
        }
    }

    /// The same flash on a supply that it shares with a card.
    #[must_use]
    pub fn on(self, power: Power) -> Self {
        Self { power, ..self }
    }

    /// Its bytes, as they are kept in a file.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.cells
    }
}

/// A ledger in any case; one that is damaged is begun anew only when nobody's file is lost by it.
///
/// # Errors
/// When the flash holds something that is no whole ledger.
pub fn open(flash: Flash, file: Option<&PathBuf>) -> Result<Ledger<Flash>> {
    match Ledger::open(flash) {
        Ok(ledger) => Ok(ledger),
        Err(Refused { error: LedgerError::Blank, flash }) => {
            Ledger::format(flash).map_err(|refused| anyhow::anyhow!("the ledger: {}", refused.error))
        }
        Err(Refused { error, .. }) => match file {
            Some(path) => anyhow::bail!("{}: {error}. Name another file", path.display()),
            None => anyhow::bail!("the ledger: {error}"),
        },
    }
}

fn answered(fate: WriteFate) -> Result<(), NorFlashErrorKind> {
    if fate == WriteFate::Whole { Ok(()) } else { Err(NorFlashErrorKind::Other) }
}

impl ErrorType for Flash {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for Flash {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), NorFlashErrorKind> {
        check_read(self, offset, bytes.len())?;
        if self.power.is_off() {
            return Err(NorFlashErrorKind::Other);
        }
        bytes.copy_from_slice(&self.cells[offset as usize..offset as usize + bytes.len()]);
        Ok(())
    }

    fn capacity(&self) -> usize {
        self.cells.len()
    }
}

impl NorFlash for Flash {
    const WRITE_SIZE: usize = 4;
    const ERASE_SIZE: usize = PAGE_BYTES;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), NorFlashErrorKind> {
        check_erase(self, from, to)?;
        let fate = self.power.write();
        let to = if fate == WriteFate::Torn { from + (to - from) / 2 } else { to };
        if fate != WriteFate::Nothing {
            self.cells[from as usize..to as usize].fill(0xFF);
        }
        answered(fate)
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), NorFlashErrorKind> {
        check_write(self, offset, bytes.len())?;
        let fate = self.power.write();
        let written = match fate {
            WriteFate::Whole => bytes.len(),
            WriteFate::Torn => bytes.len() / 2,
            WriteFate::Nothing => 0,
        };
        for (cell, byte) in self.cells[offset as usize..].iter_mut().zip(&bytes[..written]) {
            // Writing clears bits and never sets one.
            *cell &= byte;
        }
        answered(fate)
    }
}
