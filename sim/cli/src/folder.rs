//! A plain folder of the desktop, or a list of files, in the place of a card.

use std::collections::HashMap;
use std::fs::{self, File};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

use anyhow::{Context, Result, bail};
use chrono::{DateTime, FixedOffset, Timelike, Utc};
use holdpoint_desk::listing::Listing;
use holdpoint_desk::shown::Shown;
use holdpoint_desk::slot::{Files, Opened, Walked};
use holdpoint_shared::limits::FOLDER_DEPTH;
use holdpoint_shared::media::{EntryPlace, JobFiles, MediaError, MediaFault, Page, PageFrom, RECORDS_FOLDER};
use holdpoint_shared::time::WallClock;

use crate::walk::{Job, Walk};

/// Entries looked at in one call.
const ENTRIES_A_POLL: usize = 64;

/// The line end of RFC 4180, set before a row if the file does not end with a line end.
const LINE_END: &[u8] = b"\r\n";

/// Jobs in a desktop's folder and the folders below it, or in a list of files.
#[derive(Debug)]
pub struct Folder {
    place: Place,
    /// Every job ever listed: a place is an index of this list, so it stays valid.
    known: Vec<PathBuf>,
    /// Where each stands in `known`.
    places: HashMap<PathBuf, usize>,
    /// The part that is asked for, and how far the walk for it is.
    walk: Option<(PageFrom, Option<Walk>)>,
    /// What the last listing from its newest job on found. Every other listing is of this: the folder is walked once,
    /// however many pages and neighbours are asked for.
    listed: Option<Arc<Listing>>,
    open: Option<OpenJob>,
    problem: Option<String>,
}

/// Where the jobs and the records are.
#[derive(Clone, Debug)]
struct Place {
    source: Source,
    /// The folder of records, where there is one to look in.
    records: Option<PathBuf>,
    offset: FixedOffset,
}

#[derive(Clone, Debug)]
enum Source {
    Folder(PathBuf),
    Files(Vec<PathBuf>),
}

/// A folder that was walked.
#[derive(Clone, Debug)]
struct WalkedFolder {
    listed: Arc<Listing>,
    place: Place,
    known: Vec<PathBuf>,
}

#[derive(Debug)]
struct OpenJob {
    path: PathBuf,
    file: File,
    size: u64,
}

impl Folder {
    /// A folder; its times are shown `utc_offset_min` minutes east of UTC.
    ///
    /// # Errors
    /// When there is no such folder, or the offset is beyond a day.
    pub fn new(path: &Path, utc_offset_min: i32) -> Result<Self> {
        fs::read_dir(path).with_context(|| format!("cannot read the folder {}", path.shown()))?;
        Self::over(Source::Folder(path.to_path_buf()), Some(path.join(RECORDS_FOLDER)), utc_offset_min)
    }

    /// A list of files: each is a job, whatever its ending. The records are those of the nearest card at or above the
    /// first one.
    ///
    /// # Errors
    /// When one of them is missing or no file, or the offset is beyond a day.
    pub fn of_files(paths: Vec<PathBuf>, utc_offset_min: i32) -> Result<Self> {
        for path in &paths {
            let found = fs::metadata(path).with_context(|| format!("cannot read {}", path.shown()))?;
            if !found.is_file() {
                bail!("{} is not a file", path.shown());
            }
        }
        let records = paths.first().and_then(|path| card_root(path)).map(|root| root.join(RECORDS_FOLDER));
        Self::over(Source::Files(paths), records, utc_offset_min)
    }

    fn over(source: Source, records: Option<PathBuf>, utc_offset_min: i32) -> Result<Self> {
        let seconds = utc_offset_min.checked_mul(60).and_then(FixedOffset::east_opt);
        let offset = seconds.with_context(|| {
            format!(
                "{utc_offset_min} minutes from UTC is more than a day: between -1439 and 1439 are possible"
            )
        })?;
        Ok(Self::at(Place { source, records, offset }))
    }

    fn at(place: Place) -> Self {
        Self {
            place,
            known: Vec::new(),
            places: HashMap::new(),
            walk: None,
            listed: None,
            open: None,
            problem: None,
        }
    }

    /// The file that a place stands for.
    #[must_use]
    pub fn path_of(&self, place: EntryPlace) -> Option<&Path> {
        usize::try_from(place.entry).ok().and_then(|at| self.known.get(at)).map(PathBuf::as_path)
    }

