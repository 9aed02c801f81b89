//! chunks → lines: a line may straddle any number of chunks.

use memchr::{memchr, memrchr};

use crate::limits::LINE_BYTES;

use super::unusual::is_odd;
use super::word::{Words, scan};

/// A line of the longest allowed length and its carriage return.
pub(super) const HELD_BYTES: usize = LINE_BYTES + 1;

/// Where a line stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LineAt {
    /// Line number, from 1.
    pub number: u32,
    /// Place of the line's first byte in `bytes` of [`LineSink::line`].
    pub start: usize,
    /// Longer than [`LINE_BYTES`] even without its comment: its words must not be used.
    pub too_long: bool,
    /// Whether a line end stands after it (the file's last line may have none).
    pub ended: bool,
    /// Bytes of the file up to the line's end, its line end included.
    pub end_byte: u64,
}

/// Takes lines.
pub trait LineSink {
    /// One line: where, its words, and the bytes that the words' places refer to.
    fn line(&mut self, at: LineAt, words: &Words, bytes: &[u8]);

    /// One byte that no text holds, with its place in the file from 0; before the line it stands on.
    fn odd(&mut self, at_byte: u64, value: u8);
}

/// Puts chunks together to lines and reads their words. However the bytes are cut into chunks, the lines are the
/// same.
#[derive(Clone, Debug)]
pub struct Lines {
    /// Beginning of a line whose end has not come yet.
    held: [u8; HELD_BYTES],
    held_len: usize,
    /// Set when the line does not fit `held`: `words` is then what its beginning gave.
    overflowed: bool,
    /// Lines done.
    count: u32,
    /// Bytes done, those in `held` and those dropped too.
    bytes: u64,
    words: Words,
}

impl Default for Lines {
    #[inline(never)]
    fn default() -> Self {
        Self {
            held: [0; HELD_BYTES],
            held_len: 0,
            overflowed: false,
            count: 0,
            bytes: 0,
            words: Words::default(),
        }
    }
}

impl Lines {
    /// Lines so far, without the one that is not ended yet.
    #[must_use]
    pub const fn count(&self) -> u32 {
        self.count
    }

    /// Bytes so far.
    #[must_use]
    pub const fn bytes(&self) -> u64 {
        self.bytes
    }

    /// Takes the next bytes of the file.
    #[inline]
    pub fn feed(&mut self, chunk: &[u8], sink: &mut impl LineSink) {
        let mut from = 0;
        if self.held_len > 0 {
            let Some(end) = memchr(b'\n', chunk) else {
                self.hold(chunk, sink);
                return;
            };
            self.hold(chunk.get(..end).unwrap_or_default(), sink);
            self.bytes = self.bytes.wrapping_add(1);
            self.deliver_held(true, sink);
            from = end + 1;
        }
        let rest = chunk.get(from..).unwrap_or_default();
        let whole = memrchr(b'\n', rest).map_or(0, |end| end + 1);
        let (lines, tail) = rest.split_at_checked(whole).unwrap_or((rest, &[]));
        let base = self.bytes;
        let mut at = 0;
        while at < lines.len() {
            let start = at;
            at = scan(lines, at, &mut self.words, &mut |place, value| sink.odd(base + place as u64, value));
            self.count = self.count.saturating_add(1);
            let line = LineAt {
                number: self.count,
                start,
                too_long: too_long(&self.words, lines, start),
                ended: true,
                end_byte: base + at as u64,
            };
            sink.line(line, &self.words, lines);
        }
        self.bytes = base.wrapping_add(lines.len() as u64);
        if !tail.is_empty() {
            self.hold(tail, sink);
        }
    }

    /// The end of the file: a line that no line end followed is given too.
    pub fn finish(&mut self, sink: &mut impl LineSink) {
        if self.held_len > 0 {
            self.deliver_held(false, sink);
        }
    }

    /// Keeps the beginning of a line, or drops what is too much of it.
    fn hold(&mut self, part: &[u8], sink: &mut impl LineSink) {
        let mut part = part;
        if !self.overflowed {
            let room = HELD_BYTES - self.held_len;
            let (fits, over) = part.split_at_checked(room).unwrap_or((part, &[]));
            for (to, from) in self.held.iter_mut().skip(self.held_len).zip(fits) {
                *to = *from;
            }
            self.held_len += fits.len();
            self.bytes = self.bytes.wrapping_add(fits.len() as u64);
            part = over;
            if part.is_empty() {
                return;
            }
            self.overflowed = true;
            self.scan_held(sink);
        }
        for (byte, place) in part.iter().zip(self.bytes..) {
            if is_odd(*byte) {
                sink.odd(place, *byte);
            }
        }
        self.bytes = self.bytes.wrapping_add(part.len() as u64);
    }

    fn scan_held(&mut self, sink: &mut impl LineSink) {
        let base = self.bytes.wrapping_sub(self.held_len as u64);
        let held = self.held.get(..self.held_len).unwrap_or_default();
        scan(held, 0, &mut self.words, &mut |place, value| sink.odd(base + place as u64, value));
    }

    /// Gives the held line; `self.bytes` already counts its line end.
    fn deliver_held(&mut self, ended: bool, sink: &mut impl LineSink) {
        let too_long = if self.overflowed {
            self.words.comment.is_none()
        } else {
            self.bytes = self.bytes.wrapping_sub(u64::from(ended));
            self.scan_held(sink);
            self.bytes = self.bytes.wrapping_add(u64::from(ended));
            too_long(&self.words, self.held.get(..self.held_len).unwrap_or_default(), 0)
        };
        self.count = self.count.saturating_add(1);
        let line = LineAt { number: self.count, start: 0, too_long, ended, end_byte: self.bytes };
        let held = self.held.get(..self.held_len).unwrap_or_default();
        sink.line(line, &self.words, held);
        self.held_len = 0;
        self.overflowed = false;
    }
}

/// Whether the line is too long without its `;` comment and its carriage return.
#[inline(always)]
fn too_long(words: &Words, bytes: &[u8], start: usize) -> bool {
    (words.end as usize).wrapping_sub(start) > LINE_BYTES && words_too_long(words, bytes, start)
}

#[cold]
fn words_too_long(words: &Words, bytes: &[u8], start: usize) -> bool {
    let end = words.comment.map_or_else(
        || {
            let end = words.end as usize;
            let returned = end.checked_sub(1).and_then(|last| bytes.get(last)) == Some(&b'\r');
            if returned { end - 1 } else { end }
        },
        |comment| comment as usize,
    );
    end.saturating_sub(start) > LINE_BYTES
}
