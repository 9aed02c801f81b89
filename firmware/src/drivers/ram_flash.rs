//! RAM in the place of flash, for boards whose own flash cannot be written or is full: the ledger works as on any
//! board, and is gone with the power.

use embedded_storage::nor_flash::{
    ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash, check_erase, check_read, check_write,
};

/// Bytes of a page. Small ones, so that little of little RAM is kept free; smaller ones hold few of the longest rows.
const PAGE_BYTES: usize = 512;

/// RAM that is written and erased like NOR flash. 16 pages (8 KiB) hold a run, some spools and the last events, but no
/// records taken over.
#[derive(Debug)]
pub struct RamFlash {
    cells: &'static mut [u8],
}

impl RamFlash {
    /// Blank flash in `cells`, whatever they held; bytes beyond the last whole page are not used.
    pub fn blank(cells: &'static mut [u8]) -> Self {
        cells.fill(0xFF);
        Self { cells }
    }

    fn range(&mut self, start: u32, length: usize) -> Result<&mut [u8], NorFlashErrorKind> {
        let cells = self.cells.get_mut(start as usize..).and_then(|cells| cells.get_mut(..length));
        cells.ok_or(NorFlashErrorKind::OutOfBounds)
    }
}

impl ErrorType for RamFlash {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for RamFlash {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), NorFlashErrorKind> {
        check_read(self, offset, bytes.len())?;
        bytes.copy_from_slice(self.range(offset, bytes.len())?);
        Ok(())
    }

    fn capacity(&self) -> usize {
        self.cells.len() / PAGE_BYTES * PAGE_BYTES
    }
}

impl NorFlash for RamFlash {
    const WRITE_SIZE: usize = 4;
    const ERASE_SIZE: usize = PAGE_BYTES;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), NorFlashErrorKind> {
        check_erase(self, from, to)?;
        self.range(from, (to - from) as usize)?.fill(0xFF);
        Ok(())
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), NorFlashErrorKind> {
        check_write(self, offset, bytes.len())?;
        for (cell, byte) in self.range(offset, bytes.len())?.iter_mut().zip(bytes) {
            *cell &= byte;
        }
        Ok(())
    }
}
