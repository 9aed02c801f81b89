//! The words of a line: letter and number, comments split off.

use super::marks::Marks;

/// The number of a G or M word in tenths: G1 is 10, G38.2 is 382.
pub type Code = u32;

/// Most M words of a line, RS274/NGC 3.3.5; more are malformed.
const M_CODES: usize = 4;
/// Most G words of a line: one of each of the groups of RS274/NGC table 4 (eleven, with the one of words that hold for
/// their line only); more are malformed.
const G_CODES: usize = 11;

/// Bit of a letter in [`Words::present`].
pub(super) const fn bit(letter: u8) -> u32 {
    1 << (letter & 31)
}

/// The words of one line. Values are in 10⁻⁶ of the word's unit.
#[derive(Clone, Debug, Default)]
pub struct Words {
    values: [i64; 32],
    /// Letters with a number, bit 1 = A as in its code. G, M and N are not among them.
    pub present: u32,
    /// Letters without a number.
    pub bare: u32,
    g: [Code; G_CODES],
    m: [Code; M_CODES],
    g_count: u8,
    m_count: u8,
    /// Whether text follows a word that takes text.
    pub has_text: bool,
    /// Whether that text has a double slash, by which a job asks a host to act (common practice, no source).
    pub asks_host: bool,
    /// Whether it holds a word or anything that is neither blank nor comment.
    pub any: bool,
    /// Whether [`marks`](Self::marks) are other than none: looked at instead of each.
    marked: bool,
    marks: Marks,
    /// Where the `;` comment begins, in the bytes scanned.
    pub comment: Option<u32>,
    /// Where the line ends, in the bytes scanned: its line end, or their end.
    pub end: u32,
    /// XOR of the bytes that were dropped from the line before it was scanned.
    pub(super) dropped: u8,
}

impl Words {
    /// The G words, in order, in tenths.
    #[must_use]
    pub fn g(&self) -> &[Code] {
        self.g.get(..usize::from(self.g_count)).unwrap_or_default()
    }

    /// The M words, in order, in tenths.
    #[must_use]
    pub fn m(&self) -> &[Code] {
        self.m.get(..usize::from(self.m_count)).unwrap_or_default()
    }

    /// The G word of a line that holds one and no M word, in tenths.
    #[inline]
    #[must_use]
    pub const fn only_g(&self) -> Option<Code> {
        let [first, ..] = self.g;
        if self.g_count == 1 && self.m_count == 0 { Some(first) } else { None }
    }

    /// Whether no M word stands on the line.
    #[inline]
    #[must_use]
    pub const fn no_m(&self) -> bool {
        self.m_count == 0
    }

    /// Whether a letter stands with a number.
    #[inline]
    #[must_use]
    pub const fn has(&self, letter: u8) -> bool {
        self.present & bit(letter) != 0
    }

    /// Whether a letter stands without a number.
    #[must_use]
    pub const fn is_bare(&self, letter: u8) -> bool {
        self.bare & bit(letter) != 0
    }

    /// A letter's value, 10⁻⁶.
    #[inline]
    #[must_use]
    pub const fn get(&self, letter: u8) -> Option<i64> {
        if self.has(letter) { Some(self.raw(letter)) } else { None }
    }

    /// A letter's value where [`Self::has`] is true; otherwise whatever an earlier line left.
    #[inline]
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "the index is masked to the array's length")]
    pub const fn raw(&self, letter: u8) -> i64 {
        self.values[(letter & 31) as usize]
    }

    /// Whether nothing but words that could be read stands on the line.
    #[inline]
    #[must_use]
    pub const fn is_plain(&self) -> bool {
        !self.marked
    }

    /// What it has besides words that could be read.
    #[inline]
    #[must_use]
    pub const fn marks(&self) -> &Marks {
        &self.marks
    }

    /// The same, for a mark to be made.
    #[cold]
    pub(super) const fn mark(&mut self) -> &mut Marks {
        self.marked = true;
        &mut self.marks
    }

    /// One more letter that stands twice.
    #[cold]
    pub(super) fn repeated(&mut self) {
        let marks = self.mark();
        marks.repeated = marks.repeated.saturating_add(1);
    }

    /// Forgets the line before; values stay, unseen.
    #[inline]
    pub(super) fn clear(&mut self) {
        self.present = 0;
        self.bare = 0;
        self.g_count = 0;
        self.m_count = 0;
        self.has_text = false;
        self.asks_host = false;
        self.any = false;
        if self.marked {
            self.marked = false;
            self.marks = Marks::default();
        }
        self.comment = None;
    }

    #[inline(always)]
    pub(super) fn set(&mut self, letter: u8, micro: i64) {
        let bit = bit(letter);
        if self.present & bit != 0 {
            self.repeated();
        }
        self.present |= bit;
        self.put(letter, micro);
    }

    /// A value alone, without its mark in [`present`](Self::present).
    #[inline(always)]
    #[expect(clippy::indexing_slicing, reason = "the index is masked to the array's length")]
    pub(super) const fn put(&mut self, letter: u8, micro: i64) {
        self.values[(letter & 31) as usize] = micro;
    }

    /// A G word; nearly always the line's first.
    #[inline(always)]
    pub(super) fn g_code(&mut self, code: Code) {
        if let (Some(first), 0) = (self.g.first_mut(), self.g_count) {
            *first = code;
            self.g_count = 1;
        } else {
            self.code(b'g', code);
        }
    }

    #[inline(never)]
    pub(super) fn code(&mut self, letter: u8, code: Code) {
        let (codes, count) = if letter | 0x20 == b'g' {
            (self.g.as_mut_slice(), &mut self.g_count)
        } else {
            (self.m.as_mut_slice(), &mut self.m_count)
        };
        if let Some(slot) = codes.get_mut(usize::from(*count)) {
            *slot = code;
            *count += 1;
        } else {
            self.malformed();
        }
    }

    pub(super) fn malformed(&mut self) {
        let marks = self.mark();
        marks.malformed = marks.malformed.saturating_add(1);
    }
}
