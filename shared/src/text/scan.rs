//! line → words, in one pass over its bytes.

use super::marks::Odd;
use super::number;
use super::unusual::{identifier, is_exponent, other, slow_word};
use super::word::{Code, Words};

/// Reads the words of the line that begins at `start`, up to its line end or the end of `bytes`, and gives the
/// place after the line end: LF, CR, or both. Bytes that no text holds are handed to `odd` with their place, in order.
///
/// Usual words are read here in one go; `slow_word` and `other` read the rest.
#[inline]
pub fn scan(bytes: &[u8], start: usize, words: &mut Words, odd: &mut impl FnMut(usize, Odd)) -> usize {
    scan_by::<true>(bytes, start, words, odd)
}

/// [`scan`], where the host can with words of eight bytes at a time or without.
#[inline(always)]
pub(super) fn scan_by<const SWAR: bool>(
    bytes: &[u8],
    start: usize,
    words: &mut Words,
    odd: &mut impl FnMut(usize, Odd),
) -> usize {
    words.clear();
    let mut at = start;
    loop {
        let byte = bytes.get(at).copied().unwrap_or(END);
        let letter = byte | 0x20;
        if letter.wrapping_sub(b'a') < 26 {
            #[cfg(target_pointer_width = "64")]
            if SWAR {
                let next = super::swar::words(bytes, at, words);
                if next != at {
                    at = next;
                    // Nearly always the line's end.
                    if bytes.get(at) == Some(&b'\n') {
                        words.end = at as u32;
                        return at + 1;
                    }
                    continue;
                }
            }
            at = word(bytes, at, letter, words);
        } else if byte == b' ' {
            at += 1;
        } else {
            match byte {
                b'\n' if at < bytes.len() => {
                    words.end = at as u32;
                    return at + 1;
                }
                b'\n' => {
                    words.end = at as u32;
                    return at;
                }
                b'\r' => {
                    words.end = at as u32;
                    return at + if bytes.get(at + 1) == Some(&b'\n') { 2 } else { 1 };
                }
                b'\t' => at += 1,
                _ => at = other(bytes, start, at, byte, words, odd),
            }
        }
    }
}

/// The byte after the last one.
const END: u8 = b'\n';

/// One word from its letter on; gives the place after it.
#[inline(always)]
fn word(bytes: &[u8], at: usize, letter: u8, words: &mut Words) -> usize {
    let get = |place: usize| bytes.get(place).copied().unwrap_or(END);
    let mut next = at + 1;
    let mut byte = get(next);
    if !words.any {
        words.any = true;
        if byte.is_ascii_alphabetic() || byte == b'_' {
            return identifier(bytes, at, words);
        }
    }
    if letter == b'g' {
        // Nearly always one digit and a blank.
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 && get(next + 1) == b' ' {
            return match get(next + 2) | 0x20 {
                b'a'..=b'z' => {
                    words.g_code(Code::from(digit) * 10);
                    next + 2
                }
                _ => slow_word(bytes, at, letter, words),
            };
        }
        return slow_word(bytes, at, letter, words);
    }
    let negative = byte == b'-';
    if negative {
        next += 1;
        byte = get(next);
    }
    let from = next;
    let mut whole = 0_u32;
    let mut digit = byte.wrapping_sub(b'0');
    while digit < 10 {
        whole = whole.wrapping_mul(10).wrapping_add(u32::from(digit));
        next += 1;
        digit = get(next).wrapping_sub(b'0');
    }
    let mut digits = next - from;
    let mut decimals = 0;
    let mut part = 0_u32;
    if digits > 9 {
        return slow_word(bytes, at, letter, words);
    }
    if digit == b'.'.wrapping_sub(b'0') {
        next += 1;
        let point = next;
        digit = get(next).wrapping_sub(b'0');
        while digit < 10 {
            part = part.wrapping_mul(10).wrapping_add(u32::from(digit));
            next += 1;
            digit = get(next).wrapping_sub(b'0');
        }
        decimals = next - point;
        digits += decimals;
    }
    // What may follow a number in one piece: a blank and a letter, or the line end.
    byte = digit.wrapping_add(b'0');
    if byte == b' ' {
        next += 1;
        byte = get(next);
    } else if byte | 0x20 == b'e' && is_exponent(bytes, at, next) {
        return slow_word(bytes, at, letter, words);
    }
    let ends = (byte | 0x20).wrapping_sub(b'a') < 26 || matches!(byte, b'\n' | b'\r' | b';');
    if !ends || digits == 0 || decimals > 6 || matches!(letter, b'm' | b'n') {
        return slow_word(bytes, at, letter, words);
    }
    let micro = number::scale(whole, part, decimals);
    words.set(letter, if negative { -micro } else { micro });
    next
}

