//! In the place of flash where nothing can be kept.

use core::convert::Infallible;

use embedded_storage::nor_flash::{ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash};

/// Flash that is never there: the type for whoever has no ledger to give. No value of it can be made.
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
