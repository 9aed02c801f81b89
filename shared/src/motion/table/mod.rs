//! The trade's G and M words, each with what it asks for: the one table that the moves, the checks and the desk's list
//! go by.
//!
//! A word may have several rows, for its letters decide what it asks for: the first row whose condition holds counts,
//! and the last one has none. A word without a row is unknown.

mod g;
mod high;
mod low;
mod row;

use crate::text::Words;

use super::command::Known;
use row::M;
pub use row::{When, WordRow, WordSource};

const PARTS: [&[WordRow]; 3] = [g::ROWS, low::ROWS, high::ROWS];
const ROWS: usize = g::ROWS.len() + low::ROWS.len() + high::ROWS.len();

/// The rows without their words: all that a machine's board carries.
static LOOKUP: [(u16, When, Known); ROWS] = {
    let mut lookup = [(0, When::Always, Known::Unknown); ROWS];
    let (mut part, mut at) = (0, 0);
    #[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
    while part < PARTS.len() {
        let mut row = 0;
        while row < PARTS[part].len() {
            let WordRow { key, when, known, .. } = PARTS[part][row];
            assert!(at == 0 || lookup[at - 1].0 <= key, "rows are in the order of their words");
            lookup[at] = (key, when, known);
            (at, row) = (at + 1, row + 1);
        }
        part += 1;
    }
    lookup
};

/// All rows, by letter and number, for a list.
pub fn rows() -> impl Iterator<Item = &'static WordRow> {
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