    /// Remembers what went wrong with a file, and says it in the core's words.
    fn fault(&mut self, path: &Path, error: &io::Error, otherwise: MediaFault) -> MediaError {
        self.problem = Some(format!("{}: {error}", path.shown()));
        MediaError::new(match error.kind() {
            ErrorKind::NotFound => MediaFault::NotFound,
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => MediaFault::Full,
            ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem
                if otherwise == MediaFault::WriteFailed =>
            {
                MediaFault::ReadOnly
            }
            ErrorKind::NotADirectory | ErrorKind::IsADirectory | ErrorKind::AlreadyExists => {
                MediaFault::InTheWay
            }
            _ => otherwise,
        })
    }

    fn place(&mut self, path: PathBuf) -> EntryPlace {
        let next = self.known.len();
        let at = *self.places.entry(path.clone()).or_insert(next);
        if at == next {
            self.known.push(path);
        }
        EntryPlace { folder: 0, entry: at as u64 }
    }

    fn open_path(&mut self, path: PathBuf) -> Result<u64, MediaError> {
        self.open = None;
        // To open a pipe waits for its writer.
        let opened = fs::metadata(&path).and_then(|found| {
            if found.is_file() { File::open(&path) } else { Err(ErrorKind::NotFound.into()) }
        });
        let opened = opened.and_then(|file| Ok((file.metadata()?.len(), file)));
        match opened {
            Ok((size, file)) => {
                self.open = Some(OpenJob { path, file, size });
                Ok(size)
            }
            Err(error) => Err(self.fault(&path, &error, MediaFault::ReadFailed)),
        }
    }

    fn begin_walk(&mut self) -> Result<Walk, MediaError> {
        match &self.place.source {
            Source::Files(files) => Ok(Walk::of_files(files)),
            Source::Folder(root) => {
                let root = root.clone();
                Walk::of_folder(&root).map_err(|error| self.fault(&root, &error, MediaFault::ReadFailed))
            }
        }
    }

    /// The listing of what was walked.
    fn list(&mut self, walk: Walk) -> Listing {
        let (mut jobs, census, first_left_out) = walk.finish();
        // Jobs of one name get their places by their folders, in whatever order the system listed them.
        jobs.sort_by(|a, b| a.path.cmp(&b.path));
        let offset = self.place.offset;
        let entries = jobs.into_iter().map(|Job { path, mut entry, modified }| {
            entry.saved = saved(modified, offset);
            entry.place = self.place(path);
            entry
        });
        Listing::new(entries.collect(), census, first_left_out)
    }
}

fn saved(modified: Option<SystemTime>, offset: FixedOffset) -> Option<WallClock> {
    let utc: DateTime<Utc> = modified?.into();
    utc.with_timezone(&offset).naive_local().with_nanosecond(0)
}

impl Opened for Folder {
    fn problem(&self) -> Option<&str> {
        self.problem.as_deref()
    }

    fn walk(&mut self) -> Result<Option<Arc<dyn Walked>>, MediaError> {
        self.start_listing(PageFrom::Newest);
        nb::block!(self.poll_listing(&mut Page::default()))?;
        let (place, known) = (self.place.clone(), self.known.clone());
        Ok(self
            .listed
            .clone()
            .map(|listed| Arc::new(WalkedFolder { listed, place, known }) as Arc<dyn Walked>))
    }
}

impl Walked for WalkedFolder {
    fn listing(&self) -> Arc<Listing> {
        self.listed.clone()
    }

    fn again(&self) -> Files<'static> {
        let places = self.known.iter().cloned().zip(0..).collect();
        let Self { place, known, listed } = self.clone();
        Files::new(Folder { known, places, listed: Some(listed), ..Folder::at(place) })
    }
}

impl JobFiles for Folder {
    fn start_listing(&mut self, from: PageFrom) {
        self.walk = Some((from, None));
    }

    fn poll_listing(&mut self, page: &mut Page) -> nb::Result<(), MediaError> {
        let (from, begun) = self.walk.take().ok_or(MediaError::new(MediaFault::NotFound))?;
        if let (Some(listed), false, None) = (&self.listed, matches!(from, PageFrom::Newest), &begun) {
            listed.page(&from, page);
            return Ok(());
        }
        let mut walk = match begun {
            Some(walk) => walk,
            None => self.begin_walk()?,
        };
        for _ in 0..ENTRIES_A_POLL {
            let root = walk.root().to_owned();
            if !walk.advance().map_err(|error| self.fault(&root, &error, MediaFault::ReadFailed))? {
                let listed = self.list(walk);
                listed.page(&from, page);
                self.listed = Some(Arc::new(listed));
                return Ok(());
            }
        }
        self.walk = Some((from, Some(walk)));
        Err(nb::Error::WouldBlock)
    }

