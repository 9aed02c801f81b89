//! What is wrong with a record, and where.

use core::fmt;

use super::{RecordName, examples};
use crate::json::{Fault, Faults, JsonFault, KeyName, UnknownKey, line_and_column};
use crate::limits::RECORD_BYTES;
use crate::visible::BYTE_ORDER_MARK;

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

/// A fault of a record: which record, what, which key, and the place in its file.
///
/// `Display` gives one English sentence with the remedy and an example of the right form, for a desk.
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
    /// How many faults there are besides it, unknown keys not counted.
    pub more: u16,
}

impl fmt::Display for RecordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, line {}, column {}: ", self.record.file(), self.line, self.column)?;
        if !self.key.is_empty() {
            write!(f, "{}: ", self.key)?;
        }
        let fault = match self.kind {
            RecordErrorKind::TooLong => {
                return write!(f, "more than {RECORD_BYTES} bytes; shorten the file");
            }
            RecordErrorKind::Json(fault) => fault,
        };
        write!(f, "{fault}; {}", fault.remedy())?;
        let key = match fault {
            JsonFault::Unknown { nearest } => nearest,
            JsonFault::Missing | JsonFault::Value(_) => Some(self.key.as_str()),
            JsonFault::NotUtf8 | JsonFault::Syntax(_) | JsonFault::Trailing | JsonFault::Twice => None,
        };
        match key.and_then(|key| examples::example(self.record, key)) {
            Some(example) => write!(f, ", such as {example}"),
            None => Ok(()),
        }
    }
}

impl core::error::Error for RecordError {}

/// A record's object: the file without a byte-order mark, which RFC 8259, section 8.1, lets a reader skip; some text editors
/// write one.
pub(super) fn object(text: &[u8]) -> &[u8] {
    text.strip_prefix(BYTE_ORDER_MARK).unwrap_or(text)
}

/// Reads a record's file by its own reader, and gives a fault its place in the file.
pub(super) fn read<T>(
    record: RecordName,
    text: &[u8],
    from_object: impl Fn(&[u8], &Faults) -> Option<T>,
) -> Result<(T, Option<UnknownKey>), RecordError> {
    if text.len() > RECORD_BYTES {
        return Err(RecordError::too_long(record, text));
    }
    let (object, faults) = (object(text), Faults::default());
    let value = from_object(object, &faults);
    match (faults.refusal(object), value) {
        (None, Some(value)) => Ok((value, faults.unknown(object))),
        (fault, _) => {
            // Without a value there is a fault of form.
            let fault = fault.unwrap_or(Fault { kind: JsonFault::Trailing, key: KeyName::new(), at: 0 });
            Err(placed(record, text, fault, faults.refusals().saturating_sub(1)))
        }
    }
}

impl RecordError {
    /// Of a file that goes on after the most bytes that a record may have.
    pub(crate) fn too_long(record: RecordName, text: &[u8]) -> Self {
        let (line, column) = line_and_column(text, RECORD_BYTES);
        Self { record, kind: RecordErrorKind::TooLong, key: KeyName::new(), line, column, more: 0 }
    }
}

pub(super) fn placed(record: RecordName, text: &[u8], fault: Fault, more: u16) -> RecordError {
    let (line, column) = line_and_column(text, fault.at + text.len() - object(text).len());
    RecordError { record, kind: RecordErrorKind::Json(fault.kind), key: fault.key, line, column, more }
}
