//! decimal → fixed point, no float.

/// Units of a word's value: 10⁻⁶ of a millimetre, a degree, a second, or whatever the word counts in.
pub const MICRO: i64 = 1_000_000;

/// Digits before the point that a value may have: with them every sum of two values fits easily.
const WHOLE_DIGITS: u32 = 9;

/// Decimals that are exact.
const DECIMALS: u32 = 6;

/// 10ᵏ for a number with 6 − k decimals.
pub(super) const POWERS: [u32; 8] = [1_000_000, 100_000, 10_000, 1_000, 100, 10, 1, 1];

/// A number's outcome.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Number {
    /// Value in 10⁻⁶.
    pub(super) micro: i64,
    /// First byte after it.
    pub(super) next: usize,
    /// Whether decimals were rounded.
    pub(super) rounded: bool,
}

/// A number from its digits before the point and its `decimals` (at most 6) after it.
#[inline]
pub(super) fn scale(whole: u32, part: u32, decimals: usize) -> i64 {
    let power = POWERS.get(decimals & 7).copied().unwrap_or(1);
    /// The whole part up to which everything fits 32 bits, which a board multiplies at once.
    const NARROW: u32 = u32::MAX / MICRO as u32 - 1;
    if whole <= NARROW {
        return (whole * MICRO as u32 + part.wrapping_mul(power)).into();
    }
    (u64::from(whole) * MICRO as u64 + u64::from(part) * u64::from(power)) as i64
}

/// Reads any number that RS274/NGC 3.3.2.1 allows, blanks and tabs inside it too (3.3), from `at`.
///
/// `None` = no digit, or more than nine digits before the point. Slow and general; the words' scanner takes the
/// usual short forms itself.
pub(super) fn read(line: &[u8], at: usize) -> Option<Number> {
    let mut next = at;
    let mut negative = false;
    let mut micro = 0_i64;
    let (mut signs, mut points, mut whole, mut decimals, mut digits) = (0, 0, 0_u32, 0_u32, 0_u32);
    let mut rounded = false;
    while let Some(byte) = line.get(next) {
        match byte {
            b' ' | b'\t' => {}
            b'+' | b'-' if digits == 0 && points == 0 && signs == 0 => {
                signs = 1;
                negative = *byte == b'-';
            }
            b'.' if points == 0 => points = 1,
            b'0'..=b'9' => {
                digits = digits.saturating_add(1);
                let digit = i64::from(byte - b'0');
                if points == 0 {
                    if whole > 0 || digit > 0 {
                        whole += 1;
                    }
                    if whole > WHOLE_DIGITS {
                        return None;
                    }
                    micro = micro * 10 + digit * MICRO;
                } else {
                    decimals = decimals.saturating_add(1);
                    if decimals <= DECIMALS {
                        micro += digit * i64::from(*POWERS.get(decimals as usize).unwrap_or(&1));
                    } else {
                        // Half away from zero: the first digit too many decides.
                        if decimals == DECIMALS + 1 && digit >= 5 {
                            micro += 1;
                        }
                        rounded |= digit != 0;
                    }
                }
            }
            _ => break,
        }
        next += 1;
    }
    if digits == 0 {
        return None;
    }
    Some(Number { micro: if negative { -micro } else { micro }, next, rounded })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn micro(text: &str) -> Option<i64> {
        read(text.as_bytes(), 0).map(|n| n.micro)
    }

    #[test]
    fn the_forms_of_rs274() {
        // RS274/NGC 3.3.2.1: optional sign, digits, at most one point, at least one digit.
        assert_eq!(micro("1"), Some(1_000_000));
        assert_eq!(micro("-.5"), Some(-500_000));
        assert_eq!(micro("+3."), Some(3_000_000));
        assert_eq!(micro("000009"), Some(9_000_000));
        assert_eq!(micro("+0. 12 34y"), Some(123_400));
        assert_eq!(micro("."), None);
        assert_eq!(micro("-"), None);
        assert_eq!(micro("x"), None);
        assert_eq!(micro("0000000000123"), Some(123_000_000));
        assert_eq!(micro("1234567890"), None);
    }

    #[test]
    fn decimals_beyond_the_millionth_round_half_away() {
        assert_eq!(read(b"0.1234565", 0).map(|n| (n.micro, n.rounded)), Some((123_457, true)));
        assert_eq!(read(b"-0.1234565", 0).map(|n| (n.micro, n.rounded)), Some((-123_457, true)));
        assert_eq!(read(b"0.12345649", 0).map(|n| (n.micro, n.rounded)), Some((123_456, true)));
        assert_eq!(read(b"0.1234560", 0).map(|n| (n.micro, n.rounded)), Some((123_456, false)));
        assert_eq!(read(b"0.99999995", 0).map(|n| n.micro), Some(1_000_000));
    }
}
