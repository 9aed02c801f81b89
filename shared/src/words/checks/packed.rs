//! A language's wordings as a device carries them: the texts that it shows, each once and with a byte for each common
//! part of words, end to end, and eight bytes a wording for where they stand. As rows of texts they would take three
//! times as much flash.

use super::wording::{TEXT_BYTES, Text, Wording};

/// How many parts a language has at most: the bytes that no ASCII letter takes, 0 to 31 and 128 to 255.
const PARTS: usize = 160;

/// Where a wording's texts stand.
#[derive(Clone, Copy, Debug)]
struct PackedRow {
    check: u8,
    wording: u8,
    what_bytes: u8,
    remedy_bytes: u8,
    what: u16,
    remedy: u16,
}

/// A language's texts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Texts {
    rows: &'static [PackedRow],
    bytes: &'static [u8],
    parts: &'static PackedParts,
}

impl Texts {
    /// What and remedy of a wording.
    pub(super) fn find(&self, check: u8, wording: u8) -> Option<(Text, Text)> {
        let row = self.rows.iter().find(|row| (row.check, row.wording) == (check, wording))?;
        Some((self.text(row.what, row.what_bytes)?, self.text(row.remedy, row.remedy_bytes)?))
    }

    #[inline(never)]
    fn text(&self, at: u16, bytes: u8) -> Option<Text> {
        let at = usize::from(at);
        let mut text = Text::new();
        for byte in self.bytes.get(at..at + usize::from(bytes))? {
            self.parts.write(*byte, &mut text)?;
        }
        Some(text)
    }
}

/// The common parts of a language's words, the halves of each.
#[derive(Clone, Copy, Debug)]
pub(super) struct PackedParts {
    /// A letter, or a part that stands before.
    halves: [[u8; 2]; PARTS],
    /// The first so many are single letters beyond ASCII, as UTF-8's two bytes.
    letters: usize,
}

impl PackedParts {
    /// The halves of a language's parts: its letters beyond ASCII, then parts that two before them, or ASCII letters,
    /// put together make. It does not compile where one is not.
    #[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
    pub(super) const fn of(parts: &[&str]) -> Self {
        let mut of = Self { halves: [[0; 2]; PARTS], letters: 0 };
        let mut part = 0;
        while part < parts.len() {
            let bytes = parts[part].as_bytes();
            of.halves[part] = if bytes.len() == 2 && !bytes[0].is_ascii() {
                assert!(of.letters == part, "a letter beyond ASCII stands behind other parts");
                of.letters += 1;
                [bytes[0], bytes[1]]
            } else {
                halves(parts, part, bytes)
            };
            part += 1;
        }
        of
    }

    /// Writes what a byte of a packed text stands for.
    fn write(&self, byte: u8, text: &mut Text) -> Option<()> {
        // A part's halves are parts that stand before it: this ends.
        let Some(part) = part_of(byte) else { return text.push(char::from(byte)).ok() };
        let halves = self.halves.get(part)?;
        if part < self.letters {
            return text.push_str(core::str::from_utf8(halves).ok()?).ok();
        }
        let [first, second] = *halves;
        self.write(first, text)?;
        self.write(second, text)
    }
}

/// The byte that stands for a part.
const fn byte_of(part: usize) -> u8 {
    (if part < 32 { part } else { part + 96 }) as u8
}

/// The part that a byte stands for; `None` = the byte is an ASCII letter.
const fn part_of(byte: u8) -> Option<usize> {
    match byte {
        0..32 => Some(byte as usize),
        32..128 => None,
        128.. => Some(byte as usize - 96),
    }
}

/// The halves of a part: each one of the parts before it, or an ASCII letter.
#[expect(clippy::panic, reason = "evaluated when built, where it is an error")]
const fn halves(parts: &[&str], part: usize, bytes: &[u8]) -> [u8; 2] {
    let mut split = 1;
    while split < bytes.len() {
        let (first, second) = bytes.split_at(split);
        if let (Some(first), Some(second)) = (packed(parts, part, first), packed(parts, part, second)) {
            return [first, second];
        }
        split += 1;
    }
    panic!("a part is not made of two parts that stand before it")
}

/// The byte for these letters: themselves, or one of so many parts.
#[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
const fn packed(parts: &[&str], count: usize, letters: &[u8]) -> Option<u8> {
    if letters.len() == 1 && letters[0].is_ascii() {
        return Some(letters[0]);
    }
    let mut part = 0;
    while part < count {
        let bytes = parts[part].as_bytes();
        if bytes.len() == letters.len() && starts_with(letters, 0, bytes) {
            return Some(byte_of(part));
        }
        part += 1;
    }
    None
}

#[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
const fn starts_with(text: &[u8], from: usize, part: &[u8]) -> bool {
    if from + part.len() > text.len() {
        return false;
    }
    let mut at = 0;
    while at < part.len() && text[from + at] == part[at] {
        at += 1;
    }
    at == part.len()
}

