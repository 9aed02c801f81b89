//! Whole, cut and damaged lines told apart.

use core::cmp::Ordering;

use super::event::{EVENT_END, EVENT_SUM};
use super::line::{SUM_DIGITS, sum};
use super::row::{COLUMNS, HEADER};
use super::text::{begins_after, starts_formula};

/// What a line of the day book is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum LineState {
    /// Nothing between two line ends.
    Empty,
    /// The row of column names.
    Header,
    /// Its sum fits: every byte is as it was written.
    Whole,
    /// It ends before its sum does: power or card went while it was written.
    Cut,
    /// It is complete, and its sum does not fit: changed by hand or by a fault of the card.
    Damaged,
}

/// What a line of the rows' file is, with or without its line end.
#[must_use]
pub fn row_state(line: &[u8]) -> LineState {
    let line = without_end(line);
    if line.is_empty() {
        return LineState::Empty;
    }
    if line == without_end(HEADER.as_bytes()) {
        return LineState::Header;
    }
    // Quotes come in pairs, so a comma between an odd number of them and the next is text.
    let (mut columns, mut in_quotes) = (1_usize, false);
    for byte in line {
        match byte {
            b'"' => in_quotes = !in_quotes,
            b',' if !in_quotes => columns = columns.saturating_add(1),
            _ => {}
        }
    }
    let digits = line.rsplit(|byte| *byte == b',').next().unwrap_or_default();
    match columns.cmp(&COLUMNS) {
        _ if in_quotes => LineState::Cut,
        Ordering::Less => LineState::Cut,
        Ordering::Equal if digits.len() < SUM_DIGITS && digits.iter().all(u8::is_ascii_hexdigit) => {
            LineState::Cut
        }
        Ordering::Equal => summed(line, digits),
        // The next row was written on the same line.
        Ordering::Greater => LineState::Damaged,
    }
}

/// What a line of the events' file is, with or without its line end.
#[must_use]
pub fn event_state(line: &[u8]) -> LineState {
    let line = without_end(line);
    if line.is_empty() {
        return LineState::Empty;
    }
    let body = line.strip_suffix(EVENT_END.as_bytes()).unwrap_or_default();
    let (before, digits) = body.split_at(body.len().saturating_sub(SUM_DIGITS));
    if before.ends_with(EVENT_SUM.as_bytes()) { summed(body, digits) } else { LineState::Cut }
}

/// The state of a line by the digits of the sum at its end.
fn summed(line: &[u8], digits: &[u8]) -> LineState {
    let body = line.get(..line.len().saturating_sub(digits.len())).unwrap_or_default();
    let stated = core::str::from_utf8(digits).ok().filter(|digits| digits.len() == SUM_DIGITS);
    match stated.and_then(|digits| u32::from_str_radix(digits, 16).ok()) {
        Some(stated) if stated == sum(body) => LineState::Whole,
        _ => LineState::Damaged,
    }
}

fn without_end(mut line: &[u8]) -> &[u8] {
    while let Some(rest) = line.strip_suffix(b"\n").or(line.strip_suffix(b"\r")) {
        line = rest;
    }
    line
}

/// The text of a cell as it was before it was defused, letter by letter: the cell without its quotes goes in.
///
/// ```
/// use holdpoint_shared::daybook::plain;
/// assert_eq!(plain("'=1+1;'-2; it's").collect::<String>(), "=1+1;-2; it's");
/// ```
pub fn plain(cell: &str) -> impl Iterator<Item = char> {
    let mut letters = cell.chars().peekable();
    let mut first = true;
    core::iter::from_fn(move || {
        let mut letter = letters.next()?;
        if first && letter == '\'' && letters.peek().copied().is_some_and(starts_formula) {
            letter = letters.next()?;
        }
        first = begins_after(letter, first);
        Some(letter)
    })
}

/// A text as it stands in a cell, without the cell's quotes: the reverse of [`plain`], for other tables that a
/// spreadsheet may read.
pub fn defused(text: &str) -> impl Iterator<Item = char> {
    let mut first = true;
    text.chars().flat_map(move |letter| {
        let mark = (first && starts_formula(letter)).then_some('\'');
        first = begins_after(letter, first);
        mark.into_iter().chain([letter])
    })
}

#[cfg(test)]
mod tests {
    use std::string::String;
    use std::vec::Vec;

    use crc::{CRC_32_ISO_HDLC, Crc};

    use super::*;

    /// A row of this many columns whose sum is reckoned here.
    fn row(columns: usize) -> Vec<u8> {
        let mut line = "1,".repeat(columns - 1);
        let sum = Crc::<u32>::new(&CRC_32_ISO_HDLC).checksum(line.as_bytes());
        line += &std::format!("{sum:08x}");
        line.into_bytes()
    }

    #[test]
    fn a_row_is_whole_by_its_sum_in_small_letters_or_capitals() {
        let line = row(COLUMNS);
        for end in ["", "\r\n", "\n", "\r", "\r\r\n"] {
            assert_eq!(row_state(&[&line, end.as_bytes()].concat()), LineState::Whole);
        }
        assert_eq!(row_state(&line.to_ascii_uppercase()), LineState::Whole);
        assert_eq!(row_state(HEADER.as_bytes()), LineState::Header);
        assert_eq!(row_state(b"\r\n"), LineState::Empty);
    }

    #[test]
    fn every_beginning_of_a_row_is_cut_and_every_changed_byte_is_found() {
        let line = row(COLUMNS);
        for length in 1..line.len() {
            assert_eq!(row_state(&line[..length]), LineState::Cut, "{length} bytes");
            assert_eq!(
                row_state(&[&line[..length], b"\r\n"].concat()),
                LineState::Cut,
                "{length} bytes, closed"
            );
        }
        for at in 0..line.len() {
            let mut changed = line.clone();
            changed[at] ^= 0x02;
            assert_ne!(row_state(&changed), LineState::Whole, "byte {at}");
        }
        assert_eq!(
            row_state(&[line.as_slice(), b",", &line].concat()),
            LineState::Damaged,
            "two on one line"
        );
        assert_eq!(row_state(&row(COLUMNS + 1)), LineState::Damaged);
        assert_eq!(row_state(&row(COLUMNS - 1)), LineState::Cut);
    }

    #[test]
    fn cells_are_plain_again() {
        for (cell, text) in [
            ("BRACKET", "BRACKET"),
            ("'-v2", "-v2"),
            ("''quoted", "'quoted"),
            ("it's", "it's"),
            ("'a", "'a"),
            ("a;'=cmd;''x", "a;=cmd;'x"),
            ("'", "'"),
            ("  '=1+1", "  =1+1"),
            ("\"'＝1", "\"＝1"),
            ("\u{3000}'@a", "\u{3000}@a"),
            ("a =1", "a =1"),
            ("", ""),
        ] {
            assert_eq!(plain(cell).collect::<String>(), text);
            assert_eq!(plain(&defused(text).collect::<String>()).collect::<String>(), text);
        }
    }
}
