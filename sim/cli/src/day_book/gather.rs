//! Day books from cards, images, folders and files, a line at a time.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};
use chrono::NaiveDateTime;
use holdpoint_desk::shown::Shown;
use holdpoint_desk::slot::Files;
use holdpoint_shared::daybook::{EVENTS_FILE, HEADER, LineState, ROWS_FILE, event_state, row_state};
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault};
use serde::Serialize;

use super::line::{Entry, Happening};
use super::lines::{Line, Lines};
use super::sorter::Sorter;
use crate::progress::Progress;
use crate::source::{Source, SourceKind, open_file};

/// Lines of a book that are named when they cannot be added up; of the others the number is said (judgement).
const NAMED: usize = 100;

/// Lines between two looks at how far the reading is.
const LINES_A_TELLING: usize = 4_096;

/// A line that could not be added up.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LeftOut {
    /// The file, as far as the card's path tells it.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// What is wrong with it, and what to do.
    pub what: String,
}

/// What one path of the command line held.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Book {
    /// As named on the command line.
    pub path: String,
    /// Why it could not be read.
    pub error: Option<String>,
    /// Whole rows.
    pub rows: usize,
    /// The first lines that could not be added up.
    pub left_out: Vec<LeftOut>,
    /// How many more there are.
    pub more_left_out: usize,
    /// What devices lost of their memory, and rows for which there was no card, as far as it is named.
    pub losses: Vec<Loss>,
}

/// Something that a device's memory lost or of which it has only an older value, or a row that no card took.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Loss {
    /// Tag of the machine.
    pub machine: String,
    /// Local time at which it was found.
    pub at: Option<String>,
    /// What it was.
    pub what: String,
    /// Of a row for which no card was there: the number of its start.
    pub rec: Option<u32>,
    /// The same: the job's name.
    pub job: Option<String>,
    /// The same: when it was started.
    pub started: Option<String>,
    /// The same: how many were lost before it that are named nowhere.
    pub more: u32,
}

impl Loss {
    /// The whole of it as a sentence, with what to do.
    #[must_use]
    pub fn sentence(&self) -> String {
        let Self { machine, at, what, rec, job, started, more } = self;
        let at = at.as_deref().unwrap_or("no clock");
        let (Some(rec), Some(job)) = (rec, job) else {
            return format!(
                "{machine} ({at}): the device's memory was damaged: {what}; what it shows of that may be old: weigh, \
                 look, set it anew"
            );
        };
        let started = started.as_deref().map_or_else(String::new, |started| format!(", started {started}"));
        let others = if *more > 0 { format!("; {more} before it as well") } else { String::new() };
        format!(
            "{machine} ({at}): the row of start {rec} ({job}{started}) was given up, since no card took it{others}; the \
             sums here lack it, the spool's balance on the device does not"
        )
    }
}

/// All books together.
#[derive(Debug, Default)]
pub struct Books {
    /// What each path held.
    pub books: Vec<Book>,
    /// Every row.
    pub(super) entries: Sorter<Entry>,
    /// Events of starts.
    pub(super) happenings: Sorter<Happening>,
}

/// Where the lines of one file go.
struct Reading<'b> {
    book: &'b mut Book,
    entries: &'b mut Sorter<Entry>,
    happenings: &'b mut Sorter<Happening>,
    /// Hears of every so many lines.
    told: &'b dyn Fn(usize),
}

impl Books {
    /// Reads all of these. What cannot be read is told in its [`Book`].
    ///
    /// # Errors
    /// When there is no space for a temporary file.
    pub fn read(paths: &[PathBuf], now: NaiveDateTime, progress: &Progress) -> Result<Self> {
        let mut all = Self::default();
        for (number, path) in paths.iter().enumerate() {
            let told =
                |line: usize| progress.show(number, paths.len(), &format!("{}, line {line}", path.shown()));
            let mut book = Book { path: path.shown().to_string(), ..Book::default() };
            let Self { entries, happenings, .. } = &mut all;
            let mut reading = Reading { book: &mut book, entries, happenings, told: &told };
            match reading.take(path, now) {
                Err(error) if error.is::<NoSpace>() => return Err(error),
                Err(error) => book.error = Some(format!("{error:#}").shown().to_string()),
                Ok(()) => {}
            }
            all.books.push(book);
        }
        Ok(all)
    }

    /// Whether something could not be read.
    #[must_use]
    pub fn incomplete(&self) -> bool {
        self.books.iter().any(|book| book.error.is_some() || !book.left_out.is_empty())
    }
}

/// What ends the reading of all books: the rows cannot be laid aside.
#[derive(Debug)]
struct NoSpace(anyhow::Error);

impl std::fmt::Display for NoSpace {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:#}", self.0)
    }
}

impl std::error::Error for NoSpace {}

