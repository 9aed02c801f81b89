//! Words in unusual forms, comments, checks, names and stray characters.

use crate::limits::LINE_BYTES;

use super::marks::{Checksum, Odd};
use super::number;
use super::word::{Code, Words, bit};

/// M words whose line goes on as free text: a message, a file's name, the name or version of a machine (common
/// practice, no source).
pub(super) const fn takes_text(code: Code) -> bool {
    matches!(
        code,
        160 | 230 | 280 | 300 | 320 | 330 | 360 | 380 | 1150 | 1170 | 1180 | 4710 | 4720 | 8621..=8626 | 9280
    )
}

/// The word that labels objects. Its first letter says what its line is for, and what follows may be a name.
const LABEL: Code = 4860;

/// A G, M or N word.
fn code_word(bytes: &[u8], next: usize, letter: u8, micro: i64, words: &mut Words) -> usize {
    if letter == b'n' { next } else { code_from(bytes, next, letter, micro, words) }
}

/// A G or M word from its value.
fn code_from(bytes: &[u8], next: usize, letter: u8, micro: i64, words: &mut Words) -> usize {
    let code = if micro < 0 || micro % 100_000 != 0 { None } else { Code::try_from(micro / 100_000).ok() };
    let Some(code) = code else {
        // A command all the same, only nobody knows which.
        words.bare |= bit(letter);
        words.malformed();
        return next;
    };
    words.code(letter, code);
    if letter == b'm' && code == LABEL {
        let first = bytes.get(next..).and_then(|rest| rest.iter().find(|byte| !matches!(byte, b' ' | b'\t')));
        if let Some(letter) = first.filter(|byte| byte.is_ascii_alphabetic()) {
            words.bare |= bit(*letter);
        }
        return text(bytes, next, words);
    }
    if letter == b'm' && takes_text(code) {
        return text(bytes, next, words);
    }
    next
}

/// Leaps over free text to the comment or line end. What stands in brackets is a comment, no text.
fn text(bytes: &[u8], from: usize, words: &mut Words) -> usize {
    let mut at = from;
    let mut aside = false;
    while let Some(&byte) = bytes.get(at) {
        match byte {
            b'\n' | b'\r' | b';' => break,
            b'*' if words.marks().identifier.is_none() => break,
            b' ' | b'\t' => {}
            _ if is_control(byte) || byte == 0xFF || is_separator(bytes, at, byte) => break,
            b'(' => aside = true,
            b')' => aside = false,
            _ => {
                words.has_text |= !aside;
                words.asks_host |= byte == b'/' && at > from && bytes.get(at - 1) == Some(&b'/');
            }
        }
        at += 1;
    }
    at
}

/// A word that takes text and has a blank behind its number: digits after the blank are text, no part of the number.
fn text_word(bytes: &[u8], from: usize) -> Option<(Code, usize)> {
    let mut next = from;
    while let Some(b' ' | b'\t') = bytes.get(next) {
        next += 1;
    }
    let mut number: Code = 0;
    while let Some(digit @ b'0'..=b'9') = bytes.get(next) {
        number = number.saturating_mul(10).saturating_add(Code::from(digit - b'0'));
        next += 1;
    }
    let code = number.saturating_mul(10);
    (takes_text(code) && matches!(bytes.get(next), Some(b' ' | b'\t'))).then_some((code, next))
}

/// A word with anything unusual in its number: blanks inside, many digits, a plus, no digit; and M and N words.
#[inline(never)]
pub(super) fn slow_word(bytes: &[u8], at: usize, letter: u8, words: &mut Words) -> usize {
    if letter == b'm'
        && let Some((code, next)) = text_word(bytes, at + 1)
    {
        words.code(letter, code);
        return text(bytes, next, words);
    }
    // A number ends at the line end, which `read` takes for no part of it.
    match number::read(bytes, at + 1) {
        Some(number) => {
            let ends = !matches!(bytes.get(number.next), Some(b'.' | b'+' | b'-'));
            if !ends {
                words.bare |= bit(letter);
                return stray(bytes, number.next, words);
            }
            if is_exponent(bytes, at, number.next) {
                words.bare |= bit(letter);
                return exponent(bytes, number.next, words);
            }
            if number.rounded {
                let marks = words.mark();
                marks.rounded = marks.rounded.saturating_add(1);
            }
            if matches!(letter, b'g' | b'm' | b'n') {
                return code_word(bytes, number.next, letter, number.micro, words);
            }
            words.set(letter, number.micro);
            number.next
        }
        None => {
            let mut next = at + 1;
            while let Some(b' ' | b'\t') = bytes.get(next) {
                next += 1;
            }
            match bytes.get(next) {
                Some(b'0'..=b'9' | b'.' | b'+' | b'-') => {
                    words.bare |= bit(letter);
                    stray(bytes, next, words)
                }
                _ => {
                    words.bare |= bit(letter);
                    next
                }
            }
        }
    }
}

