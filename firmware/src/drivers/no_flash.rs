//! In the place of flash on boards that can keep nothing: nothing of the ledger is in their firmware.

use core::convert::Infallible;

use embedded_storage::nor_flash::{ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash};

/// Flash that is never there. A value of it cannot be made, so whatever would be done with its ledger is left out when
/// the firmware is built.
#[derive(Debug)]
pub struct NoFlash(Infallible);

impl ErrorType for NoFlash {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for NoFlash {
    const READ_SIZE: usize = 1;

    fn read(&mut self, _: u32, _: &mut [u8]) -> Result<(), NorFlashErrorKind> {
        match self.0 {}
    }

    fn capacity(&self) -> usize {
        match self.0 {}
    }
}

impl NorFlash for NoFlash {
    const WRITE_SIZE: usize = 4;
    const ERASE_SIZE: usize = 4096;

    fn erase(&mut self, _: u32, _: u32) -> Result<(), NorFlashErrorKind> {
        match self.0 {}
    }

    fn write(&mut self, _: u32, _: &[u8]) -> Result<(), NorFlashErrorKind> {
        match self.0 {}
    }
}
