//! What jobs are checked against: the three records, from the command line's files, else from the card.

use std::io::Read;
use std::path::{Path, PathBuf};

use anyhow::{Result, anyhow, bail};
use holdpoint_shared::app::Setup;
use holdpoint_shared::limits::{BLOCK_BYTES, RECORD_BYTES};
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault};
use holdpoint_shared::records::{Machine, RecordError, Room, Spool};

use crate::args::Settings;
use crate::settled::SettledFile;
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
}

impl Records {
    /// Reads the records that `settings` name, and the others from the card at `card` if it can be read.
    ///
    /// # Errors
    /// When a record that was named cannot be read, or any is malformed: the message names the file, the line and
    /// the column. The records of a card are not required.
    pub fn load(settings: &Settings, mut files: Option<&mut impl JobFiles>, card: &Path) -> Result<Self> {
        let machine =
            find(settings.machine.as_deref(), "MACHINE.JSN", "--machine", files.as_deref_mut(), card)?;
        let spool = find(settings.spool.as_deref(), "SPOOL.JSN", "--spool", files.as_deref_mut(), card)?;
        let room = find(settings.room.as_deref(), "ROOM.JSN", "--room", files.as_deref_mut(), card)?;
        let settled = files.map(|files| SettledFile::load(files, card)).transpose()?.unwrap_or_default();
        let mut setup = Setup::new(
            parse(machine.as_ref(), Machine::from_json)?.unwrap_or_default(),
            parse(spool.as_ref(), Spool::from_json)?,
            parse(room.as_ref(), Room::from_json)?.unwrap_or_default(),
        );
        setup.settled = settled.settled;
        if let Some(lang) = settings.lang {
            setup.room.language = lang.into();
        }
        let place = |record: Option<Text>| record.map(|record| record.path);
        Ok(Self { setup, machine_from: place(machine), spool_from: place(spool), room_from: place(room) })
    }
}

/// A record's text and where it was read.
#[derive(Debug)]
struct Text {
    path: PathBuf,
    bytes: Vec<u8>,
}

/// The record's text: from the file that was named, else from the card, else none.
fn find(
    named: Option<&Path>,
    name: &str,
    option: &str,
    files: Option<&mut impl JobFiles>,
    card: &Path,
) -> Result<Option<Text>> {
    if let Some(path) = named {
        let mut bytes = Vec::new();
        // One byte more than any record may have: whatever the file's size, it is read no further.
        let file =
            open_file(path).map_err(|error| anyhow!("{error}; {option} wants a file such as {name}"))?;
        file.take(RECORD_BYTES as u64 + 1).read_to_end(&mut bytes).map_err(|error| {
            anyhow!("{}: cannot be read: {error}; {option} wants a file such as {name}", path.display())
        })?;
        return Ok(Some(Text { path: path.to_owned(), bytes }));
    }
    let Some(files) = files else { return Ok(None) };
    let path = card.to_owned();
    match read_record(files, name) {
        Ok(bytes) => Ok(Some(Text { path, bytes })),
        Err(MediaError { fault: MediaFault::NotFound, .. }) => Ok(None),
        Err(error) => bail!("{}, {name}: {error}; give another with {option} FILE", path.display()),
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

fn parse<R>(text: Option<&Text>, from_json: impl Fn(&[u8]) -> Result<R, RecordError>) -> Result<Option<R>> {
    let Some(text) = text else { return Ok(None) };
    // The error names the record, the line and the column; the path says which of several files that was.
    from_json(&text.bytes).map(Some).map_err(|error| anyhow!("{}: {error}", text.path.display()))
}