/// Whether an exponent follows the number of the word at `word`, where its next word seems to begin. RS274/NGC knows
/// none, and `X1E5` may be a tight `X1 E5`: an `e` smaller than the word's own letter is no word of its own, nor is one
/// with the sign and the nought that printed exponents have.
pub(super) fn is_exponent(bytes: &[u8], word: usize, at: usize) -> bool {
    let get = |place: usize| bytes.get(place).copied().unwrap_or(b' ');
    let letter = get(at);
    if letter | 0x20 != b'e' || !matches!(get(at.wrapping_sub(1)), b'0'..=b'9' | b'.') {
        return false;
    }
    let signed = matches!(get(at + 1), b'+' | b'-');
    let first = get(at + 1 + usize::from(signed));
    if letter == b'e' && get(word).is_ascii_uppercase() {
        return first.is_ascii_digit();
    }
    signed && first == b'0' && get(at + 3).is_ascii_digit()
}

/// Leaps over an exponent from its letter on.
#[cold]
fn exponent(bytes: &[u8], at: usize, words: &mut Words) -> usize {
    words.mark().doubtful = true;
    stray(bytes, at + 1, words)
}

/// Whether text up to the line end or a `;` could be read as a command: a letter and a digit after it.
#[cold]
fn may_command(text: &[u8]) -> bool {
    let mut letter = false;
    for byte in text {
        match byte {
            b'\n' | b'\r' | b';' => return false,
            b'0'..=b'9' if letter => return true,
            b' ' | b'\t' | b'-' | b'+' | b'.' => {}
            _ => letter = byte.is_ascii_alphabetic(),
        }
    }
    false
}

/// What follows, as far as a line is held: how it is read must not depend on how much of it a block brought.
fn ahead(bytes: &[u8], start: usize, from: usize) -> &[u8] {
    bytes.get(from..bytes.len().min(start + LINE_BYTES)).unwrap_or_default()
}

/// A run of characters that belong to no word: counted once, leapt over.
#[cold]
fn stray(bytes: &[u8], from: usize, words: &mut Words) -> usize {
    words.malformed();
    let mut at = from;
    while let Some(byte) = bytes.get(at) {
        match byte {
            b'0'..=b'9' | b'.' | b'+' | b'-' | b' ' | b'\t' => at += 1,
            _ => break,
        }
    }
    at
}

/// Whether a G or M word begins after a blank. To a controller that looks for one in all of a line, text is a command.
pub(super) const fn begins_code(three: [u8; 3]) -> bool {
    matches!(three, [b' ' | b'\t', b'G' | b'g' | b'M' | b'm', b'0'..=b'9'])
}

/// A line that begins with a name instead of a letter and a number.
#[cold]
pub(super) fn identifier(bytes: &[u8], start: usize, words: &mut Words) -> usize {
    let mut at = start;
    while let Some(byte) = bytes.get(at) {
        if !byte.is_ascii_alphanumeric() && *byte != b'_' {
            break;
        }
        at += 1;
    }
    words.mark().identifier = Some((start as u32, at as u32));
    let end = text(bytes, at, words);
    let said = bytes.get(at..end).unwrap_or_default();
    words.mark().doubtful |=
        said.windows(3).any(|three| three.first_chunk().is_some_and(|three| begins_code(*three)));
    end
}

