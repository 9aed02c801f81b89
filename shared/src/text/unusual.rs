//! Words in unusual forms, comments, checks, names and stray characters.

use super::line::HELD_BYTES;
use super::marks::Checksum;
use super::number;
use super::word::{Code, Words, bit};

/// M words whose line goes on as free text: a message, a file's name, the name or version of a machine (common
/// practice, no source).
const fn takes_text(code: Code) -> bool {
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
    if micro < 0 || micro % 100_000 != 0 {
        words.malformed();
        return next;
    }
    let Ok(code) = Code::try_from(micro / 100_000) else {
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
            b'\n' | b';' => break,
            b'*' if words.marks().identifier.is_none() => break,
            b' ' | b'\t' | b'\r' => {}
            _ if is_odd(byte) => break,
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
    if letter == b'm' {
        if let Some((code, next)) = text_word(bytes, at + 1) {
            words.code(letter, code);
            return text(bytes, next, words);
        }
    }
    // A number ends at the line end, which `read` takes for no part of it.
    match number::read(bytes, at + 1) {
        Some(number) => {
            let ends = !matches!(bytes.get(number.next), Some(b'.' | b'+' | b'-'));
            if !ends {
                return stray(bytes, number.next, words);
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
                Some(b'0'..=b'9' | b'.' | b'+' | b'-') => stray(bytes, next, words),
                _ => {
                    words.bare |= bit(letter);
                    next
                }
            }
        }
    }
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
    text(bytes, at, words)
}

/// Whatever begins with neither letter nor blank.
pub(super) fn other(
    bytes: &[u8],
    start: usize,
    at: usize,
    byte: u8,
    words: &mut Words,
    odd: &mut impl FnMut(usize, u8),
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
                end
            }
        }
        b'/' if !words.any => {
            words.any = true;
            words.mark().deleted = true;
            at + 1
        }
        // The mark at a program's begin and end, RS274/NGC 3.1.
        b'%' if !words.any => comment(bytes, at, b'\n', odd),
        b'*' => checksum(bytes, start, at, words),
        _ => {
            words.any = true;
            // Letters beyond ASCII stand in comments and texts only. Behind what is kept of a line that is too long
            // nobody knows whether they do.
            if is_odd(byte) || (byte > 0x7F && at - start < HELD_BYTES) {
                odd(at, byte);
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
fn comment(bytes: &[u8], from: usize, until: u8, odd: &mut impl FnMut(usize, u8)) -> usize {
    let mut at = from;
    while let Some(&byte) = bytes.get(at) {
        if byte == until || byte == b'\n' {
            break;
        }
        if is_odd(byte) {
            odd(at, byte);
        }
        at += 1;
    }
    at
}

/// Whether no text holds the byte, even a comment in UTF-8.
#[inline]
pub(super) const fn is_odd(byte: u8) -> bool {
    (byte < 0x20 && byte != b'\t' && byte != b'\r' && byte != b'\n') || byte == 0x7F || byte == 0xFF
}

/// `*NN`: the XOR of all bytes before the star.
fn checksum(bytes: &[u8], start: usize, at: usize, words: &mut Words) -> usize {
    let sum = bytes.get(start..at).unwrap_or_default().iter().fold(0, |sum, byte| sum ^ byte);
    let stated = number::read(bytes, at + 1);
    words.mark().checksum = match stated {
        Some(number) if number.micro == i64::from(sum) * number::MICRO => Checksum::Right,
        _ => Checksum::Wrong,
    };
    stated.map_or(at + 1, |number| number.next)
}