#[cfg(test)]
mod tests {
    use super::super::marks::{Checksum, Marks};
    use super::super::word::bit;
    use super::*;
    use std::string::String;
    use std::vec::Vec;

    /// The words as text, letters in order: `g10 x100000 ...`.
    fn words(line: &str) -> String {
        let mut words = Words::default();
        scan(line.as_bytes(), 0, &mut words, &mut |_, _| {});
        let mut out = Vec::new();
        out.extend(words.g().iter().map(|g| std::format!("g{g}")));
        out.extend(words.m().iter().map(|m| std::format!("m{m}")));
        for letter in b'a'..=b'z' {
            if let Some(value) = words.get(letter) {
                out.push(std::format!("{}{value}", letter as char));
            }
            if words.bare & bit(letter) != 0 {
                out.push(std::format!("{}?", letter as char));
            }
        }
        let Marks { malformed, .. } = *words.marks();
        if malformed > 0 {
            out.push(std::format!("bad{malformed}"));
        }
        out.join(" ")
    }

    #[test]
    fn blanks_and_case_change_nothing() {
        // The example of RS274/NGC 3.3.
        assert_eq!(words("g0x +0. 12 34y 7"), words("g0 x+0.1234 y7"));
        assert_eq!(words("g0x +0. 12 34y 7"), "g0 x123400 y7000000");
        assert_eq!(words("G\t1 X - 2 . 5"), "g10 x-2500000");
    }

    #[test]
    fn forms_of_lines() {
        assert_eq!(words("N00012 G38.2 Z-1 (probe) F100 ; down"), "g382 f100000000 z-1000000");
        assert_eq!(words("G28 X Y"), "g280 x? y?");
        assert_eq!(words("M117 X1 Y2 hello"), "m1170");
        assert_eq!(words("G1 X1.2.3 Y4"), "g10 x? y4000000 bad1");
        assert_eq!(words("G1 X-- Y4"), "g10 x? y4000000 bad1");
        assert_eq!(words("G1 X$$ Y4"), "g10 x? y4000000 bad1");
        assert_eq!(words("(open"), "bad1");
        assert_eq!(words("% mark"), "");
        assert_eq!(words("G1 X12345678901"), "g10 x? bad1");
        assert_eq!(words("G1 X0.123456789"), "g10 x123457");
    }

    #[test]
    fn checksums() {
        // Computed by XOR over the bytes before the star, as the trade's convention has it.
        for line in [
            "N3 T0*57",
            "N4 G92 E0*67",
            "N5 G28*22",
            "N6 G1 F1500.0*82",
            "N7 G1 X2.0 Y2.0 F3000.0*85",
            "N0 M105*39",
            "N10 G1 X100 Y50 E5 F1800*19",
            "N0 M110 N0*125",
        ] {
            let mut words = Words::default();
            scan(line.as_bytes(), 0, &mut words, &mut |_, _| {});
            assert_eq!(words.marks().checksum, Checksum::Right, "{line}");
            let broken = line.replace('*', " *");
            scan(broken.as_bytes(), 0, &mut words, &mut |_, _| {});
            assert_eq!(words.marks().checksum, Checksum::Wrong, "{broken}");
        }
    }

    #[test]
    fn names_at_the_line_start() {
        let mut words = Words::default();
        scan(b"  DO_IT NOW=1", 0, &mut words, &mut |_, _| {});
        assert_eq!(words.marks().identifier, Some((2, 7)));
        assert_eq!((words.present, words.marks().malformed), (0, 0));
    }
}
