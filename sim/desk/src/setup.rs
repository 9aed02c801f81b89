//! What jobs are checked against: the three records, from the command line's files, else from the card.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use anyhow::{Result, bail};
use holdpoint_shared::app::Setup;
use holdpoint_shared::limits::{BLOCK_BYTES, RECORD_BYTES};
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault};
use holdpoint_shared::records::{Language, Machine, RecordName, Room, faults};

use crate::settled::SettledFile;
use crate::shown::{Several, Shown};

/// The setup, and where each of its records was read.
#[derive(Clone, Debug)]
pub struct Records {
    /// What jobs are checked against.
    pub setup: Setup,
    /// Where the machine sheet was read; `None` = there is none, and the defaults hold.
    pub machine_from: Option<PathBuf>,
    /// Where the spool ticket was read.
    pub spool_from: Option<PathBuf>,
    /// Where the room rules were read.
    pub room_from: Option<PathBuf>,
    /// Every fault of every record, a line each: file, line, column, what, and an example of the right form. Unknown keys are
    /// among them.
    pub faults: Vec<String>,
    /// Lines of the file of what is settled that do not count, each with what is wrong.
    pub left_out: Vec<String>,
}

impl Records {
    /// Takes the records that hold instead of the card's, and reads the others from the card at `card` if it can be
    /// read. A malformed one is left out: what needs it gets NO VERDICT.
    ///
    /// # Errors
    /// When a record that is on the card cannot be read. None is required.
    pub fn load(overrides: &Overrides, mut files: Option<&mut impl JobFiles>, card: &Path) -> Result<Self> {
        let mut records = Self {
            setup: blank(overrides),
            machine_from: None,
            spool_from: None,
            room_from: None,
            faults: Vec::new(),
            left_out: Vec::new(),
        };
        for record in RecordName::ALL {
            let text = match (overrides.record(record).cloned(), files.as_deref_mut()) {
                (Some(text), _) => Some(text),
                (None, Some(files)) => on_card(files, record, card)?,
                (None, None) => None,
            };
            if let Some(text) = text {
                records.take(record, text);
            }
        }
        if let Some(files) = files {
            let settled = SettledFile::load(files, card)?;
            records.left_out = settled.left_out;
            records.setup.settled = settled.settled;
        }
        Ok(records)
    }

    /// The setup, where every record reads.
    ///
    /// # Errors
    /// All faults of malformed records, a line each.
    pub fn whole(self) -> Result<Self> {
        if self.setup.refused.contains(&true) {
            return Err(Several(self.faults).into());
        }
        Ok(self)
    }

    fn take(&mut self, record: RecordName, text: Text) {
        for fault in faults(record, &text.bytes) {
            // The fault names the record, the line and the column; the path says which of several files that was.
            let mut line = String::new();
            let _ = write!(line, "{}: {fault}", text.path.shown());
            self.faults.push(line);
        }
        if self.setup.take(record, &text.bytes).is_err() {
            self.setup.set_refused(record, true);
            return;
        }
        match record {
            RecordName::Machine => self.machine_from = Some(text.path),
            RecordName::Spool => self.spool_from = Some(text.path),
            RecordName::Room => self.room_from = Some(text.path),
        }
    }
}

/// No records yet, in the language that was chosen.
#[must_use]
pub fn blank(overrides: &Overrides) -> Setup {
    let mut setup = Setup::new(Machine::default(), None, Room::default());
    setup.language = overrides.language;
    if let Some(language) = setup.language {
        setup.room.language = language;
    }
    setup
}

/// A record's text and where it was read.
#[derive(Clone, Debug)]
pub struct Text {
    /// Where it was read.
    pub path: PathBuf,
    /// The file's bytes.
    pub bytes: Vec<u8>,
}

/// What holds instead of the card's own records.
#[derive(Clone, Debug, Default)]
pub struct Overrides {
    /// The language of verdicts and screens.
    pub language: Option<Language>,
    /// The machine sheet.
    pub machine: Option<Text>,
    /// The spool ticket.
    pub spool: Option<Text>,
    /// The room rules.
    pub room: Option<Text>,
}

impl Overrides {
    /// The record that holds instead of the card's.
    #[must_use]
    pub const fn record(&self, record: RecordName) -> Option<&Text> {
        match record {
            RecordName::Machine => self.machine.as_ref(),
            RecordName::Spool => self.spool.as_ref(),
            RecordName::Room => self.room.as_ref(),
        }
    }
}

/// The command's option that names a record.
#[must_use]
pub const fn option(record: RecordName) -> &'static str {
    match record {
        RecordName::Machine => "--machine",
        RecordName::Spool => "--spool",
        RecordName::Room => "--room",
    }
}

/// The card's record, if it has one.
fn on_card(files: &mut impl JobFiles, record: RecordName, card: &Path) -> Result<Option<Text>> {
    let (path, name) = (card.to_owned(), record.file());
    match read_record(files, name) {
        Ok(bytes) => Ok(Some(Text { path, bytes })),
        Err(MediaError { fault: MediaFault::NotFound, .. }) => Ok(None),
        Err(error) => {
            bail!("{}, {name}: {error}; give another with {} FILE", path.shown(), option(record))
        }
    }
}

/// Reads a record whole, one byte more than any may have at most.
fn read_record(files: &mut impl JobFiles, name: &str) -> Result<Vec<u8>, MediaError> {
    files.open_record(name)?;
    let mut bytes = Vec::new();
    let mut buffer = [0; BLOCK_BYTES];
    while bytes.len() <= RECORD_BYTES {
        match nb::block!(files.poll_read(&mut buffer))? {
            0 => break,
            read => bytes.extend_from_slice(&buffer[..read]),
        }
    }
    Ok(bytes)
}