    fn open(&mut self, place: EntryPlace) -> Result<u64, MediaError> {
        self.open = None;
        let path = self.path_of(place).map(Path::to_path_buf);
        self.open_path(path.ok_or(MediaError::new(MediaFault::NotFound))?)
    }

    fn open_record(&mut self, name: &str) -> Result<u64, MediaError> {
        self.open = None;
        let records = self.place.records.clone().ok_or(MediaError::new(MediaFault::NotFound))?;
        self.open_path(records.join(name))
    }

    fn seek(&mut self, offset: u64) -> Result<(), MediaError> {
        let Some(mut open) = self.open.take() else {
            return Err(MediaError::new(MediaFault::NotFound));
        };
        let sought = open.file.seek(SeekFrom::Start(offset.min(open.size)));
        if let Err(error) = sought {
            return Err(self.fault(&open.path, &error, MediaFault::ReadFailed));
        }
        self.open = Some(open);
        Ok(())
    }

    fn poll_read(&mut self, buffer: &mut [u8]) -> nb::Result<usize, MediaError> {
        let Some(mut open) = self.open.take() else {
            return Err(MediaError::new(MediaFault::NotFound).into());
        };
        let read = loop {
            match open.file.read(buffer) {
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) => return Err(self.fault(&open.path, &error, MediaFault::ReadFailed).into()),
                Ok(read) => break read,
            }
        };
        self.open = Some(open);
        Ok(read)
    }

    fn append_record(&mut self, name: &str, header: &[u8], rows: &[u8]) -> Result<(), MediaError> {
        // Loose files have no folder of records.
        let records = self.place.records.clone().ok_or(MediaError::new(MediaFault::ReadOnly))?;
        let path = records.join(name);
        let written = fs::create_dir_all(&records).and_then(|()| append(&path, header, rows));
        written.map_err(|error| self.fault(&path, &error, MediaFault::WriteFailed))
    }
}

/// The nearest folder at or above a file's own that holds records; as far up as a card is searched down.
pub(crate) fn card_root(path: &Path) -> Option<PathBuf> {
    let path = dunce::canonicalize(path).ok()?;
    let mut above = path.ancestors().skip(1).take(FOLDER_DEPTH + 1);
    above.find(|folder| folder.join(RECORDS_FOLDER).is_dir()).map(Path::to_owned)
}

/// Appends whole rows; after a failure the file is as long as before.
fn append(path: &Path, header: &[u8], rows: &[u8]) -> io::Result<()> {
    let mut file = File::options().read(true).append(true).create(true).open(path)?;
    // Two programs append one after the other. A file system without locks is written as it always was.
    match file.lock() {
        Err(error) if error.kind() != ErrorKind::Unsupported => return Err(error),
        _ => {}
    }
    let size = file.metadata()?.len();
    let mut bytes = Vec::with_capacity(header.len() + rows.len() + LINE_END.len());
    if size == 0 {
        bytes.extend_from_slice(header);
    } else {
        let mut last = [0];
        file.seek(SeekFrom::End(-1))?;
        file.read_exact(&mut last)?;
        if last != *b"\n" {
            bytes.extend_from_slice(LINE_END);
        }
    }
    bytes.extend_from_slice(rows);
    let written = file.write_all(&bytes).and_then(|()| file.sync_all());
    if written.is_err() {
        file.set_len(size)?;
        if size == 0 {
            // No empty file takes the place of none.
            fs::remove_file(path)?;
        }
    }
    // A new file's name is on the disk once its folder is; where a system cannot bring folders there, it does so by itself.
    #[cfg(unix)]
    if let (0, Some(folder)) = (size, path.parent()) {
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
    }
    written
}

#[cfg(test)]
mod tests {
    use holdpoint_shared::media::Census;

    use super::*;

    fn set_time(path: &Path, seconds: u64) {
        let file = File::options().write(true).open(path).unwrap();
        file.set_modified(SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(seconds)).unwrap();
    }

    fn page(folder: &mut Folder, from: PageFrom) -> Page {
        let mut page = Page::default();
        folder.start_listing(from);
        nb::block!(folder.poll_listing(&mut page)).unwrap();
        page
    }

