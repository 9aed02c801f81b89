//! chunks → lines: a line may straddle any number of chunks.
//!
//! LF, CR and both together end a line: controllers differ, and a line end that only some see hides a command.

use memchr::{memchr2, memrchr2};

use crate::limits::LINE_BYTES;

use super::long::{HELD_BYTES, Long};
use super::marks::Odd;
use super::scan::scan;
use super::unusual::odd_in_text;
use super::word::Words;

/// Where a line stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LineAt {
    /// Line number, from 1.
    pub number: u32,
    /// Place of the line's first byte in `bytes` of [`LineSink::line`].
    pub start: usize,
    /// Longer than [`LINE_BYTES`] as it was written: `bytes` hold less than that of it, without its comments.
    pub long: bool,
    /// Longer than [`LINE_BYTES`] even without comments and the blanks at its end: the words are those of its beginning.
    pub too_long: bool,
    /// Of one that is too long: whether a G or M word begins after a blank anywhere on it.
    pub has_code: bool,
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
    fn odd(&mut self, at_byte: u64, what: Odd);
}

/// Puts chunks together to lines and reads their words. However the bytes are cut into chunks, the lines are the
/// same.
#[derive(Clone, Debug)]
pub struct Lines {
    /// Beginning of a line whose end has not come yet.
    held: [u8; HELD_BYTES],
    held_len: usize,
    /// Place of its first byte in the file.
    held_at: u64,
    /// How the held line goes on once it is longer than [`LINE_BYTES`].
    long: Option<Long>,
    /// A CR was the last byte: the line ends there, and an LF that comes next belongs to it.
    returned: bool,
    /// Lines done.
    count: u32,
    /// Bytes so far, those of the line in `held` too.
    bytes: u64,
    words: Words,
}

