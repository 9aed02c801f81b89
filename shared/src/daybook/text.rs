//! Texts from outside, made fit for a cell or a JSON string.

use crate::visible::is_hidden;

/// Where a text is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Into {
    /// A cell of CSV.
    Cell,
    /// A JSON string.
    Json,
}

/// What takes the place of a character that would part a line or hide in it: one byte, so that no text grows.
const HIDDEN: char = '?';

/// A character as it is written, with what must stand before it. `first` says that a cell may begin here.
pub(super) const fn escaped(letter: char, first: bool, into: Into) -> (Option<u8>, char) {
    match (letter, into) {
        _ if is_hidden(letter) => (None, HIDDEN),
        // RFC 4180, 2.7.
        ('"', Into::Cell) => (Some(b'"'), letter),
        // RFC 8259, section 7.
        ('"' | '\\', Into::Json) => (Some(b'\\'), letter),
        (_, Into::Cell) if first && starts_formula(letter) => (Some(b'\''), letter),
        _ => (None, letter),
    }
}

/// Whether a spreadsheet may take what begins with this for a formula, or the letter is the mark against that.
///
/// The four signs: common practice against injection by CSV, no standard. Their full-width forms: from memory, for
/// spreadsheets set to Japanese.
pub(super) const fn starts_formula(letter: char) -> bool {
    matches!(letter, '=' | '+' | '-' | '@' | '\'' | '＝' | '＋' | '－' | '＠')
}

/// Whether a spreadsheet may begin a cell after this letter of a text: after what parts cells, and after blanks and
/// quotes at a cell's beginning, which it may take off (common practice of what imports tables, no source).
pub(super) const fn begins_after(letter: char, first: bool) -> bool {
    match letter {
        ';' => true,
        ' ' | '\u{a0}' | '\u{3000}' | '"' | '„' | '“' | '”' | '‘' | '’' => first,
        _ => false,
    }
}

/// Whether a cell with this letter stands in quotes (RFC 4180, 2.6; the semicolon for spreadsheets that part at it).
pub(super) const fn wants_quotes(letter: char) -> bool {
    matches!(letter, ',' | ';' | '"')
}
