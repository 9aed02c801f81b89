//! Any text → characters that the faces have.
//!
//! The faces hold ISO 8859-1; three signs are our own (see `signs`). Everything else is written with the nearest
//! letters, or `?`, so that nothing draws as garbage. A table of our own: the transliteration libraries carry
//! all of Unicode in hundreds of kilobytes, more than the board's whole flash budget, and would also flatten
//! the umlauts that the faces draw right.

use core::iter::Peekable;
use core::str::Chars;

/// Cut mark.
pub(super) const CUT: char = '…';
/// Estimated.
pub(super) const ABOUT: char = '≈';
/// Job and spool differ.
pub(super) const DIFFERS: char = '≠';

/// U+0100 to U+017F, Latin Extended-A, one letter each (`*` = written as two, below).
const EXTENDED_A: &str = "AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIi**JjKkkLlLlLlLlLl\
                          NnNnNnnNnOoOoOo**RrRrRrSsSsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZzs";
/// U+0218 to U+021B: S and T with a comma below.
const COMMA_BELOW: &str = "SsTt";
/// U+1E80 to U+1E85: W with accents.
const WELSH: &str = "WwWwWw";
/// U+1EA0 to U+1EF9: Vietnamese.
const VIETNAMESE: &str = "AaAaAaAaAaAaAaAaAaAaAaAaEeEeEeEeEeEeEeEeIiIiOoOoOoOoOoOoOoOoOoOoOoOo\
                          UuUuUuUuUuUuUuYyYyYyYy";

/// Letters that ISO 8859-1 holds ready made, for text whose accents stand apart (as some systems write names):
/// the accent, the plain letters, the made ones.
const COMPOSED: [(char, &str, &str); 7] = [
    ('\u{300}', "AEIOUaeiou", "ÀÈÌÒÙàèìòù"),
    ('\u{301}', "AEIOUYaeiouy", "ÁÉÍÓÚÝáéíóúý"),
    ('\u{302}', "AEIOUaeiou", "ÂÊÎÔÛâêîôû"),
    ('\u{303}', "ANOano", "ÃÑÕãñõ"),
    ('\u{308}', "AEIOUaeiouy", "ÄËÏÖÜäëïöüÿ"),
    ('\u{30A}', "Aa", "Åå"),
    ('\u{327}', "Cc", "Çç"),
];

/// What is drawn for `text`, character by character.
pub(super) fn printable(text: &str) -> impl Iterator<Item = char> + '_ {
    Printable { chars: text.chars().peekable(), rest: "".chars() }
}

struct Printable<'a> {
    chars: Peekable<Chars<'a>>,
    /// What still has to come of a letter that is written as several.
    rest: Chars<'static>,
}

impl Iterator for Printable<'_> {
    type Item = char;

    fn next(&mut self) -> Option<char> {
        loop {
            if let Some(c) = self.rest.next() {
                return Some(c);
            }
            let c = self.chars.next()?;
            let accent = self.chars.peek().copied().unwrap_or_default();
            if let Some(made) = composed(c, accent) {
                self.chars.next();
                return Some(made);
            }
            match single(c) {
                Some(known) => return Some(known),
                None => self.rest = several(c).chars(),
            }
        }
    }
}

fn composed(plain: char, accent: char) -> Option<char> {
    let (_, from, to) = COMPOSED.iter().find(|row| row.0 == accent)?;
    from.chars().zip(to.chars()).find(|pair| pair.0 == plain).map(|pair| pair.1)
}

