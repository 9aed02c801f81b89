//! The ledger's part of the flash that the program runs from, by the boot ROM's routines.
//!
//! Ours, because the kept crate for it wants another release of the chip's library, and two of those do not link.
//!
//! While flash is erased or written nothing can be fetched from it: the routines run from RAM and the boot ROM, with
//! interrupts off, on the one core that is in use. The ledger's writes are small (a page of 256 bytes takes under a
//! millisecond) and its erases few and of 4 KiB each (45 ms is usual, 400 ms the most: W25Q16JV data sheet, AC
//! characteristics); turns of the knob are not counted meanwhile. A power cut at any moment leaves the ledger as it was
//! before the change or after it, so nothing has to be finished on falling voltage.

use embedded_storage::nor_flash::{
    ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash, check_erase, check_read, check_write,
};
use rp2040_hal::rom_data;

/// Where the flash appears in memory (RP2040 data sheet, address map).
const MAPPED: u32 = 0x1000_0000;
/// What one program command writes; it may not cross a boundary of these.
const PAGE: usize = 256;
/// What is erased at once.
const SECTOR: usize = 4096;
/// Words of the boot block.
const BOOT_WORDS: usize = 64;
/// Bytes of the ledger: 16 sectors.
const LEDGER_BYTES: usize = 64 * 1024;

unsafe extern "C" {
    /// Set by the memory map: the first byte behind the program's part.
    static _ledger_start: u32;
}

/// The flash behind the program.
#[derive(Debug)]
pub struct LedgerFlash {
    _taken: (),
}

impl LedgerFlash {
    /// The only one: `Parts::take` gives it once.
    pub(super) const fn new() -> Self {
        Self { _taken: () }
    }

    /// Where the ledger begins, from the flash's own start.
    fn start() -> u32 {
        (&raw const _ledger_start as u32) - MAPPED
    }
}

impl ErrorType for LedgerFlash {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for LedgerFlash {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), NorFlashErrorKind> {
        check_read(self, offset, bytes.len())?;
        let first = (MAPPED + Self::start() + offset) as *const u8;
        for (index, byte) in bytes.iter_mut().enumerate() {
            // SAFETY: `check_read` keeps it within the ledger's part, which is mapped memory of no Rust object. Read
            // as volatile, because erasing and writing change it behind the compiler's back.
            *byte = unsafe { first.add(index).read_volatile() };
        }
        Ok(())
    }

    fn capacity(&self) -> usize {
        LEDGER_BYTES
    }
}

impl NorFlash for LedgerFlash {
    // The rest of a page is written as ones, which leaves its bits as they are.
    const WRITE_SIZE: usize = 4;
    const ERASE_SIZE: usize = SECTOR;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), NorFlashErrorKind> {
        check_erase(self, from, to)?;
        for sector in (from..to).step_by(SECTOR) {
            change(Self::start() + sector, None);
        }
        Ok(())
    }

    fn write(&mut self, offset: u32, mut bytes: &[u8]) -> Result<(), NorFlashErrorKind> {
        check_write(self, offset, bytes.len())?;
        let mut at = offset as usize;
        while !bytes.is_empty() {
            let within = at % PAGE;
            let (now, later) = bytes.split_at(bytes.len().min(PAGE - within));
            let mut page = [0xFF; PAGE];
            page[within..within + now.len()].copy_from_slice(now);
            change(Self::start() + (at - within) as u32, Some(&page));
            at += now.len();
            bytes = later;
        }
        Ok(())
    }
}

/// What of the boot ROM a change needs (RP2040 data sheet, "Flash access functions"), looked up while flash can still be
/// read.
struct Routines {
    connect: unsafe extern "C" fn(),
    end_reading: unsafe extern "C" fn(),
    erase: unsafe extern "C" fn(u32, usize, u32, u8),
    program: unsafe extern "C" fn(u32, *const u8, usize),
    flush: unsafe extern "C" fn(),
    begin_reading: extern "C" fn(),
}

/// Writes a page, or erases a sector, at a place of the ledger's part.
fn change(at: u32, page: Option<&[u8; PAGE]>) {
    // The boot block sets up fast reading again; the ROM's own routine would leave it slow.
    let mut boot = [0_u32; BOOT_WORDS];
    for (index, word) in boot.iter_mut().enumerate() {
        // SAFETY: the flash begins with the 64 words of the boot block.
        *word = unsafe { (MAPPED as *const u32).add(index).read_volatile() };
    }
    // SAFETY: the boot block is code that runs wherever it stands, from its first byte on in Thumb state (hence the 1),
    // and returns to who called it; the copy outlives the call below.
    let begin_reading = unsafe {
        core::mem::transmute::<*const u8, extern "C" fn()>(boot.as_ptr().cast::<u8>().wrapping_add(1))
    };
    let routines = Routines {
        connect: rom_data::connect_internal_flash::ptr(),
        end_reading: rom_data::flash_exit_xip::ptr(),
        erase: rom_data::flash_range_erase::ptr(),
        program: rom_data::flash_range_program::ptr(),
        flush: rom_data::flash_flush_cache::ptr(),
        begin_reading,
    };
    // SAFETY: nothing reads flash meanwhile: interrupts are off, the second core was never started, and nothing uses
    // DMA. `check_erase` and `check_write` keep it to the ledger's part, behind the program.
    critical_section::with(|_| unsafe {
        in_ram(&routines, at, page.map_or(core::ptr::null(), |page| page.as_ptr()))
    });
}

/// The change itself. It calls nothing but what `routines` names, all of it in ROM or RAM, and stands in RAM itself.
///
/// # Safety
/// Nothing may read flash meanwhile; `at` is a sector's start for an erase (`page` null), a page's with 256 bytes in RAM
/// at `page` for a write.
#[inline(never)]
// SAFETY: the start-up code copies this section into RAM before the program begins.
#[unsafe(link_section = ".data.ledger_flash")]
unsafe fn in_ram(routines: &Routines, at: u32, page: *const u8) {
    // SAFETY: in the order of the data sheet's own example; the caller keeps the rest.
    unsafe {
        (routines.connect)();
        (routines.end_reading)();
        if page.is_null() {
            // A block size that no range has: sector by sector.
            (routines.erase)(at, SECTOR, 1 << 31, 0);
        } else {
            (routines.program)(at, page, PAGE);
        }
        (routines.flush)();
    }
    (routines.begin_reading)();
}
