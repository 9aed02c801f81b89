//! The trade's G and M words, each with what it asks for: the one table that the moves, the checks and the desk's list
//! go by.
//!
//! A word may have several rows, for its letters decide what it asks for: the first row whose condition holds counts,
//! and the last one has none. A word without a row is unknown.

mod g;
mod high;
mod low;

use crate::text::Words;

use super::command::Known;

/// What a row is for: letters and text that its line must have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// In any case.
    Always,
    /// The line has any word or text besides.
    Any,
    /// One of these letters, with a number or without; bit 1 = A.
    Has(u32),
    /// The letter's number is zero.
    Zero(u8),
    /// The letter's number is there and not zero.
    NonZero(u8),
    /// The letter's number has bit 3, the one that makes a machine go through the motions only.
    DryRun(u8),
    /// Text follows.
    Text,
    /// The text asks a host to act: it has a double slash.
    Action,
}

/// Where a row is taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// A section of RS274/NGC (NISTIR 6556). Its number is from memory: look it up before it is cited elsewhere.
    Ngc(&'static str),
    /// Common practice, no source.
    Practice,
}

/// One row.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    key: u16,
    /// When it counts.
    pub when: When,
    /// What is asked for.
    pub known: Known,
    /// The same in words.
    pub what: &'static str,
    /// Where that is from.
    pub source: Source,
}

impl Row {
    /// The word's letter.
    #[must_use]
    pub const fn letter(&self) -> u8 {
        if self.key & M != 0 { b'M' } else { b'G' }
    }

    /// The word's number in tenths.
    #[must_use]
    pub const fn tenths(&self) -> u32 {
        (self.key & !M) as u32
    }

    /// From a section of RS274/NGC.
    const fn ngc(mut self, section: &'static str) -> Self {
        self.source = Source::Ngc(section);
        self
    }

    /// Only where a letter or text is there.
    const fn when(mut self, when: When) -> Self {
        self.when = when;
        self
    }
}

/// Marks M words among the keys, above every number in tenths that has a row.
const M: u16 = 1 << 15;

/// The bits of some letters.
const fn letters<const N: usize>(letters: [u8; N]) -> When {
    let (mut bits, mut rest) = (0, letters.as_slice());
    while let [first, others @ ..] = rest {
        bits |= 1 << (*first & 31);
        rest = others;
    }
    When::Has(bits)
}

/// A G word by its number in tenths.
const fn g(tenths: u16, known: Known, what: &'static str) -> Row {
    Row { key: tenths, when: When::Always, known, what, source: Source::Practice }
}

/// An M word.
const fn m(number: u16, known: Known, what: &'static str) -> Row {
    Row { key: M | (number * 10), when: When::Always, known, what, source: Source::Practice }
}

/// An M word by its number in tenths.
const fn m_tenths(tenths: u16, known: Known, what: &'static str) -> Row {
    Row { key: M | tenths, when: When::Always, known, what, source: Source::Practice }
}

const PARTS: [&[Row]; 3] = [g::ROWS, low::ROWS, high::ROWS];
const ROWS: usize = g::ROWS.len() + low::ROWS.len() + high::ROWS.len();

/// The rows without their words: all that a machine's board carries.
static LOOKUP: [(u16, When, Known); ROWS] = {
    let mut lookup = [(0, When::Always, Known::Unknown); ROWS];
    let (mut part, mut at) = (0, 0);
    #[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
    while part < PARTS.len() {
        let mut row = 0;
        while row < PARTS[part].len() {
            let Row { key, when, known, .. } = PARTS[part][row];
            assert!(at == 0 || lookup[at - 1].0 <= key, "rows are in the order of their words");
            lookup[at] = (key, when, known);
            (at, row) = (at + 1, row + 1);
        }
        part += 1;
    }
    lookup
};

/// All rows, by letter and number, for a list.
pub fn rows() -> impl Iterator<Item = &'static Row> {
    PARTS.into_iter().flatten()
}

/// The rows of a word, its number in tenths.
fn of(letter: u8, tenths: u32) -> &'static [(u16, When, Known)] {
    let number = u16::try_from(tenths).ok().filter(|tenths| tenths & M == 0);
    let Some(number) = number else { return &[] };
    let key = if letter == b'M' { M | number } else { number };
    let from = LOOKUP.partition_point(|row| row.0 < key);
    let rest = LOOKUP.get(from..).unwrap_or_default();
    let len = rest.iter().take_while(|row| row.0 == key).count();
    rest.get(..len).unwrap_or_default()
}

/// Whether a word has a row.
pub(crate) fn is_listed(letter: u8, tenths: u32) -> bool {
    !of(letter, tenths).is_empty()
}

/// What a word asks for, with the other words of its line.
#[inline(never)]
pub(super) fn known(letter: u8, tenths: u32, words: &Words) -> Known {
    of(letter, tenths).iter().find(|(_, when, _)| when.holds(words)).map_or(Known::Unknown, |row| row.2)
}

impl When {
    fn holds(self, words: &Words) -> bool {
        let there = words.present | words.bare;
        match self {
            Self::Always => true,
            Self::Any => there != 0 || words.has_text,
            Self::Has(letters) => there & letters != 0,
            Self::Zero(letter) => words.get(letter) == Some(0),
            Self::NonZero(letter) => words.get(letter).is_some_and(|value| value != 0),
            Self::DryRun(letter) => {
                words.get(letter).is_some_and(|value| (value / crate::text::MICRO) & 8 != 0)
            }
            Self::Text => words.has_text,
            Self::Action => words.asks_host,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_word_ends_with_a_row_for_any_line() {
        let rows: std::vec::Vec<_> = rows().collect();
        for (row, next) in rows.iter().zip(rows.iter().skip(1).map(Some).chain([None])) {
            let last = next.is_none_or(|next| next.key != row.key);
            let name = std::format!("{}{}", row.letter() as char, row.tenths());
            assert_eq!(row.when == When::Always, last, "{name}");
            assert!(!row.what.is_empty() && row.known != Known::Unknown, "{name}");
        }
        assert!(rows.len() > 300);
    }
}
