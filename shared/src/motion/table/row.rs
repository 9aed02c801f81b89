//! A row of the table: a word, when it counts, and what it asks for.

use crate::motion::command::Known;
use crate::text::Words;

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
pub enum WordSource {
    /// A section of RS274/NGC (NISTIR 6556). Its number is from memory: look it up before it is cited elsewhere.
    Ngc(&'static str),
    /// Common practice, no source.
    Practice,
}

/// One row.
#[derive(Clone, Copy, Debug)]
pub struct WordRow {
    pub(super) key: u16,
    /// When it counts.
    pub when: When,
    /// What is asked for.
    pub known: Known,
    /// The same in words.
    pub what: &'static str,
    /// Where that is from.
    pub source: WordSource,
}

impl WordRow {
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
    pub(super) const fn ngc(mut self, section: &'static str) -> Self {
        self.source = WordSource::Ngc(section);
        self
    }

    /// Only where a letter or text is there.
    pub(super) const fn when(mut self, when: When) -> Self {
        self.when = when;
        self
    }
}

/// Marks M words among the keys, above every number in tenths that has a row.
pub(super) const M: u16 = 1 << 15;

/// The bits of some letters.
pub(super) const fn letters<const N: usize>(letters: [u8; N]) -> When {
    let (mut bits, mut rest) = (0, letters.as_slice());
    while let [first, others @ ..] = rest {
        bits |= 1 << (*first & 31);
        rest = others;
    }
    When::Has(bits)
}

/// A G word by its number in tenths.
pub(super) const fn g(tenths: u16, known: Known, what: &'static str) -> WordRow {
    WordRow { key: tenths, when: When::Always, known, what, source: WordSource::Practice }
}

/// An M word.
pub(super) const fn m(number: u16, known: Known, what: &'static str) -> WordRow {
    WordRow { key: M | (number * 10), when: When::Always, known, what, source: WordSource::Practice }
}

/// An M word by its number in tenths.
pub(super) const fn m_tenths(tenths: u16, known: Known, what: &'static str) -> WordRow {
    WordRow { key: M | tenths, when: When::Always, known, what, source: WordSource::Practice }
}

impl When {
    pub(super) fn holds(self, words: &Words) -> bool {
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
