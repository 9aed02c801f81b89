//! The device's own flash on a desktop.

use std::fs::{self, File, OpenOptions};
use std::io::{ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use embedded_storage::nor_flash::{
    ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash, check_erase, check_read, check_write,
};
use holdpoint_shared::ledger::{Ledger, LedgerError, Refused};

use crate::atomic::{self, Existing};
use crate::lock;
use crate::power::{Power, WriteFate};
use crate::shown::Shown;

/// Bytes of a page: that of the boards with flash chips of their own.
const PAGE_BYTES: usize = 4096;

/// Pages: as many as a board keeps for the ledger.
const PAGES: usize = 16;

/// Bytes of the whole flash.
const FLASH_BYTES: usize = PAGES * PAGE_BYTES;

/// Flash whose cells stand in memory, and in a file where its user wants to find it again.
///
/// Every change is in the file, on the disk, before the write returns: whatever ends the program, a kill or a power
/// cut, the file holds what a board's flash would hold.
#[derive(Debug)]
pub struct Flash {
    cells: Vec<u8>,
    /// Locked for as long as the flash is open.
    file: Option<File>,
    power: Power,
}

impl Flash {
    /// As it comes from the maker.
    #[must_use]
    pub fn blank() -> Self {
        Self { cells: vec![0xFF; FLASH_BYTES], file: None, power: Power::new() }
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

    /// The flash kept in a file; where there is none yet, a blank one is made, whole from the first moment.
    ///
    /// # Errors
    /// When the file cannot be opened, is no file of a flash's size (it is not read then), or another program has it
    /// open.
    pub fn load(path: &Path) -> Result<Self> {
        let name = path.shown();
        let found = match fs::metadata(path) {
            Err(error) if error.kind() == ErrorKind::NotFound => {
                atomic::write(path, Existing::Kept, None, |file| Ok(file.write_all(&Self::blank().cells)?))?;
                fs::metadata(path)
            }
            found => found,
        };
        let found = found.with_context(|| format!("{name}: cannot be read"))?;
        if !found.is_file() {
            bail!("{name}: is not a file; a device's flash is kept in a file of {FLASH_BYTES} bytes");
        }
        if found.len() != FLASH_BYTES as u64 {
            bail!(
                "{name}: {} bytes; a device's flash has {FLASH_BYTES}. Name another file, or one that does not exist yet",
                found.len()
            );
        }
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .open(path)
            .with_context(|| format!("{name}: cannot be opened for reading and writing"))?;
        lock::exclusive(&file, path)?;
        let mut cells = vec![0xFF; FLASH_BYTES];
        file.read_exact(&mut cells).with_context(|| format!("{name}: cannot be read"))?;
        Ok(Self { cells, file: Some(file), power: Power::new() })
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

    /// Brings a changed part to the file.
    fn keep(&mut self, from: usize, to: usize) -> Result<(), NorFlashErrorKind> {
        let Some(file) = &mut self.file else { return Ok(()) };
        file.seek(SeekFrom::Start(from as u64))
            .and_then(|_| file.write_all(&self.cells[from..to]))
            .and_then(|()| file.sync_data())
            .map_err(|_| NorFlashErrorKind::Other)
    }
}

/// A ledger: only flash without a byte of data is begun.
///
/// # Errors
/// When the flash holds something that is no ledger.
pub fn open(flash: Flash, file: Option<&PathBuf>) -> Result<Ledger<Flash>> {
    match Ledger::open(flash) {
        Ok(ledger) => Ok(ledger),
        Err(Refused { error: LedgerError::Blank, flash }) => {
            Ledger::format(flash).map_err(|refused| anyhow::anyhow!("the ledger: {}", refused.error))
        }
        Err(Refused { error, .. }) => match file {
            Some(path) => anyhow::bail!("{}: {error}. Name another file", path.shown()),
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

#[cfg(test)]
mod tests {
    use super::*;

    // Windows lets nobody else read a locked file.
    #[cfg(not(windows))]
    #[test]
    fn every_change_is_in_the_file_when_the_write_returns() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("flash.bin");
        let mut flash = Flash::load(&path).unwrap();
        assert_eq!(fs::read(&path).unwrap(), vec![0xFF; FLASH_BYTES]);
        flash.write(8, &[0xA5; 8]).unwrap();
        assert_eq!(fs::read(&path).unwrap(), flash.bytes());
        flash.erase(0, PAGE_BYTES as u32).unwrap();
        assert_eq!(fs::read(&path).unwrap(), vec![0xFF; FLASH_BYTES]);
        flash.power.cut_after(0);
        flash.write(16, &[0; 8]).unwrap_err();
        let torn = fs::read(&path).unwrap();
        assert_eq!((&torn[16..20], &torn[20..24]), (&[0; 4][..], &[0xFF; 4][..]));
        // It is nobody else's while it is open.
        assert!(Flash::load(&path).unwrap_err().to_string().contains("another"));
        drop(flash);
        assert_eq!(Flash::load(&path).unwrap().bytes(), torn);
    }

    #[test]
    fn what_is_no_flash_is_refused_unread() {
        let folder = tempfile::tempdir().unwrap();
        let large = folder.path().join("large.bin");
        // Sparse: to read it would take a terabyte.
        File::create(&large).unwrap().set_len(1 << 40).unwrap();
        assert!(Flash::load(&large).unwrap_err().to_string().contains("1099511627776 bytes"));
        assert!(Flash::load(folder.path()).unwrap_err().to_string().contains("is not a file"));
    }
}
