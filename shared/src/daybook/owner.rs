//! Who is responsible, without a name.

/// The code of an owner or a room lead: two to four letters or digits, kept in capitals.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct OwnerCode([u8; 4]);

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
    fn codes_are_two_to_four_letters_or_digits() {
        for (text, code) in [("K7", "K7"), ("abcd", "ABCD"), ("Zoe", "ZOE")] {
            assert_eq!(OwnerCode::new(text).unwrap().as_str(), code);
        }
        for wrong in ["", "K", "KARLA", "K 7", "Jü", "=1", "K\0"] {
            assert_eq!(OwnerCode::new(wrong), None, "{wrong:?}");
        }
    }
}