    #[test]
    fn jobs_come_newest_first_in_local_time() {
        let root = tempfile::tempdir().unwrap();
        let inner = root.path().join("Klasse 9b");
        fs::create_dir_all(root.path().join("HOLDPT")).unwrap();
        fs::create_dir(&inner).unwrap();
        // 1_764_057_600 is 2025-11-25 08:00 UTC.
        for (path, seconds) in [
            (root.path().join("old.gcode"), 1_764_057_600),
            (inner.join("Größe.GCO"), 1_764_057_660),
            (root.path().join("HOLDPT/inside.gcode"), 1_764_057_700),
            (root.path().join(".hidden.gcode"), 1_764_057_700),
            (root.path().join("model.stl"), 1_764_057_700),
            (root.path().join("notes.txt"), 1_764_057_700),
        ] {
            fs::write(&path, "G28\n").unwrap();
            set_time(&path, seconds);
        }
        let mut folder = Folder::new(root.path(), 60).unwrap();
        let listed = page(&mut folder, PageFrom::Newest);
        let names: Vec<_> =
            listed.entries.iter().map(|job| (job.folder.as_str(), job.name.as_str())).collect();
        assert_eq!(names, [("Klasse 9b", "Größe.GCO"), ("", "old.gcode")]);
        assert_eq!(listed.entries[1].saved.unwrap().to_string(), "2025-11-25 09:00:00");
        let newest = listed.entries[0].saved;
        let expected = Census { jobs: 2, models: 1, others: 1, folders: 1, newest, ..Census::default() };
        let expected = Census { hidden: 1, ..expected };
        assert_eq!(listed.census, expected);
        assert_eq!(folder.open(listed.entries[0].place), Ok(4));
        folder.seek(2).unwrap();
        let mut buffer = [0; 8];
        assert_eq!(folder.poll_read(&mut buffer), Ok(2));
        assert_eq!(&buffer[..2], b"8\n");
        fs::remove_file(inner.join("Größe.GCO")).unwrap();
        assert_eq!(folder.open(listed.entries[0].place), Err(MediaError::new(MediaFault::NotFound)));
        assert!(folder.problem().unwrap().contains("Größe.GCO"));
    }

    #[test]
    fn records_are_appended_in_whole_rows() {
        let root = tempfile::tempdir().unwrap();
        let mut folder = Folder::new(root.path(), 0).unwrap();
        assert_eq!(folder.open_record("DAYBOOK.CSV"), Err(MediaError::new(MediaFault::NotFound)));
        folder.append_record("DAYBOOK.CSV", b"a,b\r\n", b"1,2\r\n").unwrap();
        folder.append_record("DAYBOOK.CSV", b"a,b\r\n", b"3,4").unwrap();
        folder.append_record("DAYBOOK.CSV", b"a,b\r\n", b"5,6\r\n").unwrap();
        let written = fs::read(root.path().join("HOLDPT/DAYBOOK.CSV")).unwrap();
        assert_eq!(written, b"a,b\r\n1,2\r\n3,4\r\n5,6\r\n");
    }

    #[test]
    fn the_records_of_the_nearest_card_count() {
        let root = tempfile::tempdir().unwrap();
        let deep = root.path().join("a/b");
        fs::create_dir_all(&deep).unwrap();
        let records = root.path().join(RECORDS_FOLDER);
        fs::create_dir(&records).unwrap();
        fs::write(records.join("SPOOL.JSN"), "{}").unwrap();
        let job = deep.join("x.gcode");
        fs::write(&job, "G28\n").unwrap();
        assert_eq!(card_root(&job), Some(dunce::canonicalize(root.path()).unwrap()));
        assert_eq!(card_root(&deep.join("missing.gcode")), None);
        assert_eq!(Folder::of_files(vec![job], 0).unwrap().open_record("SPOOL.JSN"), Ok(2));
    }

    #[test]
    fn listed_files_are_jobs_whatever_their_ending() {
        let root = tempfile::tempdir().unwrap();
        let path = root.path().join("part.txt");
        fs::write(&path, "G28").unwrap();
        let mut files = Folder::of_files(vec![path.clone()], 0).unwrap();
        let listed = page(&mut files, PageFrom::Newest);
        assert_eq!(listed.entries.len(), 1);
        assert_eq!(files.path_of(listed.entries[0].place), Some(path.as_path()));
        let said = Folder::of_files(vec![root.path().join("none.gcode")], 0).unwrap_err();
        assert!(said.to_string().contains("none.gcode"));
        assert!(Folder::new(root.path(), 1_440).is_err());
    }
}
