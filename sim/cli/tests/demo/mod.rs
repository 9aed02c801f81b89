//! The demo's files in a folder, as anybody could write them.

use std::fs::{self, File};
use std::path::Path;

use holdpoint_cli::clock::utc_offset_min;

/// Writes them with their times.
pub(crate) fn write_files(folder: &Path) {
    fs::create_dir_all(folder).unwrap();
    for (entry, bytes) in holdpoint_desk::demo::files() {
        let path = folder.join(&entry.name);
        if entry.is_folder {
            fs::create_dir(path).unwrap();
            continue;
        }
        fs::write(&path, bytes).unwrap();
        let saved = entry.saved.unwrap();
        let utc = saved.and_utc().timestamp() - i64::from(utc_offset_min(saved)) * 60;
        let time = std::time::UNIX_EPOCH + std::time::Duration::from_secs(utc.try_into().unwrap());
        File::options().write(true).open(&path).unwrap().set_modified(time).unwrap();
    }
}
