//! A file that is there whole or not at all: written beside its place, brought to the disk, then given its name.

use std::fs::{self, File, Permissions};
use std::io;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use anyhow::{Context, Result};
use holdpoint_desk::shown::Shown;
use tempfile::{Builder, NamedTempFile};

/// How the name of a file that is not whole yet begins and ends. No listing of jobs shows a name with a leading dot.
const PART: (&str, &str) = (".holdpoint-", ".part");

/// What happens to a file that has the name already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Existing {
    /// It is replaced in one step.
    Replaced,
    /// It stays, and the writing fails.
    Kept,
}

/// Writes a file by `fill`, with `permissions` or, without them, as the user's new files have them. Whatever fails, and
/// whenever, an older file of that name stays as it is and nothing is left beside it. A kill or a power cut can leave a
/// part of a file, which the next writing into that folder removes.
///
/// # Errors
/// When the folder cannot be written, the name is taken and kept, or `fill` fails.
pub fn write(
    path: &Path,
    existing: Existing,
    permissions: Option<Permissions>,
    fill: impl FnOnce(&mut NamedTempFile) -> Result<()>,
) -> Result<()> {
    let folder = folder_of(path);
    remove_stale_parts(&folder);
    let mut builder = Builder::new();
    builder.prefix(PART.0).suffix(PART.1);
    #[cfg(unix)]
    {
        // The system takes the user's mask off this, as from every new file.
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(&folder).with_context(|| {
        format!("{}: nothing can be written into its folder; name another place", path.shown())
    })?;
    // The lock tells the next run that this part is being written; where a system has no locks, none is removed.
    let _ = file.as_file().try_lock();
    let failed = || format!("{}: cannot be written; is there space left?", path.shown());
    fill(&mut file).with_context(failed)?;
    if let Some(permissions) = permissions {
        file.as_file().set_permissions(permissions).with_context(failed)?;
    }
    file.as_file().sync_all().with_context(failed)?;
    match existing {
        Existing::Replaced => replace(file, path).with_context(failed)?,
        Existing::Kept => file.persist_noclobber(path).map_err(|error| error.error).with_context(|| {
            format!("{}: cannot be written under this name; is it taken? name another", path.shown())
        })?,
    };
    // The new name is on the disk once its folder is; where a system cannot bring folders there, it does so by itself.
    #[cfg(unix)]
    let _ = File::open(&folder).and_then(|folder| folder.sync_all());
    Ok(())
}

/// Removes what killed runs left in a folder: parts that nobody holds a lock on.
fn remove_stale_parts(folder: &Path) {
    // What cannot be read or removed now does no harm: it is tried again at the next writing.
    let Ok(entries) = fs::read_dir(folder) else { return };
    for path in entries.flatten().map(|entry| entry.path()) {
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        if name.starts_with(PART.0)
            && name.ends_with(PART.1)
            && File::open(&path).is_ok_and(|file| file.try_lock().is_ok())
        {
            let _ = fs::remove_file(&path);
        }
    }
}

/// Gives the new file its name. On Windows that fails while another program reads the old one, a virus scanner for
/// instance: it is tried again for a second.
fn replace(mut file: NamedTempFile, path: &Path) -> io::Result<File> {
    /// Between two tries (judgement).
    const WAIT: Duration = Duration::from_millis(20);
    const TRIES: u32 = 50;
    for _ in 1..TRIES {
        match file.persist(path) {
            Err(failed) if cfg!(windows) && failed.error.kind() == io::ErrorKind::PermissionDenied => {
                file = failed.file;
                thread::sleep(WAIT);
            }
            done => return done.map_err(|failed| failed.error),
        }
    }
    file.persist(path).map_err(|failed| failed.error)
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
    fn folder() -> (tempfile::TempDir, PathBuf, Option<Permissions>) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("job.gcode");
        fs::write(&path, "old").unwrap();
        let permissions = fs::metadata(&path).unwrap().permissions();
        (folder, path, Some(permissions))
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
        assert!(format!("{:#}", failed.unwrap_err()).ends_with("the lights went out"));
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
        assert!(nowhere.unwrap_err().to_string().contains("name another"));
    }

    #[test]
    fn parts_of_killed_runs_go_and_those_of_others_stay() {
        let (folder, path, permissions) = folder();
        let part = |name: &str| folder.path().join(format!(".holdpoint-{name}.part"));
        fs::write(part("left"), "half").unwrap();
        let busy = File::create(part("busy")).unwrap();
        busy.lock().unwrap();
        write(&path, Existing::Replaced, permissions, |file| Ok(file.write_all(b"new")?)).unwrap();
        let mut left = names(folder.path());
        left.sort();
        assert_eq!(left, [".holdpoint-busy.part", "job.gcode"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_new_file_is_as_the_users_other_new_files() {
        use std::os::unix::fs::PermissionsExt;
        let (folder, ..) = folder();
        let mode = |name: &str| fs::metadata(folder.path().join(name)).unwrap().permissions().mode();
        write(&folder.path().join("ours"), Existing::Kept, None, |_| Ok(())).unwrap();
        File::create(folder.path().join("theirs")).unwrap();
        assert_eq!(mode("ours"), mode("theirs"));
    }
}
