//! The header's lines within the head of a file.

use core::ops::Range;

use heapless::Vec;

use super::error::{HeaderError, HeaderErrorKind};
use super::facts::JobHeader;
use super::fields;
use crate::json::{Fault, KeyName, UnknownKey};
use crate::limits::{HEADER_JSON_BYTES, HEADER_WINDOW_BYTES};
use crate::visible::BYTE_ORDER_MARK;

/// The version of the header that this build reads and writes.
pub(super) const VERSION: &[u8] = b"1";
/// The word of the first line.
pub(super) const START: &[u8] = b"job-header";
/// The word of the last line.
pub(super) const END: &[u8] = b"end-header";

/// What the head of a file says about its header.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(
    clippy::large_enum_variant,
    reason = "one such value lives at a time, and there is no heap to move it to"
)]
pub enum HeaderOutcome {
    /// No `; job-header` line.
    Absent,
    /// A good header.
    Read {
        /// What it states.
        header: JobHeader,
        /// Offset from the file's start of the first byte after the end-header line's line end.
        body_at: u32,
        /// A key that is not known, but nearly one that is: what it states is not read. Other unknown keys are passed over.
        mistyped: Option<UnknownKey>,
    },
    /// A header that cannot be read. The job can still be checked by its comments and moves.
    Broken(HeaderError),
}

/// Reads the header out of the first bytes of a file: all of it, or its first [`HEADER_WINDOW_BYTES`] (what stands
/// beyond is not looked at). `file_ends` says that the file ends with the window; otherwise a last line without a
/// line end counts as cut off.
///
/// # Work bound
/// One pass over the window and one parse; when the header is broken, about a dozen parses of at most 2 KiB.
/// Stack: the JSON text (2 KiB) and the facts.
///
/// ```
/// use holdpoint_shared::header::{HeaderOutcome, read_header};
/// let file = b"; job-header 1\n; {\"material\":\"PLA\",\"nozzle_c\":215}\n; end-header\nG28\n";
/// let HeaderOutcome::Read { header, body_at, .. } = read_header(file, true) else { panic!() };
/// assert_eq!(header.material.as_deref(), Some("PLA"));
/// assert_eq!(&file[body_at as usize..], b"G28\n");
/// ```
#[must_use]
pub fn read_header(window: &[u8], file_ends: bool) -> HeaderOutcome {
    let whole = window.get(..HEADER_WINDOW_BYTES);
    let file_ends = file_ends && window.len() <= HEADER_WINDOW_BYTES;
    let mut lines = HeaderLines::new(whole.unwrap_or(window), file_ends);
    let Some((mark, version)) = lines.find_map(|line| Some((line, line.comment()?.after(START)?))) else {
        return HeaderOutcome::Absent;
    };
    if version.text != VERSION {
        return broken(HeaderErrorKind::Version, mark.number, version.column);
    }
    let first = lines.clone();
    let mut json: Vec<u8, HEADER_JSON_BYTES> = Vec::new();
    for line in lines {
        let Some(comment) = line.comment() else {
            return broken(HeaderErrorKind::NotAComment, line.number, 1);
        };
        if comment.text == END {
            return match fields::read(&json) {
                Ok((header, mistyped)) => {
                    let body_at = u32::try_from(line.next).unwrap_or(u32::MAX);
                    HeaderOutcome::Read { header, body_at, mistyped }
                }
                Err(fault) => located(first, fault),
            };
        }
        // The lines are joined by one line feed each, which JSON takes as a blank; so no text and no number can run
        // on from line to line.
        let joined = if json.is_empty() { Ok(()) } else { json.push(b'\n').map_err(|_| ()) };
        let room = json.capacity() - json.len();
        if joined.is_err() || json.extend_from_slice(comment.text).is_err() {
            let over = if joined.is_err() { 0 } else { room };
            return broken(HeaderErrorKind::TooLong, line.number, comment.column + over);
        }
    }
    broken(HeaderErrorKind::NoEnd, mark.number, 1)
}

