//! JSON strings into strings of fixed capacity, and back.

use core::fmt;

use heapless::string::StringView;

use crate::visible::visible;

/// Writes the text without its escapes, as it is shown.
///
/// Ours, because the library's unescaping refuses surrogate pairs (`\ud83d\ude00`), as many JSON writers make them
/// for letters outside the basic plane.
///
/// # Errors
/// When an escape is not one, or the text is longer than the target. What is shown for a hidden character may take more
/// bytes than it: a text that then no longer fits is cut.
#[inline(never)]
pub(super) fn unescape(raw: &str, to: &mut StringView) -> fmt::Result {
    let mut letters = raw.chars();
    let (mut bytes, mut whole) = (0_usize, true);
    let mut push = |letter: char| {
        bytes = bytes.saturating_add(letter.len_utf8());
        whole = whole && to.push(visible(letter)).is_ok();
        if bytes <= to.capacity() { Ok(()) } else { Err(fmt::Error) }
    };
    while let Some(letter) = letters.next() {
        if letter != '\\' {
            push(letter)?;
            continue;
        }
        let plain = match letters.next() {
            Some('b') => '\u{8}',
            Some('f') => '\u{c}',
            Some('n') => '\n',
            Some('r') => '\r',
            Some('t') => '\t',
            Some(same @ ('"' | '\\' | '/')) => same,
            Some('u') => {
                let unit = unit(&mut letters)?;
                if (0xD800..0xDC00).contains(&unit) {
                    if letters.next() != Some('\\') || letters.next() != Some('u') {
                        return Err(fmt::Error);
                    }
                    let low = self::unit(&mut letters)?;
                    if !(0xDC00..0xE000).contains(&low) {
                        return Err(fmt::Error);
                    }
                    // RFC 8259, section 7: UTF-16 surrogate pair.
                    let code = 0x1_0000 + ((unit - 0xD800) << 10) + (low - 0xDC00);
                    char::from_u32(code).ok_or(fmt::Error)?
                } else {
                    char::from_u32(unit).ok_or(fmt::Error)?
                }
            }
            _ => return Err(fmt::Error),
        };
        push(plain)?;
    }
    Ok(())
}

/// Four hexadecimal digits.
fn unit(letters: &mut core::str::Chars<'_>) -> Result<u32, fmt::Error> {
    let mut unit = 0;
    for _ in 0..4 {
        unit = unit * 16 + letters.next().and_then(|digit| digit.to_digit(16)).ok_or(fmt::Error)?;
    }
    Ok(unit)
}

/// Writes the text as a JSON string, quotes and all.
pub(crate) fn write_escaped(text: &str, to: &mut dyn fmt::Write) -> fmt::Result {
    to.write_char('"')?;
    for letter in text.chars() {
        match letter {
            '"' => to.write_str("\\\"")?,
            '\\' => to.write_str("\\\\")?,
            // Control letters must be escaped (RFC 8259, section 7). DEL and the line separators need not, but a
            // comment line must stay one line for every reader.
            '\0'..='\u{1f}' | '\u{7f}' | '\u{85}' | '\u{2028}' | '\u{2029}' => {
                write!(to, "\\u{:04x}", u32::from(letter))?;
            }
            _ => to.write_char(letter)?,
        }
    }
    to.write_char('"')
}