/// The one character for `c`; `None` where it is written as several or as none.
fn single(c: char) -> Option<char> {
    let nearest = match c {
        ' '..='~' | '\u{A0}'..='\u{AC}' | '\u{AE}'..='ÿ' | CUT | ABOUT | DIFFERS => c,
        '\t' | '\n' | '\r' | '\u{2000}'..='\u{200A}' | '\u{3000}' => ' ',
        '\u{202F}' => '\u{A0}',
        '\u{100}'..='\u{17F}' => nth(EXTENDED_A, c, '\u{100}').filter(|&letter| letter != '*')?,
        '\u{218}'..='\u{21B}' => nth(COMMA_BELOW, c, '\u{218}')?,
        '\u{1E80}'..='\u{1E85}' => nth(WELSH, c, '\u{1E80}')?,
        '\u{1EA0}'..='\u{1EF9}' => nth(VIETNAMESE, c, '\u{1EA0}')?,
        '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
        '\u{2018}'..='\u{201B}' | '\u{2032}' => '\'',
        '\u{201C}'..='\u{201F}' | '\u{2033}' => '"',
        '\u{2022}' => '·',
        '\u{2039}' => '<',
        '\u{203A}' => '>',
        '\u{3BC}' => 'µ',
        _ => return None,
    };
    Some(nearest)
}

/// What is written for a character with no single likeness.
const fn several(c: char) -> &'static str {
    match c {
        'Ĳ' => "IJ",
        'ĳ' => "ij",
        'Œ' => "OE",
        'œ' => "oe",
        'ẞ' => "SS",
        'ﬁ' => "fi",
        'ﬂ' => "fl",
        '€' => "EUR",
        '™' => "TM",
        '≤' => "<=",
        '≥' => ">=",
        // Accents on a letter that has no made form, soft hyphens, joiners, direction and variation marks,
        // the byte order mark: the text reads the same without them.
        '\u{300}'..='\u{36F}'
        | '\u{AD}'
        | '\u{200B}'..='\u{200F}'
        | '\u{202A}'..='\u{202E}'
        | '\u{2060}'..='\u{2064}'
        | '\u{FE00}'..='\u{FE0F}'
        | '\u{FEFF}' => "",
        _ => "?",
    }
}

fn nth(table: &'static str, c: char, first: char) -> Option<char> {
    let index = usize::try_from(u32::from(c).checked_sub(u32::from(first))?).ok()?;
    table.as_bytes().get(index).map(|&byte| char::from(byte))
}

#[cfg(test)]
mod tests {
    use std::string::String;

    use super::*;

    fn drawn(text: &str) -> String {
        printable(text).collect()
    }

    #[test]
    fn tables_have_a_letter_for_every_code_of_their_range() {
        assert_eq!(EXTENDED_A.len(), 0x80);
        assert_eq!(WELSH.len(), 6);
        assert_eq!(VIETNAMESE.len(), 0x1EF9 - 0x1EA0 + 1);
    }

    #[test]
    fn western_letters_stay() {
        let text = "Gehäuse für Öse, Fuß 1½° é ñ ÿ µ ± · ≈ … ≠";
        assert_eq!(drawn(text), text);
    }

    #[test]
    fn other_latin_letters_become_their_nearest() {
        assert_eq!(drawn("łódź Őrség Žižkov İğdır ţară Şişli"), "lódz Orség Zizkov Igdir tara Sisli");
        assert_eq!(drawn("Đặng Việt Ŵŷ ẂẅȘț"), "Dang Viet Wy WwSt");
        assert_eq!(drawn("œuvre Ĳssel ẞ ﬁx 3€"), "oeuvre IJssel SS fix 3EUR");
        assert_eq!(drawn("Kĸ Ŀl ŉ Ŋŋ ſ"), "Kk Ll n Nn s");
    }

    #[test]
    fn accents_that_stand_apart_are_put_together() {
        assert_eq!(drawn("Geha\u{308}use Fu\u{308}\u{DF}e cafe\u{301}"), "Gehäuse Füße café");
        assert_eq!(drawn("s\u{30C}"), "s");
    }

    #[test]
    fn other_scripts_and_controls_are_question_marks() {
        assert_eq!(drawn("Ж日δ🙂\u{7}\u{9F}"), "??????");
    }

    #[test]
    fn typists_signs_become_plain_ones() {
        assert_eq!(drawn("„a“ ’b’ – — •\u{A0}c\u{200B}\u{FEFF}\tμ"), "\"a\" 'b' - - ·\u{A0}c µ");
    }
}