/// Whatever begins with neither letter nor blank.
pub(super) fn other(
    bytes: &[u8],
    start: usize,
    at: usize,
    byte: u8,
    words: &mut Words,
    odd: &mut impl FnMut(usize, Odd),
) -> usize {
    match byte {
        b';' => {
            words.comment = Some(at as u32);
            comment(bytes, at, b'\n', odd)
        }
        b'(' => {
            let end = comment(bytes, at, b')', odd);
            if bytes.get(end) == Some(&b')') {
                end + 1
            } else {
                words.malformed();
                if may_command(bytes.get(at..end).unwrap_or_default()) {
                    words.any = true;
                    words.mark().doubtful = true;
                }
                end
            }
        }
        b'/' if !words.any => {
            words.any = true;
            words.mark().deleted = true;
            at + 1
        }
        // The mark at a program's begin and end, RS274/NGC 3.1.
        b'%' if !words.any => {
            // To a controller that does not know the mark, what follows it is a line like others.
            if may_command(ahead(bytes, start, at)) {
                words.any = true;
                words.malformed();
                words.mark().doubtful = true;
            }
            comment(bytes, at, b'\n', odd)
        }
        b'*' => checksum(bytes, start, at, words),
        _ => {
            words.any = true;
            // Letters beyond ASCII stand in comments and texts only. In what is cut off a line that is too long nobody
            // knows whether they do.
            if is_control(byte) || is_separator(bytes, at, byte) {
                odd(at, Odd::Control(byte));
            } else if byte == 0xFF || (byte > 0x7F && at - start < LINE_BYTES) {
                odd(at, Odd::Other(byte));
            }
            if at == start || !is_stray(bytes.get(at - 1)) {
                words.malformed();
            }
            at + 1
        }
    }
}

/// Whether the byte before was already counted as stray.
fn is_stray(byte: Option<&u8>) -> bool {
    byte.is_some_and(|b| {
        !b.is_ascii_alphanumeric() && !matches!(b, b' ' | b'\t' | b'\r' | b'\n' | b')' | b'/' | b'.')
    })
}

/// Leaps over a comment up to `until` or the line end, whichever comes first.
fn comment(bytes: &[u8], from: usize, until: u8, odd: &mut impl FnMut(usize, Odd)) -> usize {
    let mut at = from;
    while let Some(&byte) = bytes.get(at) {
        if byte == until {
            break;
        }
        if byte.wrapping_sub(b' ') >= 0x7F - b' ' {
            if matches!(byte, b'\n' | b'\r') {
                break;
            }
            if let Some(found) = odd_in_text(bytes, at, byte) {
                odd(at, found);
            }
        }
        at += 1;
    }
    at
}

/// What no text holds, not even a comment in UTF-8, at a place of the bytes.
pub(super) fn odd_in_text(bytes: &[u8], at: usize, byte: u8) -> Option<Odd> {
    if is_control(byte) || is_separator(bytes, at, byte) {
        Some(Odd::Control(byte))
    } else if byte == 0xFF {
        Some(Odd::Other(byte))
    } else {
        None
    }
}

/// Whether it is a control character other than tab and line ends. Some controller ends a line, a string or a file at
/// each of them, or acts on it before it looks at lines at all; a text editor writes none.
const fn is_control(byte: u8) -> bool {
    (byte < 0x20 && byte != b'\t' && byte != b'\r' && byte != b'\n') || byte == 0x7F
}

/// Whether a line end of Unicode's stands here, at which a program on the way to the machine may part the text: next line
/// (in UTF-8, or alone as in ISO 8859), line and paragraph separator.
fn is_separator(bytes: &[u8], at: usize, byte: u8) -> bool {
    let before = |back: usize| at.checked_sub(back).and_then(|at| bytes.get(at)).copied().unwrap_or(b' ');
    match byte {
        0x85 => before(1) == 0xC2 || before(1) < 0x80,
        0xA8 | 0xA9 => [before(2), before(1)] == [0xE2, 0x80],
        _ => false,
    }
}

/// `*NN`: the XOR of all bytes before the star.
fn checksum(bytes: &[u8], start: usize, at: usize, words: &mut Words) -> usize {
    let before = bytes.get(start..at).unwrap_or_default();
    let sum = before.iter().fold(words.dropped, |sum, byte| sum ^ byte);
    let stated = number::read(bytes, at + 1);
    words.mark().checksum = match stated {
        Some(number) if number.micro == i64::from(sum) * number::MICRO => Checksum::Right,
        _ => Checksum::Wrong,
    };
    let next = stated.map_or(at + 1, |number| number.next);
    // Controllers cut the line off at the star.
    if may_command(ahead(bytes, start, next)) {
        words.any = true;
        words.malformed();
        words.mark().doubtful = true;
    }
    next
}
