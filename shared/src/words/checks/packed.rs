//! A language's wordings as a device carries them: the texts that it shows, end to end and each once, and eight
//! bytes a wording for where they stand. As rows of texts they would take half as much flash again.

use super::wording::Wording;

/// Where a wording's texts stand.
#[derive(Clone, Copy, Debug)]
struct Row {
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
    rows: &'static [Row],
    text: &'static str,
}

impl Texts {
    /// What and remedy of a wording.
    pub(super) fn find(&self, check: u8, wording: u8) -> Option<(&'static str, &'static str)> {
        let row = self.rows.iter().find(|row| (row.check, row.wording) == (check, wording))?;
        Some((self.text(row.what, row.what_bytes)?, self.text(row.remedy, row.remedy_bytes)?))
    }

    fn text(&self, at: u16, bytes: u8) -> Option<&'static str> {
        let at = usize::from(at);
        self.text.get(at..at + usize::from(bytes))
    }
}

/// Rows and texts while they are packed, when the program is built.
pub(super) struct Packed<const ROWS: usize, const BYTES: usize> {
    rows: [Row; ROWS],
    bytes: [u8; BYTES],
    pub(super) filled: usize,
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

impl<const ROWS: usize, const BYTES: usize> Packed<ROWS, BYTES> {
    /// Packs the tables; it does not compile where a text is too long or they do not fit in `BYTES`.
    #[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
    pub(super) const fn of(tables: &Tables) -> Self {
        let none = Row { check: 0, wording: 0, what_bytes: 0, remedy_bytes: 0, what: 0, remedy: 0 };
        let mut packed = Self { rows: [none; ROWS], bytes: [0; BYTES], filled: 0 };
        let (mut table, mut row) = (0, 0);
        while table < tables.len() {
            let mut at = 0;
            while at < tables[table].len() {
                let Wording { check, wording, what, remedy, .. } = tables[table][at];
                assert!(what.len() < 256 && remedy.len() < 256, "a text is too long");
                let (what_at, remedy_at) =
                    (packed.put(row, what.as_bytes()), packed.put(row, remedy.as_bytes()));
                packed.rows[row] = Row {
                    check,
                    wording,
                    what_bytes: what.len() as u8,
                    remedy_bytes: remedy.len() as u8,
                    what: what_at,
                    remedy: remedy_at,
                };
                row += 1;
                at += 1;
            }
            table += 1;
        }
        packed
    }

    /// Where the text stands: among the remedies of the rows so far, or else at the end.
    #[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
    const fn put(&mut self, rows: usize, text: &[u8]) -> u16 {
        let mut row = 0;
        while row < rows {
            let Row { remedy, remedy_bytes, .. } = self.rows[row];
            if remedy_bytes as usize == text.len() && self.holds(remedy as usize, text) {
                return remedy;
            }
            row += 1;
        }
        let start = self.filled;
        assert!(start < 1 << 16, "all texts are too long");
        let mut at = 0;
        while at < text.len() {
            self.bytes[self.filled] = text[at];
            self.filled += 1;
            at += 1;
        }
        start as u16
    }

    #[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
    const fn holds(&self, start: usize, text: &[u8]) -> bool {
        let mut at = 0;
        while at < text.len() && self.bytes[start + at] == text[at] {
            at += 1;
        }
        at == text.len()
    }

    /// What a device looks up.
    #[expect(clippy::panic, reason = "evaluated when built, where it is an error")]
    pub(super) const fn texts(&'static self) -> Texts {
        match core::str::from_utf8(&self.bytes) {
            Ok(text) => Texts { rows: &self.rows, text },
            Err(_) => panic!("the bytes of whole texts"),
        }
    }
}

/// Packs a language's tables when the program is built.
macro_rules! texts {
    ($tables:expr) => {{
        use $crate::words::checks::packed::{Packed, rows};
        const ROWS: usize = rows(&$tables);
        /// More than the texts take: nothing of it is in the program but what they fill.
        const MOST: usize = 1 << 15;
        const LOOSE: Packed<ROWS, MOST> = Packed::of(&$tables);
        static PACKED: Packed<ROWS, { LOOSE.filled }> = Packed::of(&$tables);
        PACKED.texts()
    }};
}
pub(super) use texts;
