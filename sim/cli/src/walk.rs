//! A walk over a desktop's folder: every folder once, links last, and what is not listed counted with its first place.

use std::collections::HashSet;
use std::fs::{self, DirEntry, File, Metadata, ReadDir};
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use holdpoint_shared::limits::{FOLDER_BYTES, FOLDER_DEPTH};
use holdpoint_shared::media::{Census, Entry, FileKind, RECORDS_FOLDER, cut_name, cut_path, file_kind};

/// A job that was found.
#[derive(Debug)]
pub(crate) struct Job {
    pub(crate) path: PathBuf,
    /// Its place and its time are not known here.
    pub(crate) entry: Entry,
    pub(crate) modified: Option<SystemTime>,
}

/// What is left out of a listing.
#[derive(Clone, Copy, Debug)]
enum LeftOut {
    TooDeep,
    Unreadable,
    Circular,
    Hidden,
}

/// A folder that is being walked.
#[derive(Debug)]
struct Level {
    entries: ReadDir,
    at: At,
    /// Its path without links.
    real: PathBuf,
}

/// Where a folder lies.
#[derive(Clone, Debug, Default)]
struct At {
    /// Its path as it is shown.
    inner: String,
    /// Folders between it and the top.
    depth: usize,
    /// Whether it, or a folder above it, is hidden: its jobs are counted and not listed.
    hidden: bool,
}

/// A walk that is under way.
#[derive(Debug, Default)]
pub(crate) struct Walk {
    root: PathBuf,
    levels: Vec<Level>,
    /// Links to folders, with the folder that each lies in: they come last, so that a folder is listed by its own name.
    links: Vec<(PathBuf, PathBuf, At)>,
    /// Folders that were walked, without links.
    seen: HashSet<PathBuf>,
    jobs: Vec<Job>,
    census: Census,
    first_left_out: heapless::String<FOLDER_BYTES>,
}

impl Walk {
    /// Over a folder and those below it.
    pub(crate) fn of_folder(root: &Path) -> io::Result<Self> {
        let mut walk = Self { root: root.to_owned(), ..Self::default() };
        let real = dunce::canonicalize(root)?;
        walk.seen.insert(real.clone());
        walk.levels.push(Level { entries: fs::read_dir(root)?, at: At::default(), real });
        Ok(walk)
    }

    /// Over files that were named: each is a job.
    pub(crate) fn of_files(files: &[PathBuf]) -> Self {
        let mut walk = Self { root: files.first().cloned().unwrap_or_default(), ..Self::default() };
        for path in files {
            walk.census.jobs = walk.census.jobs.saturating_add(1);
            let folder =
                path.parent().map(|folder| folder.to_string_lossy().into_owned()).unwrap_or_default();
            match fs::metadata(path) {
                Ok(found) => walk.offer(path.clone(), &folder, &found),
                Err(_) => walk.leave_out(LeftOut::Unreadable, &path.to_string_lossy()),
            }
        }
        walk
    }

    /// What is walked, for messages.
    pub(crate) fn root(&self) -> &Path {
        &self.root
    }

    /// The jobs, how much there is of everything, and where the first lies that is not listed.
    pub(crate) fn finish(self) -> (Vec<Job>, Census, heapless::String<FOLDER_BYTES>) {
        (self.jobs, self.census, self.first_left_out)
    }

    /// Looks at one more entry; false when there is none.
    ///
    /// # Errors
    /// When the top folder itself cannot be read. Any other costs only what it is.
    pub(crate) fn advance(&mut self) -> io::Result<bool> {
        let is_top = self.levels.len() == 1;
        let Some(level) = self.levels.last_mut() else {
            let Some((path, inside, at)) = self.links.pop() else { return Ok(false) };
            self.enter_link(&path, &inside, at);
            return Ok(true);
        };
        match level.entries.next() {
            None => {
                self.levels.pop();
            }
            Some(Err(error)) if is_top && level.at.depth == 0 => return Err(error),
            Some(Err(_)) => {
                let inner = level.at.inner.clone();
                self.levels.pop();
                self.leave_out(LeftOut::Unreadable, &inner);
            }
            Some(Ok(entry)) => {
                let (at, real) = (level.at.clone(), level.real.clone());
                self.take(&entry, &at, &real);
            }
        }
        Ok(true)
    }

