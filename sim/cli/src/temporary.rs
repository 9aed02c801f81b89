//! A folder for a while, in the system's folder for temporary files. A kill leaves it there, and the next run removes it.

use std::fs::{self, File};
use std::path::Path;

use anyhow::{Context, Result};
use tempfile::{Builder, NamedTempFile, TempDir};

/// How the names of these folders begin, and of the lock beside each.
const PREFIX: &str = "holdpoint-";
const LOCK: &str = ".lock";

/// A folder that goes when this does.
#[derive(Debug)]
pub struct Temporary {
    // In this order: a folder without its lock would never be removed.
    folder: TempDir,
    _lock: NamedTempFile,
}

impl Temporary {
    /// Makes a folder.
    ///
    /// # Errors
    /// When it cannot be made there.
    pub fn new() -> Result<Self> {
        Self::within(&std::env::temp_dir())
            .context("a folder for temporary files is needed; set TMPDIR to one that can be written")
    }

    fn within(temporary: &Path) -> Result<Self> {
        remove_stale(temporary);
        let lock = Builder::new().prefix(PREFIX).suffix(LOCK).tempfile_in(temporary)?;
        // Locked before there is a folder: whoever finds the lock free finds nothing that is in use.
        let _ = lock.as_file().try_lock();
        let name = lock.path().file_name().unwrap_or_default().to_string_lossy();
        let name = name.trim_end_matches(LOCK);
        let folder = Builder::new().prefix(name).rand_bytes(0).tempdir_in(temporary)?;
        Ok(Self { folder, _lock: lock })
    }

    /// Where it is.
    #[must_use]
    pub fn path(&self) -> &Path {
        self.folder.path()
    }
}

/// Removes what killed runs left: folders whose lock nobody holds.
fn remove_stale(temporary: &Path) {
    // What cannot be read or removed now, or is another user's, does no harm.
    let Ok(entries) = fs::read_dir(temporary) else { return };
    for lock in entries.flatten().map(|entry| entry.path()) {
        let name = lock.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        let Some(folder) = name.strip_suffix(LOCK).filter(|name| name.starts_with(PREFIX)) else { continue };
        if File::open(&lock).is_ok_and(|file| file.try_lock().is_ok()) {
            let _ = fs::remove_dir_all(temporary.join(folder));
            let _ = fs::remove_file(&lock);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> usize {
        fs::read_dir(folder).unwrap().count()
    }

    #[test]
    fn folders_of_killed_runs_go_and_those_in_use_stay() {
        let here = tempfile::tempdir().unwrap();
        fs::write(here.path().join("holdpoint-left.lock"), "").unwrap();
        fs::create_dir(here.path().join("holdpoint-left")).unwrap();
        fs::write(here.path().join("holdpoint-left/demo.img"), "half").unwrap();
        let first = Temporary::within(here.path()).unwrap();
        assert_eq!(names(here.path()), 2, "the new folder and its lock");
        fs::write(first.path().join("demo.img"), "whole").unwrap();
        let second = Temporary::within(here.path()).unwrap();
        assert_eq!(fs::read(first.path().join("demo.img")).unwrap(), b"whole");
        drop((first, second));
        assert_eq!(names(here.path()), 0);
    }
}
