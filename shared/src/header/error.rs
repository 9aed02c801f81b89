//! What is wrong with a job header, and where.

use core::fmt;

use crate::json::{JsonFault, KeyName};
use crate::limits::{HEADER_JSON_BYTES, HEADER_WINDOW_BYTES};

/// What was expected and not found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum HeaderErrorKind {
    /// `; job-header` with a version that this build does not know, or none.
    Version,
    /// No `; end-header` within the first 4 KiB.
    NoEnd,
    /// A line between the marks does not begin with `;`.
    NotAComment,
    /// More than 2,048 bytes of JSON.
    TooLong,
    /// The lines between are not the JSON object that they should be.
    Json(JsonFault),
}

/// A broken header: what, which key, and the place in the file.
///
/// `Display` gives one English sentence with the remedy, for a desk.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct HeaderError {
    /// What was expected.
    pub kind: HeaderErrorKind,
    /// The key concerned; empty where none is.
    pub key: KeyName,
    /// Line of the file, from 1.
    pub line: u32,
    /// Column in bytes, from 1.
    pub column: u32,
}

impl fmt::Display for HeaderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "job header, line {}, column {}: ", self.line, self.column)?;
        if !self.key.is_empty() {
            write!(f, "{}: ", self.key)?;
        }
        match self.kind {
            HeaderErrorKind::Version => {
                f.write_str("expected version 1 after \"job-header\"; stamp the job anew")
            }
            HeaderErrorKind::NoEnd => write!(
                f,
                "no \"; end-header\" within the first {HEADER_WINDOW_BYTES} bytes; close the header with that line"
            ),
            HeaderErrorKind::NotAComment => f.write_str(
                "expected a line that begins with \";\" up to \"; end-header\"; put a \";\" before it",
            ),
            HeaderErrorKind::TooLong => {
                write!(f, "more than {HEADER_JSON_BYTES} bytes of JSON; shorten the header")
            }
            HeaderErrorKind::Json(fault) => write!(f, "{fault}; {}, or stamp the job anew", fault.remedy()),
        }
    }
}

impl core::error::Error for HeaderError {}