    fn take(&mut self, entry: &DirEntry, at: &At, real: &Path) {
        let path = entry.path();
        let name = entry.file_name();
        let name = name.to_string_lossy();
        let ours = at.depth == 0 && name.eq_ignore_ascii_case(RECORDS_FOLDER);
        let hidden = at.hidden || name.starts_with('.');
        let inner =
            if at.inner.is_empty() { name.clone().into_owned() } else { format!("{}/{name}", at.inner) };
        let found = match fs::metadata(&path) {
            Ok(found) => found,
            // It went away since its folder was read.
            Err(_) if fs::symlink_metadata(&path).is_err_and(|error| error.kind() == ErrorKind::NotFound) => {
                return;
            }
            // What is behind a link to nothing, or cannot be looked at, may have been a job or a folder of jobs.
            Err(_) => return self.leave_out(LeftOut::Unreadable, &inner),
        };
        if found.is_dir() {
            let below = At { inner, depth: at.depth + 1, hidden };
            match entry.file_type() {
                _ if ours => {}
                Ok(kind) if kind.is_symlink() => self.links.push((path, real.to_owned(), below)),
                _ => self.enter(&path, below),
            }
            return;
        }
        let kind = file_kind(name.chars());
        match kind {
            FileKind::Job if hidden => {
                if !is_companion(&path, &name) {
                    self.leave_out(LeftOut::Hidden, &inner);
                }
            }
            FileKind::Job if at.depth > FOLDER_DEPTH => self.leave_out(LeftOut::TooDeep, &inner),
            // A pipe or a device.
            FileKind::Job if !found.is_file() => self.leave_out(LeftOut::Unreadable, &inner),
            _ if hidden || at.depth > FOLDER_DEPTH => {}
            FileKind::Job => {
                self.census.jobs = self.census.jobs.saturating_add(1);
                self.offer(path, &at.inner, &found);
            }
            FileKind::Model => self.census.models = self.census.models.saturating_add(1),
            FileKind::Other => self.census.others = self.census.others.saturating_add(1),
        }
    }

    /// Goes into a folder, unless it was walked already under another name.
    fn enter(&mut self, path: &Path, at: At) {
        let opened = dunce::canonicalize(path).and_then(|real| Ok((fs::read_dir(path)?, real)));
        let Ok((entries, real)) = opened else { return self.leave_out(LeftOut::Unreadable, &at.inner) };
        if !self.seen.insert(real.clone()) {
            return;
        }
        if !at.hidden && at.depth <= FOLDER_DEPTH {
            self.census.folders = self.census.folders.saturating_add(1);
        }
        self.levels.push(Level { entries, at, real });
    }

    /// Goes into the folder that a link leads to. One that leads back to a folder that it lies in is left out: to whoever
    /// follows it, the folder contains itself.
    fn enter_link(&mut self, path: &Path, inside: &Path, at: At) {
        match dunce::canonicalize(path) {
            Ok(real) if inside.starts_with(&real) => self.leave_out(LeftOut::Circular, &at.inner),
            _ => self.enter(path, at),
        }
    }

    fn offer(&mut self, path: PathBuf, folder: &str, found: &Metadata) {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let (name, name_cut) = cut_name(name.chars());
        let slashes = std::path::MAIN_SEPARATOR == '/';
        let folder = if slashes { cut_path(folder) } else { cut_path(&folder.replace('\\', "/")) };
        let entry = Entry { name, name_cut, folder, size_bytes: found.len(), ..Entry::default() };
        self.jobs.push(Job { path, entry, modified: found.modified().ok() });
    }

    fn leave_out(&mut self, what: LeftOut, inner: &str) {
        let count = match what {
            LeftOut::TooDeep => &mut self.census.too_deep,
            LeftOut::Unreadable => &mut self.census.unreadable,
            LeftOut::Circular => &mut self.census.circular,
            LeftOut::Hidden => &mut self.census.hidden,
        };
        *count = count.saturating_add(1);
        if self.first_left_out.is_empty() {
            self.first_left_out = cut_path(inner);
        }
    }
}

/// Whether a file is a companion that one system writes beside each file of a card, with marks of its own (AppleDouble,
/// RFC 1740: its first four bytes).
fn is_companion(path: &Path, name: &str) -> bool {
    let mut head = [0; 4];
    name.starts_with("._")
        && path.is_file()
        && File::open(path).and_then(|mut file| file.read_exact(&mut head)).is_ok()
        && head == [0, 5, 0x16, 7]
}
