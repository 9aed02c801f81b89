//! What is wrong with a record, and where.

use core::fmt;

use crate::json::{Fault, JsonFault, KeyName, line_and_column};
use crate::limits::RECORD_BYTES;

/// Which record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum RecordName {
    /// The machine sheet.
    Machine,
    /// The spool ticket.
    Spool,
    /// The room rules.
    Room,
}

impl RecordName {
    /// Its file's name in the folder `HOLDPT`.
    #[must_use]
    pub const fn file(self) -> &'static str {
        match self {
            Self::Machine => "MACHINE.JSN",
            Self::Spool => "SPOOL.JSN",
            Self::Room => "ROOM.JSN",
        }
    }
}

/// What was expected and not found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum RecordErrorKind {
    /// More than 4,096 bytes.
    TooLong,
    /// Not the JSON object that it should be.
    Json(JsonFault),
}

/// A record that was refused whole: which, what, which key, and the place in its file.
///
/// `Display` gives one English sentence with the remedy, for a desk.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct RecordError {
    /// Which record.
    pub record: RecordName,
    /// What was expected.
    pub kind: RecordErrorKind,
    /// The key concerned, by its full name such as `motion.corner`; empty where none is.
    pub key: KeyName,
    /// Line of the file, from 1.
    pub line: u32,
    /// Column in bytes, from 1.
    pub column: u32,
}

impl fmt::Display for RecordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, line {}, column {}: ", self.record.file(), self.line, self.column)?;
        if !self.key.is_empty() {
            write!(f, "{}: ", self.key)?;
        }
        match self.kind {
            RecordErrorKind::TooLong => write!(f, "more than {RECORD_BYTES} bytes; shorten the file"),
            RecordErrorKind::Json(fault) => write!(f, "{fault}; {}", fault.remedy()),
        }
    }
}

impl core::error::Error for RecordError {}

/// Reads a record's file by its room's reader, and gives a fault its place in the file.
pub(super) fn read<T>(
    record: RecordName,
    text: &[u8],
    from_object: impl Fn(&[u8]) -> Result<T, Fault>,
) -> Result<T, RecordError> {
    // RFC 8259, section 8.1, lets a reader skip a byte-order mark; some text editors write one.
    let object = text.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(text);
    let (kind, key, at) = if text.len() > RECORD_BYTES {
        (RecordErrorKind::TooLong, KeyName::new(), RECORD_BYTES)
    } else {
        match from_object(object) {
            Ok(value) => return Ok(value),
            Err(fault) => {
                (RecordErrorKind::Json(fault.kind), fault.key, fault.at + text.len() - object.len())
            }
        }
    };
    let (line, column) = line_and_column(text, at);
    Err(RecordError { record, kind, key, line, column })
}
