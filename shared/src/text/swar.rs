//! Usual words eight bytes at a time, on hosts whose registers hold eight.
//!
//! There a digit at a time costs more than all that is done with the number; a board of 32 bits gains nothing by it.
//! What is not usual, or stands in the last bytes of a block, is left to the scanner of single bytes.

use super::number::{MICRO, POWERS};
use super::unusual::is_exponent;
use super::word::{Code, Words, bit};

/// Of each byte the bit of the letter that it is, none where it is no letter or its words are no plain numbers.
static BITS: [u32; 256] = bits();

#[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
const fn bits() -> [u32; 256] {
    let mut bits = [0; 256];
    let mut letter = b'a';
    while letter <= b'z' {
        if !matches!(letter, b'g' | b'm' | b'n') {
            bits[letter as usize] = bit(letter);
            bits[(letter ^ 0x20) as usize] = bit(letter);
        }
        letter += 1;
    }
    bits
}

/// See [`BITS`].
#[inline(always)]
#[expect(clippy::indexing_slicing, reason = "there is a place for every byte")]
const fn usual(letter: u8) -> u32 {
    BITS[letter as usize]
}

/// A byte in every place.
const fn each(byte: u8) -> u64 {
    u64::from_le_bytes([byte; 8])
}

/// Takes words from the letter at `at` on, as long as they are usual ones; gives the place of the first byte that
/// belongs to none of them. What the words then hold is what the scanner of single bytes would have put there.
#[inline(always)]
pub(super) fn words(bytes: &[u8], at: usize, words: &mut Words) -> usize {
    let mut at = at;
    let Some(&(mut letter)) = bytes.get(at) else { return at };
    let mut bit = usual(letter);
    if letter | 0x20 == b'g' {
        // One digit, a blank, a letter: the digit is looked at alone, the rest in one comparison.
        let Some(four) = bytes.get(at..).and_then(<[u8]>::first_chunk) else { return at };
        let four = u32::from_le_bytes(*four);
        let digit = (four >> 8) as u8 & 0x0F;
        let next = (four >> 24) as u8;
        bit = usual(next);
        if four & 0x00FF_F0DF != u32::from_le_bytes(*b"G0 \0") || digit > 9 || bit == 0 {
            return at;
        }
        words.any = true;
        words.g_code(Code::from(digit) * 10);
        letter = next;
        at += 3;
    }
    // Kept aside: the values that are put in between might be where it stands, as far as the compiler can see.
    let mut present = words.present;
    let begun = at;
    while bit != 0 {
        let Some((micro, end, next)) = number(bytes, at + 1) else { break };
        let then = usual(next);
        if then == 0 && !(matches!(next, b'\n' | b'\r' | b';') || is_letter(next)) {
            break;
        }
        if next | 0x20 == b'e' && is_exponent(bytes, at, end) {
            break;
        }
        if present & bit != 0 {
            words.repeated();
        }
        present |= bit;
        words.put(letter, micro);
        (at, letter, bit) = (end, next, then);
    }
    words.present = present;
    words.any |= at != begun;
    at
}

/// In one comparison.
#[inline(always)]
const fn is_letter(byte: u8) -> bool {
    (byte | 0x20).wrapping_sub(b'a') < 26
}

/// A usual number: perhaps a minus, at most seven digits and perhaps a point and at most six digits, and then perhaps a
/// blank. Gives its value in 10⁻⁶, the place after it and what stands there.
#[inline(always)]
fn number(bytes: &[u8], from: usize) -> Option<(i64, usize, u8)> {
    let mut from = from;
    let mut text = load(bytes, from)?;
    let negative = text as u8 == b'-';
    if negative {
        from += 1;
        text = load(bytes, from)?;
    }
    let (digits, others) = parted(text);
    let (whole, before) = run(others)?;
    let mut next = from + (whole / 8) as usize;
    let mut end = (text >> whole) as u8;
    let micro = if end == b'.' {
        if let Some((all, _)) = run(others & (others - 1)) {
            // All of it is here: the point goes, what follows it moves up.
            next = from + (all / 8) as usize;
            end = (text >> all) as u8;
            let count = all - 8;
            let decimals = (count - whole) / 8;
            let power = POWERS.get(decimals as usize & 7).copied().unwrap_or(1);
            let above = digits >> 8;
            first(above ^ ((above ^ digits) & before), count)? * u64::from(power)
        } else {
            let text = load(bytes, next + 1)?;
            let (decimals, others) = parted(text);
            let (count, behind) = run(others)?;
            if count > 6 * 8 {
                return None;
            }
            next += 1 + (count / 8) as usize;
            end = (text >> count) as u8;
            // Behind two noughts, and with noughts for those that are not there, six decimals are millionths.
            first(digits, whole)? * MICRO as u64 + value((decimals & behind) << 16)
        }
    } else {
        first(digits, whole)? * MICRO as u64
    };
    if end == b' ' {
        next += 1;
        end = *bytes.get(next)?;
    }
    let micro = micro as i64;
    Some((if negative { -micro } else { micro }, next, end))
}