/// Where the header's lines stand in the first bytes of a file, good or broken: from the `;` of the job-header line, or
/// the blanks before it, to the byte after the end-header line's line end. `None` when there is no header, or when its
/// end is not reached within the window over comment lines alone: then nobody can say where it ends.
///
/// `window` and `file_ends` are those of [`read_header`].
#[must_use]
pub fn header_place(window: &[u8], file_ends: bool) -> Option<Range<usize>> {
    let whole = window.get(..HEADER_WINDOW_BYTES);
    let file_ends = file_ends && window.len() <= HEADER_WINDOW_BYTES;
    let mut lines = HeaderLines::new(whole.unwrap_or(window), file_ends);
    let mut begin = lines.at;
    while lines.next()?.comment().and_then(|comment| comment.after(START)).is_none() {
        begin = lines.at;
    }
    if begin == 0 && window.starts_with(BYTE_ORDER_MARK) {
        begin = BYTE_ORDER_MARK.len();
    }
    let end = lines
        .map_while(|line| Some((line.comment()?, line.next)))
        .find(|(comment, _)| comment.text == END)?;
    Some(begin..end.1)
}

fn broken(kind: HeaderErrorKind, line: u32, column: usize) -> HeaderOutcome {
    let column = u32::try_from(column).unwrap_or(u32::MAX);
    HeaderOutcome::Broken(HeaderError { kind, key: KeyName::new(), line, column })
}

/// A fault of the joined text, at its place in the file.
fn located(lines: HeaderLines<'_>, fault: Fault) -> HeaderOutcome {
    let mut joined = 0;
    let mut place = (0, 1);
    for line in lines {
        let Some(comment) = line.comment() else { break };
        if comment.text == END && place.0 > 0 {
            break;
        }
        place = (line.number, comment.column + fault.at.saturating_sub(joined));
        joined += comment.text.len() + 1;
        if fault.at < joined || comment.text == END {
            break;
        }
    }
    let kind = HeaderErrorKind::Json(fault.kind);
    let column = u32::try_from(place.1).unwrap_or(u32::MAX);
    HeaderOutcome::Broken(HeaderError { kind, key: fault.key, line: place.0, column })
}

/// A line of the window, without its line end.
#[derive(Clone, Copy, Debug)]
pub(super) struct HeaderLine<'a> {
    number: u32,
    text: &'a [u8],
    /// Offset of the next line.
    next: usize,
}

/// A comment's text, without blanks at both ends, and its column in the line, from 1.
#[derive(Clone, Copy, Debug)]
pub(super) struct Comment<'a> {
    pub(super) text: &'a [u8],
    pub(super) column: usize,
}

impl<'a> HeaderLine<'a> {
    fn comment(&self) -> Option<Comment<'a>> {
        let text = self.text;
        let text = if self.number == 1 { text.strip_prefix(BYTE_ORDER_MARK).unwrap_or(text) } else { text };
        let text = text.trim_ascii_start().strip_prefix(b";")?.trim_ascii_start();
        let column = self.text.len() - text.len() + 1;
        Some(Comment { text: text.trim_ascii_end(), column })
    }
}

impl<'a> Comment<'a> {
    /// What follows a word at the comment's start, if it stands there.
    fn after(&self, word: &[u8]) -> Option<Self> {
        let rest = self.text.strip_prefix(word)?;
        if rest.first().is_some_and(|byte| !matches!(byte, b' ' | b'\t')) {
            return None;
        }
        let text = rest.trim_ascii_start();
        Some(Self { text, column: self.column + self.text.len() - text.len() })
    }
}

/// The whole lines of a window.
#[derive(Clone, Debug)]
struct HeaderLines<'a> {
    window: &'a [u8],
    at: usize,
    number: u32,
    file_ends: bool,
}

impl<'a> HeaderLines<'a> {
    const fn new(window: &'a [u8], file_ends: bool) -> Self {
        Self { window, at: 0, number: 0, file_ends }
    }
}

impl<'a> Iterator for HeaderLines<'a> {
    type Item = HeaderLine<'a>;

    fn next(&mut self) -> Option<HeaderLine<'a>> {
        let rest = self.window.get(self.at..).filter(|rest| !rest.is_empty())?;
        let (text, next) = match memchr::memchr(b'\n', rest) {
            Some(end) => (rest.get(..end)?, self.at + end + 1),
            None if self.file_ends => (rest, self.window.len()),
            None => return None,
        };
        self.at = next;
        self.number += 1;
        Some(HeaderLine { number: self.number, text, next })
    }
}

#[cfg(test)]
#[path = "block_tests.rs"]
mod tests;
