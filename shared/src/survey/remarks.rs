//! What comments between the moves name: where supports and bridges begin. The moves themselves do not tell it.
//!
//! By the trade's own words, whoever wrote the file: a short comment on a line of its own, that holds one of them as a
//! word and is no setting, and behind which a bead comes before the next comment. What is missed costs a look that nobody
//! was promised; so whatever may be something else is passed over.

use super::notes::{Note, Noted, Thing};
use super::values::Survey;

/// Characters of a comment that names a thing; a longer one is prose (judgement).
const MOST_BYTES: usize = 40;
/// Comments in a row, without a move between; in more, settings are listed (judgement).
const MOST_IN_ROW: u8 = 4;

/// Words that name a thing.
const THINGS: [(&str, Thing); 7] = [
    ("support", Thing::Support),
    ("supports", Thing::Support),
    ("bridge", Thing::Bridge),
    ("bridges", Thing::Bridge),
    ("bridging", Thing::Bridge),
    ("overhang", Thing::Bridge),
    ("overhangs", Thing::Bridge),
];

/// Words beside which it does not begin.
const NOT: [&str; 13] = [
    "no", "none", "not", "never", "without", "off", "disabled", "false", "end", "ends", "ended", "done",
    "finished",
];

/// The comment that waits for its bead.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Remarks {
    waiting: Option<(Thing, u32)>,
    /// Moves before the last comment, and comments in a row since.
    moves: u32,
    in_row: u8,
}

/// What the text of a comment names, if it is no setting.
fn named(text: &[u8]) -> Option<Thing> {
    if text.len() > MOST_BYTES || text.contains(&b'=') {
        return None;
    }
    // Letters beyond ASCII, too, make a word another one; and what is joined by `_` is a name of something.
    let is_word = |byte: &u8| byte.is_ascii_alphanumeric() || *byte == b'_' || *byte > 0x7F;
    let mut found = None;
    for word in text.split(|byte| !is_word(byte) && *byte != b':').filter(|word| !word.is_empty()) {
        // `supports: none` is a setting, `now: supports` is not.
        let word = match (found, word.iter().position(|byte| *byte == b':')) {
            (Some(_), Some(_)) => return None,
            (None, Some(at)) => word.get(at + 1..).filter(|rest| !rest.is_empty()).unwrap_or(word),
            (_, None) => word,
        };
        let is = |other: &str| word.eq_ignore_ascii_case(other.as_bytes());
        if NOT.into_iter().any(is) {
            return None;
        }
        let thing = THINGS.into_iter().find(|(name, _)| is(name)).map(|(_, thing)| thing);
        found = found.or(thing);
    }
    found
}

/// The text of a line that is nothing but a comment; `None` = it is blank, or something else.
fn comment(line: &[u8]) -> Option<&[u8]> {
    let line = line.trim_ascii();
    let text = match line {
        [b';', text @ ..] | [b'(', text @ .., b')'] => text,
        _ => return None,
    };
    Some(bare(text))
}

/// What a comment says, without its marks and the blanks round it.
pub(super) fn bare(text: &[u8]) -> &[u8] {
    let from = text.iter().position(|byte| !matches!(byte, b';' | b' ' | b'\t')).unwrap_or(text.len());
    text.get(from..).unwrap_or_default().trim_ascii_end()
}

impl Remarks {
    /// A line without a word; gives whether the next bead is to ask for what it names.
    #[cold]
    pub(super) fn wordless(&mut self, text: &[u8], line: u32, closed: bool, survey: &Survey) -> bool {
        let Some(text) = comment(text) else { return false };
        let moves = survey.reading.moves;
        self.in_row = if self.moves == moves { self.in_row.saturating_add(1) } else { 1 };
        self.moves = moves;
        self.waiting = None;
        // Before the first bead and after the end stand headers and settings.
        if survey.tail.last_bead_line == 0 || closed || self.in_row > MOST_IN_ROW {
            return false;
        }
        let Some(thing) = named(text) else { return false };
        let known = match thing {
            Thing::Support => survey.named.support(),
            Thing::Bridge => survey.named.bridge(),
        };
        if known.is_none() {
            self.waiting = Some((thing, line));
        }
        known.is_none()
    }

    /// A bead of a layer: the note of the comment that waits for it. The move is counted already.
    pub(super) fn bead(&mut self, layer: u32, survey: &Survey) -> Option<Note> {
        let (thing, line) = self.waiting.take()?;
        let after = survey.reading.moves.saturating_sub(1);
        // The first layer is watched anyway.
        (layer >= 2).then_some(Note { after, line, what: Noted::Thing(thing) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_that_name_a_thing() {
        for (text, thing) in [
            ("support", Thing::Support),
            ("supports begin", Thing::Support),
            ("SUPPORT, layer 12", Thing::Support),
            ("now: support", Thing::Support),
            ("now:support", Thing::Support),
            ("part 2 / support-interface", Thing::Support),
            ("bridge", Thing::Bridge),
            ("first bridging line", Thing::Bridge),
            ("overhang wall", Thing::Bridge),
            ("support under a bridge", Thing::Support),
        ] {
            assert_eq!(named(text.as_bytes()), Some(thing), "{text}");
        }
    }

    #[test]
    fn comments_that_name_none() {
        for text in [
            "",
            "support material = none",
            "support = 1",
            "support: off",
            "supports : yes",
            "support material: PVAL",
            "no supports",
            "without support",
            "support off",
            "end of support",
            "bridges done",
            "unsupported",
            "supporting",
            "support_angle 45",
            "first_support",
            "bridged",
            "cambridge",
            "support for this file is given by the workshop",
            "Stützsupportß",
        ] {
            assert_eq!(named(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn a_line_of_its_own() {
        for (line, text) in [
            (" ; supports begin \r", Some("supports begin")),
            (";;; bridge", Some("bridge")),
            ("(support)", Some("support")),
            (";", Some("")),
            ("", None),
            ("%", None),
            ("(a) (b", None),
        ] {
            assert_eq!(comment(line.as_bytes()).map(|text| str::from_utf8(text).unwrap()), text, "{line}");
        }
    }
}