/// Eight bytes from a place on, the first one lowest.
#[inline(always)]
fn load(bytes: &[u8], at: usize) -> Option<u64> {
    let (eight, _) = bytes.get(at..)?.split_first_chunk()?;
    Some(u64::from_le_bytes(*eight))
}

/// Digits as their values, and the upper bit of each byte that is none, up to the first that is not of ASCII.
#[inline(always)]
const fn parted(text: u64) -> (u64, u64) {
    let off = text ^ each(b'0');
    // From ten on seven bits reach the eighth. A byte that no ASCII text has may carry into the one behind it, where it
    // does no harm: no number goes on behind such a byte.
    let others = (off.wrapping_add(each(0x80 - 10)) | off) & each(0x80);
    (off, others)
}

/// Bits of the digits that come first: how many, and all of them. `None` = nothing else comes.
#[inline(always)]
const fn run(others: u64) -> Option<(u32, u64)> {
    if others == 0 { None } else { Some((others.trailing_zeros() & !7, (others ^ (others - 1)) >> 8)) }
}

/// The number that the first digits are, so many bits of eight. `None` = there are none.
#[inline(always)]
const fn first(digits: u64, bits: u32) -> Option<u64> {
    if bits == 0 { None } else { Some(value(digits << (bits.wrapping_neg() & 63))) }
}

/// The number that eight digits are, the first one lowest: pairs, fours and all by a multiplication each.
#[inline(always)]
const fn value(digits: u64) -> u64 {
    // In each lane the left half ten (a hundred, ten thousand) times and the right one once.
    let pairs = digits.wrapping_mul((10 << 8) + 1) >> 8 & 0x00FF_00FF_00FF_00FF;
    let fours = pairs.wrapping_mul((100 << 16) + 1) >> 16 & 0x0000_FFFF_0000_FFFF;
    fours.wrapping_mul((10_000 << 32) + 1) >> 32
}

#[cfg(test)]
mod tests {
    use super::super::scan::scan_by;
    use super::*;
    use proptest::prelude::*;
    use std::string::String;
    use std::vec::Vec;

    /// All that a line's words hold, with the bytes that no text has, as text.
    fn scanned<const SWAR: bool>(bytes: &[u8]) -> String {
        let (mut words, mut odd, mut out, mut at) = (Words::default(), Vec::new(), String::new(), 0);
        while at < bytes.len() {
            at = scan_by::<SWAR>(bytes, at, &mut words, &mut |place, byte| odd.push((place, byte)));
            out += &std::format!("{words:?} {odd:?} {at}\n");
        }
        out
    }

    #[track_caller]
    fn alike(bytes: &[u8]) {
        assert_eq!(scanned::<true>(bytes), scanned::<false>(bytes), "{}", bytes.escape_ascii());
    }

    #[test]
    fn every_length_of_number() {
        for whole in 0..12 {
            for decimals in 0..10 {
                for [sign, point, end] in
                    [["", ".", " Y1"], ["-", ".", "\n"], ["", "", ";"], ["+", ".", "Y-2"]]
                {
                    let digits = "98765432101234567890123";
                    let number =
                        std::format!("{}{point}{}", &digits[..whole], &digits[whole..whole + decimals]);
                    alike(std::format!("G1 X{sign}{number}{end}\nG1 X1 Y2 Z3").as_bytes());
                }
            }
        }
    }

    #[test]
    fn known_values() {
        let mut words = Words::default();
        let line = b"G1 X-12.5 Y.25 Z1234567.123456 E132641.95163 F9000\n         ";
        assert_eq!(super::words(line, 0, &mut words), line.len() - 10);
        assert_eq!(words.g(), [10]);
        let values = [b'X', b'Y', b'Z', b'E', b'F'].map(|letter| words.get(letter));
        let wanted = [-12_500_000, 250_000, 1_234_567_123_456, 132_641_951_630, 9_000_000_000];
        assert_eq!(values, wanted.map(Some));
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 4_000, ..ProptestConfig::default() })]

        #[test]
        fn as_byte_by_byte(parts in proptest::collection::vec(
            "[GgMNnXYZEFxe]|[0-9]{0,9}|[.]|[-+]| |\t|\r|\n|;|[*/(%_)]|X[0-9]{1,4}[.][0-9]{0,7} ?|E-?[0-9]{1,9}|G[0-9] |[eE][-+]?0[0-9]", 0..40,
        )) {
            alike(parts.concat().as_bytes());
        }

        #[test]
        fn as_byte_by_byte_on_any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..60)) {
            alike(&bytes);
        }
    }
}
