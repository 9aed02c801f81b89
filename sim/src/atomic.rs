//! A file that is there whole or not at all: written beside its place, brought to the disk, then given its name.

use std::fs::{File, Permissions};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use tempfile::Builder;

/// What happens to a file that bears the name already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Existing {
    /// It is replaced in one step.
    Replaced,
    /// It stays, and the writing fails.
    Kept,
}

/// Writes a file by `fill`. Whatever fails, and whenever, an older file of that name stays as it is and nothing is
/// left beside it; only a power cut or a kill can leave a file whose name begins with a dot, which no listing of
/// jobs shows.
///
/// # Errors
/// When the folder cannot be written, the name is taken and kept, or `fill` fails.
pub fn write(
    path: &Path,
    existing: Existing,
    permissions: Permissions,
    fill: impl FnOnce(&mut File) -> Result<()>,
) -> Result<()> {
    let folder = folder_of(path);
    let mut file =
        Builder::new().prefix(".holdpoint-").suffix(".part").tempfile_in(&folder).with_context(|| {
            format!(
                "{}: nothing can be written into this folder; name another with --to FILE",
                folder.display()
            )
        })?;
    let failed = || format!("{}: cannot be written; is there space left?", path.display());
    fill(file.as_file_mut())?;
    file.as_file().set_permissions(permissions).with_context(failed)?;
    file.as_file().sync_all().with_context(failed)?;
    match existing {
        Existing::Replaced => file.persist(path).map_err(|error| error.error).with_context(failed)?,
        Existing::Kept => file.persist_noclobber(path).map_err(|error| error.error).with_context(|| {
            format!("{}: cannot be written under this name; is it taken? name another", path.display())
        })?,
    };
    // The new name is on the disk once its folder is; where a system cannot bring folders there, it does so by itself.
    #[cfg(unix)]
    let _ = File::open(&folder).and_then(|folder| folder.sync_all());
    Ok(())
}

fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if folder != Path::new("") => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::io::Write;

    use anyhow::bail;

    use super::*;

    /// A folder with one file, and that file's path and permissions.
    fn folder() -> (tempfile::TempDir, PathBuf, Permissions) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("job.gcode");
        fs::write(&path, "old").unwrap();
        let permissions = fs::metadata(&path).unwrap().permissions();
        (folder, path, permissions)
    }

    fn names(folder: &Path) -> Vec<String> {
        let name = |entry: std::io::Result<fs::DirEntry>| entry.unwrap().file_name().into_string().unwrap();
        fs::read_dir(folder).unwrap().map(name).collect()
    }

    #[test]
    fn a_failure_half_way_leaves_the_old_file_and_nothing_else() {
        let (folder, path, permissions) = folder();
        let failed = write(&path, Existing::Replaced, permissions, |file| {
            file.write_all(b"half of the new")?;
            bail!("the lights went out")
        });
        assert_eq!(failed.unwrap_err().to_string(), "the lights went out");
        assert_eq!(fs::read(&path).unwrap(), b"old");
        assert_eq!(names(folder.path()), ["job.gcode"]);
    }

    #[test]
    fn until_the_last_step_the_old_file_is_there_whole() {
        let (_folder, path, permissions) = folder();
        write(&path, Existing::Replaced, permissions, |file| {
            file.write_all(b"all of the new")?;
            assert_eq!(fs::read(&path)?, b"old");
            Ok(())
        })
        .unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"all of the new");
    }

    #[test]
    fn a_name_that_is_taken_is_kept() {
        let (folder, path, permissions) = folder();
        let failed = write(&path, Existing::Kept, permissions.clone(), |file| Ok(file.write_all(b"new")?));
        assert!(failed.unwrap_err().to_string().contains("job.gcode"));
        assert_eq!(fs::read(&path).unwrap(), b"old");
        // A name that cannot be taken at all: the last step itself fails.
        let inner = folder.path().join("inner");
        fs::create_dir(&inner).unwrap();
        let failed =
            write(&inner, Existing::Replaced, permissions.clone(), |file| Ok(file.write_all(b"new")?));
        assert!(failed.unwrap_err().to_string().contains("inner"));
        let mut left = names(folder.path());
        left.sort();
        assert_eq!(left, ["inner", "job.gcode"]);
        let nowhere = write(&folder.path().join("no/x"), Existing::Kept, permissions, |_| Ok(()));
        assert!(nowhere.unwrap_err().to_string().contains("--to"));
    }
}
