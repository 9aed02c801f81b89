//! A device's flash, kept in a file.
//!
//! Every change is in the file, on the disk, before the write returns: whatever ends the program, a kill or a power
//! cut, the file holds what a board's flash would hold.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::Path;

use anyhow::{Context, Result, bail};
use holdpoint_desk::flash::{FLASH_BYTES, Flash, Keeper};
use holdpoint_desk::shown::Shown;

use crate::atomic::{self, Existing};
use crate::lock;

/// Locked for as long as the flash is open.
#[derive(Debug)]
struct FlashFile(File);

impl Keeper for FlashFile {
    fn keep(&mut self, offset: usize, bytes: &[u8]) -> io::Result<()> {
        self.0.seek(SeekFrom::Start(offset as u64))?;
        self.0.write_all(bytes)?;
        self.0.sync_data()
    }
}

/// The flash kept in a file; where there is none yet, a blank one is made, whole from the first moment.
///
/// # Errors
/// When the file cannot be opened, is no file of a flash's size (it is not read then), or another program has it
/// open.
pub fn load(path: &Path) -> Result<Flash> {
    let name = path.shown();
    let found = match fs::metadata(path) {
        Err(error) if error.kind() == ErrorKind::NotFound => {
            atomic::write(path, Existing::Kept, None, |file| Ok(file.write_all(Flash::blank().bytes())?))?;
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
    Ok(Flash::kept(cells, Box::new(FlashFile(file))))
}

#[cfg(test)]
mod tests {
    use embedded_storage::nor_flash::NorFlash;
    use holdpoint_desk::power::Power;

    use super::*;

    // Windows lets nobody else read a locked file.
    #[cfg(not(windows))]
    #[test]
    fn every_change_is_in_the_file_when_the_write_returns() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("flash.bin");
        let mut flash = load(&path).unwrap();
        assert_eq!(fs::read(&path).unwrap(), vec![0xFF; FLASH_BYTES]);
        flash.write(8, &[0xA5; 8]).unwrap();
        assert_eq!(fs::read(&path).unwrap(), flash.bytes());
        flash.erase(0, Flash::ERASE_SIZE as u32).unwrap();
        assert_eq!(fs::read(&path).unwrap(), vec![0xFF; FLASH_BYTES]);
        let power = Power::new();
        flash = flash.on(power.clone());
        power.cut_after(0);
        flash.write(16, &[0; 8]).unwrap_err();
        let torn = fs::read(&path).unwrap();
        assert_eq!((&torn[16..20], &torn[20..24]), (&[0; 4][..], &[0xFF; 4][..]));
        // It is nobody else's while it is open.
        assert!(load(&path).unwrap_err().to_string().contains("another"));
        drop(flash);
        assert_eq!(load(&path).unwrap().bytes(), torn);
    }

    #[test]
    fn what_is_no_flash_is_refused_unread() {
        let folder = tempfile::tempdir().unwrap();
        let large = folder.path().join("large.bin");
        // Sparse: to read it would take a terabyte.
        File::create(&large).unwrap().set_len(1 << 40).unwrap();
        assert!(load(&large).unwrap_err().to_string().contains("1099511627776 bytes"));
        assert!(load(folder.path()).unwrap_err().to_string().contains("is not a file"));
    }
}
