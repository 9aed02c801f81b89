//! What is wrong with a job header, and where.

use heapless::String;

/// What was expected and not found.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum HeaderErrorKind {
    /// `; job-header N` with a version that this build does not know.
    Version,
    /// No `; end-header` within the first 4 KiB.
    NoEnd,
    /// A line between the marks does not begin with `;`.
    NotAComment,
    /// More than 2,048 bytes of JSON.
    TooLong,
    /// Not valid UTF-8.
    NotUtf8,
    /// Not JSON as RFC 8259 has it.
    Syntax,
    /// The key is required and missing.
    Missing(String<20>),
    /// The key stands twice.
    Twice(String<20>),
    /// The key's value has the wrong type, or does not fit.
    Value(String<20>),
    /// Bytes after the object.
    Trailing,
}

/// A broken header: what, and the place in the file.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct HeaderError {
    /// What was expected.
    pub kind: HeaderErrorKind,
    /// Line of the file, from 1.
    pub line: u32,
    /// Column in bytes, from 1.
    pub column: u32,
}
