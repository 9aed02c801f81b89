//! The lines of a file, one at a time: a book of any length takes no more memory than its longest line.

use anyhow::Result;

/// A longer line is no row and no event: the longest of each have less than 1 KiB (judgement).
const MOST_BYTES: usize = 16 << 10;

/// Bytes that are read at once: whole blocks of a card.
const READ_BYTES: usize = 16 << 10;

/// Reads lines from what `read` gives.
pub(super) struct Lines<Reader> {
    read: Reader,
    bytes: Vec<u8>,
    used: usize,
    ended: bool,
}

/// One line.
pub(super) enum Line<'l> {
    /// With its line end, where it has one.
    Whole(&'l [u8]),
    /// It has more bytes than any line of a book; the others were passed over.
    TooLong,
}

impl<Reader: FnMut(&mut [u8]) -> Result<usize>> Lines<Reader> {
    pub(super) const fn new(read: Reader) -> Self {
        Self { read, bytes: Vec::new(), used: 0, ended: false }
    }

    /// The first bytes of the file, up to so many.
    pub(super) fn head(&mut self, most: usize) -> Result<&[u8]> {
        while self.bytes.len() < most && !self.ended {
            self.fill()?;
        }
        Ok(self.bytes.get(..most.min(self.bytes.len())).unwrap_or_default())
    }

    /// The next line; `None` at the end.
    pub(super) fn next(&mut self) -> Result<Option<Line<'_>>> {
        let mut searched = self.used;
        let mut too_long = false;
        let end = loop {
            let found = self.bytes.iter().skip(searched).position(|byte| *byte == b'\n');
            if let Some(length) = found {
                break searched + length + 1;
            }
            if self.ended {
                break self.bytes.len();
            }
            if self.bytes.len() - self.used > MOST_BYTES {
                too_long = true;
                self.used = self.bytes.len();
            }
            self.bytes.drain(..std::mem::take(&mut self.used));
            searched = self.bytes.len();
            self.fill()?;
        };
        let begin = std::mem::replace(&mut self.used, end);
        too_long |= end - begin > MOST_BYTES;
        Ok(match self.bytes.get(begin..end) {
            _ if too_long => Some(Line::TooLong),
            Some(line) if !line.is_empty() => Some(Line::Whole(line)),
            _ => None,
        })
    }

    fn fill(&mut self) -> Result<()> {
        let before = self.bytes.len();
        self.bytes.resize(before + READ_BYTES, 0);
        let read = (self.read)(self.bytes.get_mut(before..).unwrap_or_default())?;
        self.bytes.truncate(before + read);
        self.ended = read == 0;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The lines of a text that comes in pieces of this length.
    fn lines(text: &[u8], piece: usize) -> Vec<Option<Vec<u8>>> {
        let mut rest = text;
        let mut lines = Lines::new(|buffer: &mut [u8]| {
            let (now, after) = rest.split_at(piece.min(rest.len()).min(buffer.len()));
            buffer[..now.len()].copy_from_slice(now);
            rest = after;
            Ok(now.len())
        });
        assert!(text.starts_with(lines.head(12).unwrap()));
        let mut all = Vec::new();
        while let Some(line) = lines.next().unwrap() {
            all.push(match line {
                Line::Whole(line) => Some(line.to_vec()),
                Line::TooLong => None,
            });
        }
        all
    }

    #[test]
    fn lines_are_the_same_however_the_text_is_cut() {
        let text = b"one\r\n\n\ntwo\nand the last";
        let wanted: Vec<_> =
            text.split_inclusive(|byte| *byte == b'\n').map(|line| Some(line.to_vec())).collect();
        for piece in [1, 2, 3, 7, 100] {
            assert_eq!(lines(text, piece), wanted, "{piece}");
        }
        assert!(lines(b"", 5).is_empty());
    }

    #[test]
    fn a_line_without_end_takes_no_memory_and_the_next_is_read() {
        let text =
            [b"a\n".as_slice(), &vec![b'x'; 5 * MOST_BYTES], b"\nb\n", &vec![b'y'; MOST_BYTES + 1]].concat();
        let wanted = [Some(b"a\n".to_vec()), None, Some(b"b\n".to_vec()), None];
        for piece in [1_000, READ_BYTES] {
            assert_eq!(lines(&text, piece), wanted, "{piece}");
        }
    }
}
