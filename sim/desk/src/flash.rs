//! The device's own flash on a desktop.

use std::io;

use anyhow::Result;
use embedded_storage::nor_flash::{
    ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash, check_erase, check_read, check_write,
};
use holdpoint_shared::ledger::{Ledger, LedgerError, Refused};

use crate::power::{Power, WriteFate};

/// Bytes of a page: that of the boards with flash chips of their own.
const PAGE_BYTES: usize = 4096;

/// Pages: as many as a board keeps for the ledger.
const PAGES: usize = 16;

/// Bytes of the whole flash.
pub const FLASH_BYTES: usize = PAGES * PAGE_BYTES;

/// Keeps what a flash holds beyond the end of the program.
pub trait Keeper: std::fmt::Debug {
    /// Keeps these bytes, which are at `offset` from now on, before it returns.
    ///
    /// # Errors
    /// The system's own.
    fn keep(&mut self, offset: usize, bytes: &[u8]) -> io::Result<()>;
}

/// Flash in memory, and with a [`Keeper`] where its user wants to find it again.
#[derive(Debug)]
pub struct Flash {
    cells: Vec<u8>,
    keeper: Option<Box<dyn Keeper>>,
    power: Power,
}

impl Flash {
    /// As it comes from the maker.
    #[must_use]
    pub fn blank() -> Self {
        Self { cells: vec![0xFF; FLASH_BYTES], keeper: None, power: Power::new() }
    }

    /// A flash that holds these bytes.
    ///
    /// # Panics
    /// When they are not as many as a flash has.
    #[must_use]
    pub fn of(cells: Vec<u8>) -> Self {
        assert_eq!(cells.len(), FLASH_BYTES, "the bytes of a whole flash");
        Self { cells, ..Self::blank() }
    }

    /// A flash that holds these bytes; `keeper` keeps every change of them.
    ///
    /// # Panics
    /// When they are not as many as a flash has.
    #[must_use]
    pub fn kept(cells: Vec<u8>, keeper: Box<dyn Keeper>) -> Self {
        Self { keeper: Some(keeper), ..Self::of(cells) }
    }

    /// The same flash on a supply that it shares with a card.
    #[must_use]
    pub fn on(self, power: Power) -> Self {
        Self { power, ..self }
    }

    /// Its bytes.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.cells
    }

    /// Brings a changed part to its keeper.
    fn keep(&mut self, from: usize, to: usize) -> Result<(), NorFlashErrorKind> {
        let Some(keeper) = &mut self.keeper else { return Ok(()) };
        keeper.keep(from, &self.cells[from..to]).map_err(|_| NorFlashErrorKind::Other)
    }
}

/// A ledger: only flash without a byte of data is begun.
///
/// # Errors
/// When the flash holds something that is no ledger.
pub fn open(flash: Flash) -> Result<Ledger<Flash>> {
    match Ledger::open(flash) {
        Ok(ledger) => Ok(ledger),
        Err(Refused { error: LedgerError::Blank, flash }) => {
            Ledger::format(flash).map_err(|refused| anyhow::anyhow!("the ledger: {}", refused.error))
        }
        Err(Refused { error, .. }) => anyhow::bail!("the ledger: {error}"),
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
            self.keep(from as usize, to as usize)?;
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
        self.keep(offset as usize, offset as usize + written)?;
        answered(fate)
    }
}
