//! The words of the checks' findings, a table a language.
//!
//! Another language is one more folder here, one more arm in `tables` and `decimal`. The tests hold every wording
//! against the display's 21 columns with the longest values, and the languages against each other.

mod de;
mod en;
mod kinds;
pub(crate) mod number;
mod packed;
mod wording;

use core::fmt::{self, Write as _};

use crate::checks::Finding;
use crate::records::Language;

pub use wording::{Shown, TEXT_BYTES, Text, ValueKind};

use packed::{Tables, Texts};

/// Which text of a wording.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WordingPart {
    /// The facts, for the display.
    What,
    /// The remedy, for display and desk.
    Remedy,
    /// The facts with what a desk has room for beyond them.
    Sentence,
}

const fn tables(language: Language) -> Tables {
    match language {
        Language::English => en::WORDINGS,
        Language::German => de::WORDINGS,
    }
}

const fn texts(language: Language) -> &'static Texts {
    match language {
        Language::English => &en::TEXTS,
        Language::German => &de::TEXTS,
    }
}

const fn decimal(language: Language) -> char {
    match language {
        Language::English => '.',
        Language::German => ',',
    }
}

/// The wording of a check, by the check's number and the wording's within it; `None` = there is no such wording.
#[must_use]
pub fn wording(check: u8, wording: u8, language: Language) -> Option<Shown> {
    let (what, remedy) = texts(language).find(check, wording)?;
    Some(Shown { what, remedy })
}

/// What a desk has room for beyond a wording.
#[must_use]
pub fn more(check: u8, wording: u8, language: Language) -> &'static str {
    let tables = tables(language);
    let mut rows = tables.into_iter().flatten();
    rows.find(|row| (row.check, row.wording) == (check, wording)).map_or("", |row| row.more)
}

/// The kinds of a wording's values; `None` = there is no such wording.
#[must_use]
pub fn kinds(check: u8, wording: u8) -> Option<&'static [ValueKind]> {
    kinds::KINDS.iter().find(|row| (row.0, row.1) == (check, wording)).map(|row| row.2)
}

/// Writes a finding's text with its numbers in it. A finding without a wording gives its number.
///
/// # Errors
/// What the writer gives.
pub fn write_wording(
    finding: &Finding,
    language: Language,
    part: WordingPart,
    out: &mut impl fmt::Write,
) -> fmt::Result {
    let Some(row) = wording(finding.check, finding.wording, language) else {
        return write!(out, "{}.{}", finding.check, finding.wording);
    };
    match part {
        WordingPart::What => fill(&row.what, finding, language, out),
        WordingPart::Remedy => fill(&row.remedy, finding, language, out),
        WordingPart::Sentence => {
            let more = more(finding.check, finding.wording, language);
            let mut out = Ended { out, last: None };
            fill(&row.what, finding, language, &mut out)?;
            if !more.is_empty() {
                out.end()?;
                out.write_char(' ')?;
                fill(more, finding, language, &mut out)?;
            }
            let last = if more.is_empty() { row.what.as_str() } else { more };
            if ends_with_name(last, kinds(finding.check, finding.wording).unwrap_or_default()) {
                return Ok(());
            }
            out.end()
        }
    }
}

/// Whether a name from outside stands last: a stop after it would be read as a part of it.
fn ends_with_name(text: &str, kinds: &[ValueKind]) -> bool {
    let place = text.strip_suffix('}').and_then(|text| text.rsplit_once('{'));
    place.and_then(|(_, place)| kinds.get(place.parse::<usize>().ok()?)) == Some(&ValueKind::Name)
}

/// A writer that knows how its text ends.
struct Ended<'w, W> {
    out: &'w mut W,
    last: Option<char>,
}

impl<W: fmt::Write> Ended<'_, W> {
    /// Ends a sentence that has no mark of its own: on the display the line's end does it.
    fn end(&mut self) -> fmt::Result {
        if self.last.is_none_or(|last| matches!(last, '.' | '!' | '?' | ':' | '\u{2026}')) {
            return Ok(());
        }
        self.write_char('.')
    }
}

impl<W: fmt::Write> fmt::Write for Ended<'_, W> {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.last = text.chars().next_back().or(self.last);
        self.out.write_str(text)
    }
}

/// Writes a text with `{0}` to `{3}` replaced by the finding's values.
fn fill(text: &str, finding: &Finding, language: Language, out: &mut impl fmt::Write) -> fmt::Result {
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        out.write_str(before)?;
        let Some((place, tail)) = after.split_once('}') else { break };
        match place.parse::<usize>().ok().and_then(|place| finding.values.get(place)) {
            Some(value) => number::value(out, value, decimal(language))?,
            None => write!(out, "{{{place}}}")?,
        }
        rest = tail;
    }
    out.write_str(rest)
}

#[cfg(test)]
mod tests;