impl Reading<'_> {
    /// Reads the book at a path: the rows, and the events where there are any.
    fn take(&mut self, path: &Path, now: NaiveDateTime) -> Result<()> {
        let mut source = Source::at(path, now)?;
        if source.kind() == SourceKind::Job {
            return self.take_file(path);
        }
        let mut files = source.open()?;
        let mut found = false;
        for name in [ROWS_FILE, EVENTS_FILE] {
            match files.open_record(name) {
                Ok(_) => found = true,
                Err(MediaError { fault: MediaFault::NotFound, .. }) => continue,
                Err(fault) => return Err(files.describe(path, fault)),
            }
            self.lines(&format!("{}, {name}", path.shown()), &mut Lines::new(record(&mut files, path)))?;
        }
        if !found {
            return Err(anyhow!(
                "{}: has no day book: no HOLDPT/{ROWS_FILE} on it; was the device allowed to write on it?",
                path.shown()
            ));
        }
        Ok(())
    }

    fn take_file(&mut self, path: &Path) -> Result<()> {
        let mut lines = Lines::new(file(path)?);
        let head = lines.head(FIRST_COLUMNS)?;
        if !is_book(head) {
            return Err(anyhow!(
                "{}: is no day book: it does not begin with its column names; name a card, a folder with HOLDPT in \
                 it, or its {ROWS_FILE}",
                path.shown()
            ));
        }
        let is_rows = !head.starts_with(b"{");
        self.lines(&path.shown().to_string(), &mut lines)?;
        let events = path.with_file_name(EVENTS_FILE);
        if is_rows && events.is_file() {
            self.lines(&events.shown().to_string(), &mut Lines::new(file(&events)?))?;
        }
        Ok(())
    }

    fn lines(&mut self, file: &str, lines: &mut Lines<impl FnMut(&mut [u8]) -> Result<usize>>) -> Result<()> {
        let is_events = lines.head(1)? == b"{";
        for number in 1.. {
            if number % LINES_A_TELLING == 0 {
                (self.told)(number);
            }
            let what = match lines.next()? {
                None => break,
                Some(Line::TooLong) => {
                    Some("is longer than any line of a day book; look at it, and delete it".to_owned())
                }
                Some(Line::Whole(line)) => self.line(line, is_events)?,
            };
            let Some(what) = what else { continue };
            if self.book.left_out.len() < NAMED {
                let what = what.shown().to_string();
                self.book.left_out.push(LeftOut { file: file.to_owned(), line: number, what });
            } else {
                self.book.more_left_out += 1;
            }
        }
        Ok(())
    }

    /// Takes a line; gives what is wrong with it, and what to do.
    fn line(&mut self, line: &[u8], is_events: bool) -> Result<Option<String>> {
        let state = if is_events { event_state(line) } else { row_state(line) };
        Ok(match state {
            LineState::Empty | LineState::Header => None,
            LineState::Whole if is_events => match serde_json::from_slice::<Happening>(line) {
                Ok(Happening { event, machine, what: Some(what), t, rec, job, started, more, .. })
                    if event == "lost" =>
                {
                    if self.book.losses.len() < NAMED {
                        let shown = |text: String| text.shown().to_string();
                        let (at, job, started) = (t.map(shown), job.map(shown), started.map(shown));
                        let (machine, what) = (shown(machine), shown(what));
                        let loss = Loss { machine, at, what, rec, job, started, more };
                        self.book.losses.push(loss);
                    }
                    None
                }
                Ok(happening) => {
                    if happening.rec.is_some() {
                        self.happenings.push(happening).map_err(NoSpace)?;
                    }
                    None
                }
                Err(error) => {
                    Some(format!("is no event ({error}); was it written by a newer version? use that"))
                }
            },
            LineState::Whole => match Entry::read(line) {
                Ok(entry) => {
                    self.book.rows += 1;
                    self.entries.push(entry).map_err(NoSpace)?;
                    None
                }
                Err((column, cell)) => {
                    Some(format!("\"{cell}\" is no {column}; was it written by a newer version? use that"))
                }
            },
            LineState::Cut => Some(
                "was cut short, by a loss of power or a card pulled out; look for it on the device or ask the person who \
                 ran the job, and delete the line"
                    .to_owned(),
            ),
            LineState::Damaged => Some(
                "is not as it was written: its sum does not fit; was it edited, or saved by a spreadsheet? take the \
                 card's own file"
                    .to_owned(),
            ),
        })
    }
}

/// A file, as [`Lines`] reads it.
fn file(path: &Path) -> Result<impl FnMut(&mut [u8]) -> Result<usize>> {
    let mut file: File = open_file(path)?;
    Ok(move |buffer: &mut [u8]| {
        loop {
            match file.read(buffer) {
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                read => return read.with_context(|| format!("{}: cannot be read to its end", path.shown())),
            }
        }
    })
}

/// The record that is open, as [`Lines`] reads it.
fn record(files: &mut Files<'_>, path: &Path) -> impl FnMut(&mut [u8]) -> Result<usize> {
    move |buffer| match nb::block!(files.poll_read(buffer)) {
        Ok(read) => Ok(read),
        Err(fault) => Err(files.describe(path, fault)),
    }
}

/// Bytes of the first columns' names, by which a book is told.
const FIRST_COLUMNS: usize = 12;

/// Rows begin with their column names, as far as the first line was not cut; events are objects.
fn is_book(text: &[u8]) -> bool {
    let head = text.get(..FIRST_COLUMNS).unwrap_or(text);
    HEADER.as_bytes().starts_with(head) || head.starts_with(b"{\"t\":")
}
