//! What jobs are checked against: the three records, from the command line's files, else from the card.

use std::fmt::Write as _;
use std::io::Read;
use std::path::{Path, PathBuf};

use anyhow::{Result, anyhow, bail};
use holdpoint_shared::app::Setup;
use holdpoint_shared::limits::{BLOCK_BYTES, RECORD_BYTES};
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault};
use holdpoint_shared::records::{Machine, RecordName, Room, faults};

use crate::args::Settings;
use crate::settled::SettledFile;
use crate::shown::{Several, Shown};
use crate::source::open_file;

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
}

impl Records {
    /// Reads the records that `settings` name, and the others from the card at `card` if it can be read. A malformed one is
    /// left out: what needs it gets NO VERDICT.
    ///
    /// # Errors
    /// When a record that was named cannot be read. The records of a card are not required.
    pub fn load(settings: &Settings, mut files: Option<&mut impl JobFiles>, card: &Path) -> Result<Self> {
        let mut records = Self {
            setup: blank(settings),
            machine_from: None,
            spool_from: None,
            room_from: None,
            faults: Vec::new(),
        };
        for record in RecordName::ALL {
            let named = named(settings, record)?;
            let text = match (named, files.as_deref_mut()) {
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
            settled.tell_left_out();
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

/// No records yet, in the language of the command line.
#[must_use]
pub fn blank(settings: &Settings) -> Setup {
    let mut setup = Setup::new(Machine::default(), None, Room::default());
    setup.language = settings.lang.map(Into::into);
    if let Some(language) = setup.language {
        setup.room.language = language;
    }
    setup
}

/// A record's text and where it was read.
#[derive(Clone, Debug)]
pub struct Text {
    path: PathBuf,
    /// The file's bytes.
    pub bytes: Vec<u8>,
}

/// The record that the command line names.
///
/// # Errors
/// When it names one that cannot be read.
pub fn named(settings: &Settings, record: RecordName) -> Result<Option<Text>> {
    let (path, option) = match record {
        RecordName::Machine => (&settings.machine, "--machine"),
        RecordName::Spool => (&settings.spool, "--spool"),
        RecordName::Room => (&settings.room, "--room"),
    };
    let Some(path) = path else { return Ok(None) };
    let name = record.file();
    let mut bytes = Vec::new();
    let file = open_file(path).map_err(|error| anyhow!("{error}; {option} needs a file such as {name}"))?;
    // One byte more than any record may have: whatever the file's size, it is read no further.
    file.take(RECORD_BYTES as u64 + 1).read_to_end(&mut bytes).map_err(|error| {
        anyhow!("{}: cannot be read: {error}; {option} needs a file such as {name}", path.shown())
    })?;
    Ok(Some(Text { path: path.clone(), bytes }))
}

/// The card's record, if it has one.
fn on_card(files: &mut impl JobFiles, record: RecordName, card: &Path) -> Result<Option<Text>> {
    let (path, name) = (card.to_owned(), record.file());
    match read_record(files, name) {
        Ok(bytes) => Ok(Some(Text { path, bytes })),
        Err(MediaError { fault: MediaFault::NotFound, .. }) => Ok(None),
        Err(error) => {
            let option = match record {
                RecordName::Machine => "--machine",
                RecordName::Spool => "--spool",
                RecordName::Room => "--room",
            };
            bail!("{}, {name}: {error}; give another with {option} FILE", path.shown())
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
