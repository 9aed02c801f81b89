//! NOR flash in a file of the host, for the ledger's tests on the emulator: nothing for a real board.
//!
//! The emulator models no writing of the chip's flash, and its RAM goes with it. A file of the host, reached by
//! semihosting, outlives the emulator: it can be stopped at any moment, as by a power cut, and be started again on
//! what it left. The file keeps what NOR flash keeps: a write takes bits from 1 to 0 and never back, an erase sets
//! a whole page to ones, and both want whole words or pages.
//!
//! Words and pages are those of the chip's own flash: 4 bytes and 1 KiB (data sheet of the part, "Flash Memory").
//! 40 pages hold the most of everything in the ledger but rows that wait; the bench needs less.
//!
//! It can cut the power by itself, in the middle of a write or an erase: after so many steps, a step being a byte
//! written or [`ERASED_AT_ONCE`] bytes of a page erased. What else a cut erase may leave in cells is tried on the desktop.

use cortex_m_semihosting::debug::EXIT_FAILURE;
use embedded_storage::nor_flash::{
    ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash, check_erase, check_read, check_write,
};

use super::exit;
use super::host::HostFile;

/// The file, in the folder in which the emulator was started.
const FILE: &core::ffi::CStr = c"flash.bin";
/// What is erased at once.
const PAGE: usize = 1024;
/// Bytes of the flash, and of the file.
const FLASH_BYTES: usize = 36 * PAGE;
/// Bytes of a page that one step of an erase sets to ones; also what is written at once.
const ERASED_AT_ONCE: usize = 16;

/// The flash.
#[derive(Debug)]
pub struct HostFlash {
    file: HostFile,
    /// Steps until the power is cut; `None` for never.
    steps_left: Option<usize>,
}

impl HostFlash {
    /// Opens the file `flash.bin`: 36 KiB, all ones when nothing was ever written. `None` when there is no such file,
    /// or not of that length. The power is cut after `steps`, if any.
    #[must_use]
    pub fn open(steps: Option<usize>) -> Option<Self> {
        let (file, bytes) = HostFile::open(FILE)?;
        (bytes == FLASH_BYTES).then_some(Self { file, steps_left: steps })
    }

    /// Takes `steps` from those that are left, and gives how many of them are still done.
    fn take(&mut self, steps: usize) -> usize {
        let Some(left) = &mut self.steps_left else { return steps };
        let done = steps.min(*left);
        *left -= done;
        done
    }
}

impl ErrorType for HostFlash {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for HostFlash {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), NorFlashErrorKind> {
        check_read(self, offset, bytes.len())?;
        self.file.read(offset, bytes).ok_or(NorFlashErrorKind::Other)
    }

    fn capacity(&self) -> usize {
        FLASH_BYTES
    }
}

impl NorFlash for HostFlash {
    const WRITE_SIZE: usize = 4;
    const ERASE_SIZE: usize = PAGE;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), NorFlashErrorKind> {
        check_erase(self, from, to)?;
        for at in (from..to).step_by(ERASED_AT_ONCE) {
            if self.take(1) == 0 {
                exit(EXIT_FAILURE);
            }
            self.file.write(at, &[0xFF; ERASED_AT_ONCE]).ok_or(NorFlashErrorKind::Other)?;
        }
        Ok(())
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), NorFlashErrorKind> {
        check_write(self, offset, bytes.len())?;
        for (at, wanted) in (offset..).step_by(ERASED_AT_ONCE).zip(bytes.chunks(ERASED_AT_ONCE)) {
            let mut cells = [0; ERASED_AT_ONCE];
            let cells = &mut cells[..wanted.len()];
            self.file.read(at, cells).ok_or(NorFlashErrorKind::Other)?;
            for (cell, wanted) in cells.iter_mut().zip(wanted) {
                *cell &= wanted;
            }
            let done = self.take(cells.len());
            self.file.write(at, &cells[..done]).ok_or(NorFlashErrorKind::Other)?;
            if done < cells.len() {
                exit(EXIT_FAILURE);
            }
        }
        Ok(())
    }
}
