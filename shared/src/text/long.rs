//! Lines longer than lines are: what their words need is kept, what their comments say is dropped.

use crate::limits::LINE_BYTES;

use super::unusual::{begins_code, takes_text};
use super::word::Words;

/// A line of the longest allowed length, and the brackets of a comment after it.
pub(super) const HELD_BYTES: usize = LINE_BYTES + 2;

/// What the next byte belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Region {
    Words,
    /// A comment in brackets.
    Brackets,
    /// The comment up to the line's end.
    Rest,
    /// The line is too long without its comments too.
    Cut,
}

/// How a long line goes on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Long {
    part: Region,
    /// Whether the line's check was met: it covers what comes before it.
    checked: bool,
    dropped: u8,
    /// Whether a G or M word begins after a blank anywhere.
    code: bool,
    last: [u8; 2],
}

impl Long {
    /// Of a line whose first bytes are held and whose words were read so far. The held bytes lose their comments, and
    /// their number is what is left of them.
    pub(super) fn new(held: &mut [u8; HELD_BYTES], len: &mut usize, words: &Words) -> Self {
        let mut long = Self { part: Region::Words, checked: false, dropped: 0, code: false, last: [b' '; 2] };
        let is_text = words.marks().identifier.is_some() || words.m().iter().any(|code| takes_text(*code));
        let all = core::mem::take(len);
        if is_text {
            // Text is cut; its marks are letters like others.
            (long.part, *len) = (Region::Cut, all);
        }
        for at in 0..all {
            let byte = held.get(at).copied().unwrap_or_default();
            // Never ahead of the place that is read: no comment grows.
            long.take(byte, held, len);
        }
        long
    }

    /// A byte with the two before it.
    pub(super) const fn with_two_before(&self, byte: u8) -> [u8; 3] {
        let [first, second] = self.last;
        [first, second, byte]
    }

    /// XOR of the bytes that were dropped before the line's check.
    pub(super) const fn dropped(&self) -> u8 {
        self.dropped
    }

    /// Whether a G or M word begins after a blank anywhere.
    pub(super) const fn has_code(&self) -> bool {
        self.code
    }

    /// Whether words were cut off, or text.
    pub(super) fn is_cut(&self) -> bool {
        self.part == Region::Cut
    }

    /// The next byte of the line.
    pub(super) fn take(&mut self, byte: u8, held: &mut [u8; HELD_BYTES], len: &mut usize) {
        self.code |= begins_code(self.with_two_before(byte));
        let [_, last] = self.last;
        self.last = [last, byte];
        let mut keep = true;
        match (self.part, byte) {
            (Region::Words, b';') => {
                self.part = Region::Rest;
            }
            (Region::Words, b'(') => {
                // Beyond the limit one pair of brackets is enough for all that come.
                if *len > LINE_BYTES {
                    *len = LINE_BYTES;
                    self.dropped ^= if self.checked { 0 } else { b'(' ^ b')' };
                }
                self.part = Region::Brackets;
            }
            (Region::Words, b' ' | b'\t') => keep = *len < LINE_BYTES,
            (Region::Words, _) if *len >= LINE_BYTES => self.part = Region::Cut,
            (Region::Words, _) => self.checked |= byte == b'*',
            (Region::Brackets, b')') => self.part = Region::Words,
            (Region::Brackets, _) => keep = false,
            (Region::Rest | Region::Cut, _) => return,
        }
        if keep && self.part != Region::Cut {
            if let Some(place) = held.get_mut(*len) {
                *place = byte;
                *len += 1;
            }
        } else if !self.checked {
            self.dropped ^= byte;
        }
    }
}
