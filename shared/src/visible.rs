//! The one filter for texts from outside: names of files and folders, texts of headers and records, values of comments.
//!
//! It is applied where such a text enters, so nothing after that can forget it. What it takes out could end a line,
//! move a terminal's cursor, turn the writing round or hide in a name. A file is opened by its place, so its real name
//! is not lost.

/// The byte-order mark in UTF-8, which some text editors write before a text.
pub(crate) const BYTE_ORDER_MARK: &[u8] = b"\xEF\xBB\xBF";

/// What is shown for a character that is not.
const HIDDEN: char = char::REPLACEMENT_CHARACTER;

/// Whether a character is never shown: control characters, line and paragraph separators, and what Unicode 16 calls
/// format characters, as far as they change direction, join, hide or mark (UAX #9, UTS #39).
#[must_use]
pub const fn is_hidden(letter: char) -> bool {
    match letter {
        // Nearly every letter is one of these.
        ' '..='~' => false,
        // C0; DEL and C1.
        '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' => true,
        // Soft hyphen, Arabic letter mark, Mongolian vowel separator.
        '\u{ad}' | '\u{61c}' | '\u{180e}' => true,
        // Zero-width spaces and joiners, direction marks.
        '\u{200b}'..='\u{200f}' => true,
        // Separators, embeddings and overrides of direction.
        '\u{2028}'..='\u{202e}' => true,
        // Word joiner, invisible operators, isolates, old shaping controls.
        '\u{2060}'..='\u{206f}' => true,
        // Byte-order mark, marks of annotations.
        '\u{feff}' | '\u{fff9}'..='\u{fffb}' => true,
        // Tags, and variation selectors of the supplement.
        '\u{e0000}'..='\u{e0fff}' => true,
        _ => false,
    }
}

/// A character as it is shown: itself, or U+FFFD for one that is never shown.
///
/// ```
/// use holdpoint_shared::visible::visible;
/// assert_eq!("a\nCLEAR \u{202e}ß".chars().map(visible).collect::<String>(), "a\u{fffd}CLEAR \u{fffd}ß");
/// ```
#[must_use]
pub const fn visible(letter: char) -> char {
    if is_hidden(letter) { HIDDEN } else { letter }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hidden_are_these_and_no_others() {
        // Ends of each range, and their neighbours.
        for (first, last) in [
            (0_u32, 0x1F),
            (0x7F, 0x9F),
            (0xAD, 0xAD),
            (0x61C, 0x61C),
            (0x180E, 0x180E),
            (0x200B, 0x200F),
            (0x2028, 0x202E),
            (0x2060, 0x206F),
            (0xFEFF, 0xFEFF),
            (0xFFF9, 0xFFFB),
            (0xE_0000, 0xE_0FFF),
        ] {
            let hidden = |code: u32| char::from_u32(code).map(is_hidden);
            assert!((first..=last).all(|code| hidden(code) == Some(true)), "{first:x}");
            assert_ne!(hidden(first.wrapping_sub(1)), Some(true), "before {first:x}");
            assert_ne!(hidden(last + 1), Some(true), "after {last:x}");
        }
    }

    #[test]
    fn every_control_character_of_the_standard_library_is_hidden_and_no_letter_is() {
        for letter in (0..=0x10_FFFF).filter_map(char::from_u32) {
            assert!(!letter.is_control() || is_hidden(letter), "{letter:?}");
            assert!(!letter.is_alphanumeric() || !is_hidden(letter), "{letter:?}");
        }
    }
}