pub(super) type Tables = [&'static [Wording]; 6];

/// How many wordings there are.
#[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
pub(super) const fn rows(tables: &Tables) -> usize {
    let (mut table, mut rows) = (0, 0);
    while table < tables.len() {
        rows += tables[table].len();
        table += 1;
    }
    rows
}

/// Rows and texts while they are packed, when the program is built.
pub(super) struct Packed<const ROWS: usize, const BYTES: usize> {
    rows: [PackedRow; ROWS],
    bytes: [u8; BYTES],
    pub(super) filled: usize,
}

impl<const ROWS: usize, const BYTES: usize> Packed<ROWS, BYTES> {
    /// Packs the tables; it does not compile where a text is too long or they do not fit in `BYTES`.
    #[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
    pub(super) const fn of(tables: &Tables, parts: &[&str]) -> Self {
        let none = PackedRow { check: 0, wording: 0, what_bytes: 0, remedy_bytes: 0, what: 0, remedy: 0 };
        let mut packed = Self { rows: [none; ROWS], bytes: [0; BYTES], filled: 0 };
        let by_letter = ByLetter::of(parts);
        let (mut table, mut row) = (0, 0);
        while table < tables.len() {
            let mut at = 0;
            while at < tables[table].len() {
                let Wording { check, wording, what, remedy, .. } = tables[table][at];
                at += 1;
                let (what, what_bytes) = packed.put(row, what.as_bytes(), parts, &by_letter);
                let (remedy, remedy_bytes) = packed.put(row, remedy.as_bytes(), parts, &by_letter);
                packed.rows[row] = PackedRow { check, wording, what_bytes, remedy_bytes, what, remedy };
                row += 1;
            }
            table += 1;
        }
        packed
    }

    /// Where the text stands, and its bytes: among the remedies of the rows so far, or else at the end. The longest
    /// part that fits is taken at each place: one byte in five hundred more than the best choice would take.
    #[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
    const fn put(&mut self, rows: usize, text: &[u8], parts: &[&str], by_letter: &ByLetter) -> (u16, u8) {
        assert!(text.len() <= TEXT_BYTES, "a text is too long");
        let (mut packed, mut filled) = ([0; TEXT_BYTES], 0);
        let mut at = 0;
        while at < text.len() {
            let (mut byte, mut bytes) = (text[at], 1);
            let mut next = by_letter.first[text[at] as usize];
            while let Some(part) = next {
                let letters = parts[part].as_bytes();
                if letters.len() > bytes && starts_with(text, at, letters) {
                    (byte, bytes) = (byte_of(part), letters.len());
                }
                next = by_letter.next[part];
            }
            assert!(bytes > 1 || byte.is_ascii(), "a letter beyond ASCII is not among the parts");
            packed[filled] = byte;
            filled += 1;
            at += bytes;
        }
        let (text, _) = packed.split_at(filled);
        let mut row = 0;
        while row < rows {
            let PackedRow { remedy, remedy_bytes, .. } = self.rows[row];
            if remedy_bytes as usize == filled && starts_with(&self.bytes, remedy as usize, text) {
                return (remedy, remedy_bytes);
            }
            row += 1;
        }
        let start = self.filled;
        assert!(start < 1 << 16, "all texts are too long");
        let mut at = 0;
        while at < filled {
            self.bytes[self.filled] = text[at];
            self.filled += 1;
            at += 1;
        }
        (start as u16, filled as u8)
    }

    /// What a device looks up.
    pub(super) const fn texts(&'static self, parts: &'static PackedParts) -> Texts {
        Texts { rows: &self.rows, bytes: &self.bytes, parts }
    }
}

/// The parts by their first byte.
struct ByLetter {
    first: [Option<usize>; 256],
    next: [Option<usize>; PARTS],
}

impl ByLetter {
    #[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
    const fn of(parts: &[&str]) -> Self {
        let mut by_letter = Self { first: [None; 256], next: [None; PARTS] };
        let mut part = 0;
        while part < parts.len() {
            let letter = parts[part].as_bytes()[0] as usize;
            by_letter.next[part] = by_letter.first[letter];
            by_letter.first[letter] = Some(part);
            part += 1;
        }
        by_letter
    }
}

/// Packs a language's tables when the program is built.
macro_rules! texts {
    ($tables:expr, $parts:expr) => {{
        use $crate::words::checks::packed::{Packed, PackedParts, rows};
        const ROWS: usize = rows(&$tables);
        /// More than the texts take: nothing of it is in the program but what they fill.
        const MOST: usize = 1 << 14;
        const LOOSE: Packed<ROWS, MOST> = Packed::of(&$tables, &$parts);
        static PARTS: PackedParts = PackedParts::of(&$parts);
        static PACKED: Packed<ROWS, { LOOSE.filled }> = Packed::of(&$tables, &$parts);
        PACKED.texts(&PARTS)
    }};
}
pub(super) use texts;
