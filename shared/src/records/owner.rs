//! Who is responsible, without a name.

/// The code of an owner or a room lead: two to four letters or digits, kept in capitals.
///
/// Stored as one number below 37 to the fourth, so that it takes three bytes where it is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[serde(into = "u32", try_from = "u32")]
pub struct OwnerCode([u8; 4]);

/// A number that is no code's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoCode;

impl core::fmt::Display for NoCode {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("not a code")
    }
}

/// 26 letters, ten digits, and none.
const SIGNS: u32 = 37;

impl From<OwnerCode> for u32 {
    fn from(code: OwnerCode) -> Self {
        code.0.iter().fold(0, |number, &byte| {
            let sign = match byte {
                b'A'..=b'Z' => byte - b'A' + 1,
                b'0'..=b'9' => byte - b'0' + 27,
                _ => 0,
            };
            number * SIGNS + Self::from(sign)
        })
    }
}

impl TryFrom<u32> for OwnerCode {
    type Error = NoCode;

    fn try_from(mut number: u32) -> Result<Self, NoCode> {
        let mut code = [0; 4];
        for place in code.iter_mut().rev() {
            // Below 37.
            *place = match (number % SIGNS) as u8 {
                0 => 0,
                letter @ 1..=26 => b'A' + letter - 1,
                digit => b'0' + digit - 27,
            };
            number /= SIGNS;
        }
        let end = code.iter().position(|byte| *byte == 0).unwrap_or(code.len());
        let (text, rest) = code.split_at_checked(end).ok_or(NoCode)?;
        let text = core::str::from_utf8(text).map_err(|_| NoCode)?;
        let whole = number == 0 && rest.iter().all(|byte| *byte == 0);
        Self::new(text).filter(|_| whole).ok_or(NoCode)
    }
}

impl OwnerCode {
    /// The code, if it is one. Anything longer may be a name, and is refused.
    #[must_use]
    pub fn new(text: &str) -> Option<Self> {
        if text.len() < 2 {
            return None;
        }
        let mut code = [0; 4];
        for (at, byte) in text.bytes().enumerate() {
            if !byte.is_ascii_alphanumeric() {
                return None;
            }
            *code.get_mut(at)? = byte.to_ascii_uppercase();
        }
        Some(Self(code))
    }

    /// Its characters.
    #[must_use]
    pub fn as_str(&self) -> &str {
        let end = self.0.iter().position(|byte| *byte == 0).unwrap_or(self.0.len());
        // Letters and digits of ASCII, by `new`.
        self.0.get(..end).and_then(|code| core::str::from_utf8(code).ok()).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_kept_as_a_number_and_no_other_number_is_one() {
        // By hand: K is 11 and 7 is 34; (11 * 37 + 34) * 37 * 37.
        let k7 = OwnerCode::new("K7").unwrap();
        assert_eq!(u32::from(k7), (11 * 37 + 34) * 1369);
        for text in ["K7", "00", "A1B", "WXYZ", "9999", "AA"] {
            let code = OwnerCode::new(text).unwrap();
            assert_eq!(OwnerCode::try_from(u32::from(code)), Ok(code));
        }
        // One sign; a gap; more than four signs.
        for wrong in [0, 11 * 50_653, (11 * 37) * 1369 + 5, 37_u32.pow(4), u32::MAX] {
            assert_eq!(OwnerCode::try_from(wrong), Err(NoCode), "{wrong}");
        }
    }

    #[test]
    fn codes_are_two_to_four_letters_or_digits() {
        for (text, code) in [("K7", "K7"), ("abcd", "ABCD"), ("Zoe", "ZOE")] {
            assert_eq!(OwnerCode::new(text).unwrap().as_str(), code);
        }
        for wrong in ["", "K", "KARLA", "K 7", "Jü", "=1", "K\0"] {
            assert_eq!(OwnerCode::new(wrong), None, "{wrong:?}");
        }
    }
}