impl Default for Lines {
    #[inline(never)]
    fn default() -> Self {
        Self {
            held: [0; HELD_BYTES],
            held_len: 0,
            held_at: 0,
            long: None,
            returned: false,
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
        if self.returned || self.held_len > 0 {
            let Some(next) = self.finish_held(chunk, sink) else { return };
            from = next;
        }
        let rest = chunk.get(from..).unwrap_or_default();
        let (lines, tail) = rest.split_at_checked(whole_lines(rest)).unwrap_or((rest, &[]));
        let base = self.bytes;
        let mut at = 0;
        while at < lines.len() {
            let start = at;
            at = scan(lines, at, &mut self.words, &mut |place, what| sink.odd(base + place as u64, what));
            let end_byte = base + at as u64;
            if (self.words.end as usize).wrapping_sub(start) > LINE_BYTES {
                let line = lines.get(start..self.words.end as usize).unwrap_or_default();
                self.deliver_long(line, end_byte, sink);
                continue;
            }
            self.count = self.count.saturating_add(1);
            let line = LineAt {
                number: self.count,
                start,
                long: false,
                too_long: false,
                has_code: false,
                ended: true,
                end_byte,
            };
            sink.line(line, &self.words, lines);
        }
        self.bytes = base.wrapping_add(lines.len() as u64);
        if !tail.is_empty() {
            self.keep(tail, sink);
        }
    }

    /// The end of the file: a line that no line end followed is given too.
    pub fn finish(&mut self, sink: &mut impl LineSink) {
        if self.returned || self.held_len > 0 {
            let ended = self.returned;
            self.deliver_held(ended, sink);
        }
    }

    /// Ends the held line, if its end is here; gives the place after that.
    #[inline(never)]
    fn finish_held(&mut self, chunk: &[u8], sink: &mut impl LineSink) -> Option<usize> {
        let first = chunk.first()?;
        if self.returned {
            let both = *first == b'\n';
            self.bytes = self.bytes.wrapping_add(u64::from(both));
            self.deliver_held(true, sink);
            return Some(usize::from(both));
        }
        let end = memchr2(b'\n', b'\r', chunk).unwrap_or(chunk.len());
        self.hold(chunk.get(..end).unwrap_or_default(), sink);
        let ends = match chunk.get(end..).unwrap_or_default() {
            [] => return None,
            [b'\r'] => {
                self.bytes = self.bytes.wrapping_add(1);
                self.returned = true;
                return None;
            }
            [b'\r', b'\n', ..] => 2,
            _ => 1,
        };
        self.bytes = self.bytes.wrapping_add(ends as u64);
        self.deliver_held(true, sink);
        Some(end + ends)
    }

    /// Keeps what a chunk ends with: a line without its end, or with a CR that may be half of it.
    fn keep(&mut self, tail: &[u8], sink: &mut impl LineSink) {
        let (line, returned) = match tail {
            [line @ .., b'\r'] => (line, true),
            line => (line, false),
        };
        self.held_at = self.bytes;
        self.hold(line, sink);
        self.returned = returned;
        self.bytes = self.bytes.wrapping_add(u64::from(returned));
    }

    /// Keeps the beginning of a line, or of what is too much of it what it means.
    fn hold(&mut self, part: &[u8], sink: &mut impl LineSink) {
        let mut part = part;
        if self.long.is_none() {
            let room = LINE_BYTES - self.held_len;
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
            let base = self.held_at;
            let held = self.held.get(..self.held_len).unwrap_or_default();
            scan(held, 0, &mut self.words, &mut |place, what| sink.odd(base + place as u64, what));
            self.long = Some(Long::new(&mut self.held, &mut self.held_len, &self.words));
        }
        let Some(long) = &mut self.long else { return };
        for (byte, place) in part.iter().zip(self.bytes..) {
            let three = long.with_two_before(*byte);
            if let Some(what) = odd_in_text(&three, 2, *byte) {
                sink.odd(place, what);
            }
            long.take(*byte, &mut self.held, &mut self.held_len);
        }
        self.bytes = self.bytes.wrapping_add(part.len() as u64);
    }

    /// Gives a line that is here whole, but longer than lines are; its odd bytes were given already.
    #[cold]
    fn deliver_long(&mut self, line: &[u8], end_byte: u64, sink: &mut impl LineSink) {
        let bytes = self.bytes;
        self.hold(line, &mut Deaf);
        self.bytes = end_byte;
        self.deliver_held(true, sink);
        self.bytes = bytes;
    }

    /// Gives the held line; `self.bytes` already counts its line end.
    fn deliver_held(&mut self, ended: bool, sink: &mut impl LineSink) {
        let (base, long) = (self.held_at, self.long.take());
        let held = self.held.get(..self.held_len).unwrap_or_default();
        if let Some(long) = &long {
            self.words.dropped = long.dropped();
            scan(held, 0, &mut self.words, &mut |_, _| {});
            self.words.dropped = 0;
        } else {
            scan(held, 0, &mut self.words, &mut |place, what| sink.odd(base + place as u64, what));
        }
        self.count = self.count.saturating_add(1);
        let line = LineAt {
            number: self.count,
            start: 0,
            long: long.is_some(),
            too_long: long.is_some_and(|long| long.is_cut()),
            has_code: long.is_some_and(|long| long.has_code()),
            ended,
            end_byte: self.bytes,
        };
        sink.line(line, &self.words, held);
        (self.held_len, self.returned) = (0, false);
    }
}

/// Bytes of the lines whose ends are all here. A CR at the very end may be half of a line end.
fn whole_lines(bytes: &[u8]) -> usize {
    let before = match bytes {
        [before @ .., b'\r'] => before,
        _ => bytes,
    };
    memrchr2(b'\n', b'\r', before).map_or(0, |end| end + 1)
}

/// Takes what was given already.
struct Deaf;

impl LineSink for Deaf {
    fn line(&mut self, _: LineAt, _: &Words, _: &[u8]) {}
    fn odd(&mut self, _: u64, _: Odd) {}
}
