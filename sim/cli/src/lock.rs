//! One writer at a time: a lock on a file that the system frees when its program ends, however it ends.

use std::fs::{File, TryLockError};
use std::path::Path;

use anyhow::{Result, anyhow, bail};
use holdpoint_desk::shown::Shown;

/// Locks an open file for this program alone, until it is closed.
///
/// # Errors
/// When another program has it: the message says to wait for it. A file system without locks is written without one,
/// as it always was.
pub fn exclusive(file: &File, path: &Path) -> Result<()> {
    match file.try_lock() {
        Ok(()) => Ok(()),
        Err(TryLockError::WouldBlock) => {
            bail!("{}: another program is writing to it; wait until that is done and try again", path.shown())
        }
        Err(TryLockError::Error(error)) if error.kind() == std::io::ErrorKind::Unsupported => Ok(()),
        Err(TryLockError::Error(error)) => Err(anyhow!("{}: cannot be locked: {error}", path.shown())),
    }
}
