//! Day books from cards, images, folders and files; each start once.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};
use chrono::NaiveDateTime;
use holdpoint_shared::daybook::{EVENTS_FILE, HEADER, LineState, ROWS_FILE, event_state, row_state};
use holdpoint_shared::limits::BLOCK_BYTES;
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault};
use serde::Serialize;

use super::line::{Entry, Happening};
use crate::source::{Source, SourceKind};

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
#[derive(Clone, Debug, Serialize)]
pub struct Book {
    /// As named on the command line.
    pub path: String,
    /// Why it could not be read.
    pub error: Option<String>,
    /// Whole rows.
    pub rows: usize,
    /// Lines that could not be added up.
    pub left_out: Vec<LeftOut>,
}

/// All books together.
#[derive(Clone, Debug, Default)]
pub struct Books {
    /// What each path held.
    pub books: Vec<Book>,
    /// Every start once, by machine, number and time.
    pub entries: Vec<Entry>,
    /// Starts that stand in more than one book, or twice in one.
    pub repeats: usize,
    /// Numbers that one machine gave to several starts.
    pub clashes: Vec<(String, u32)>,
    /// Events of starts.
    pub happenings: Vec<Happening>,
}

/// Which start a row is of. The time stands beside the number, since a device that lost its memory counts anew.
type Key = (String, u32, Option<NaiveDateTime>);

/// The row of each start that counts, and whether it was found again.
type Starts = BTreeMap<Key, (Entry, bool)>;

impl Books {
    /// Reads all of these. What cannot be read is told in its [`Book`].
    #[must_use]
    pub fn read(paths: &[PathBuf], now: NaiveDateTime) -> Self {
        let mut all = Self::default();
        let mut starts = Starts::new();
        for path in paths {
            let mut book =
                Book { path: path.display().to_string(), error: None, rows: 0, left_out: Vec::new() };
            match texts_of(path, now) {
                Ok(texts) => {
                    for (file, text) in texts {
                        all.take(&mut starts, &mut book, &file, &text);
                    }
                }
                Err(error) => book.error = Some(format!("{error:#}")),
            }
            all.books.push(book);
        }
        let mut last: Option<&Key> = None;
        for key in starts.keys() {
            let same = last.is_some_and(|last| (&last.0, last.1) == (&key.0, key.1));
            let clash = (key.0.clone(), key.1);
            if same && all.clashes.last() != Some(&clash) {
                all.clashes.push(clash);
            }
            last = Some(key);
        }
        all.repeats = starts.values().filter(|(_, again)| *again).count();
        all.entries = starts.into_values().map(|(entry, _)| entry).collect();
        all
    }

    /// Whether something could not be read.
    #[must_use]
    pub fn incomplete(&self) -> bool {
        self.books.iter().any(|book| book.error.is_some() || !book.left_out.is_empty())
    }

    fn take(&mut self, starts: &mut Starts, book: &mut Book, file: &str, text: &[u8]) {
        let is_events = text.first() == Some(&b'{');
        for (number, line) in (1..).zip(text.split_inclusive(|byte| *byte == b'\n')) {
            let state = if is_events { event_state(line) } else { row_state(line) };
            let what = match state {
                LineState::Empty | LineState::Header => continue,
                LineState::Whole if is_events => {
                    match serde_json::from_slice::<Happening>(line) {
                        Ok(happening) if happening.rec.is_some() => self.happenings.push(happening),
                        Ok(_) => {}
                        Err(error) => book.left_out.push(LeftOut {
                            file: file.to_owned(),
                            line: number,
                            what: format!(
                                "is no event ({error}); was it written by a newer version? use that"
                            ),
                        }),
                    }
                    continue;
                }
                LineState::Whole => match Entry::read(line) {
                    Ok(entry) => {
                        book.rows += 1;
                        keep(starts, entry);
                        continue;
                    }
                    Err((column, cell)) => {
                        format!("\"{cell}\" is no {column}; was it written by a newer version? use that")
                    }
                },
                LineState::Cut => {
                    "was cut short, by a loss of power or a card pulled out; look for it on the \
                     device or ask whoever ran the job, and delete the line"
                        .to_owned()
                }
                LineState::Damaged => {
                    "is not as it was written: its sum does not fit; was it edited, or saved by \
                     a spreadsheet? take the card's own file"
                        .to_owned()
                }
            };
            book.left_out.push(LeftOut { file: file.to_owned(), line: number, what });
        }
    }
}

/// Keeps the row of a start that counts.
fn keep(starts: &mut Starts, entry: Entry) {
    let key = (entry.machine.clone(), entry.rec, entry.started);
    match starts.get_mut(&key) {
        None => {
            starts.insert(key, (entry, false));
        }
        // The last row of a start takes the place of its first.
        Some((kept, again)) if entry.weight() != kept.weight() => {
            if entry.weight() > kept.weight() {
                (*kept, *again) = (entry, false);
            }
        }
        // Of two that weigh the same the later written counts: a lead may put a row right by a further one.
        Some((kept, again)) => {
            (*kept, *again) = (entry, true);
        }
    }
}

/// The texts of the book at a path, each with its name for messages: the rows, and the events where there are any.
fn texts_of(path: &Path, now: NaiveDateTime) -> Result<Vec<(String, Vec<u8>)>> {
    let mut source = Source::at(path, now)?;
    if source.kind() == SourceKind::Job {
        let text = fs::read(path)
            .with_context(|| format!("{}: cannot be read; may you read it?", path.display()))?;
        let mut texts = vec![(path.display().to_string(), text)];
        if !is_book(&texts[0].1) {
            return Err(anyhow!(
                "{}: is no day book: it does not begin with its column names; name a card, a folder with HOLDPT in \
                 it, or its {ROWS_FILE}",
                path.display()
            ));
        }
        let events = path.with_file_name(EVENTS_FILE);
        if texts[0].1.first() != Some(&b'{') && events.is_file() {
            let text = fs::read(&events)
                .with_context(|| format!("{}: cannot be read; may you read it?", events.display()))?;
            texts.push((events.display().to_string(), text));
        }
        return Ok(texts);
    }
    let mut files = source.open()?;
    let mut texts = Vec::new();
    for name in [ROWS_FILE, EVENTS_FILE] {
        match read_record(&mut files, name) {
            Ok(text) => texts.push((format!("{}, {name}", path.display()), text)),
            Err(MediaError { fault: MediaFault::NotFound, .. }) => {}
            Err(fault) => return Err(files.describe(path, fault)),
        }
    }
    if texts.is_empty() {
        return Err(anyhow!(
            "{}: has no day book: no HOLDPT/{ROWS_FILE} on it; was the device allowed to write on it?",
            path.display()
        ));
    }
    Ok(texts)
}

/// Rows begin with their column names, as far as the first line was not cut; events are objects.
fn is_book(text: &[u8]) -> bool {
    let head = text.get(..12).unwrap_or(text);
    HEADER.as_bytes().starts_with(head) || head.starts_with(b"{\"t\":")
}

/// A record of the card, whole.
fn read_record(files: &mut impl JobFiles, name: &str) -> std::result::Result<Vec<u8>, MediaError> {
    files.open_record(name)?;
    let mut bytes = Vec::new();
    let mut buffer = [0; BLOCK_BYTES];
    loop {
        match nb::block!(files.poll_read(&mut buffer))? {
            0 => return Ok(bytes),
            read => bytes.extend_from_slice(&buffer[..read]),
        }
    }
}
