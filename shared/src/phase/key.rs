//! A lead's key as it is entered, digit by digit, and what wrong ones lead to.
//!
//! There is one for the whole device: whoever tries codes at a HOLD has tried them at the lead's desk as well. What was
//! tried is counted until a key fits, wherever the screen goes meanwhile. A power cut forgets it; who cuts the power to
//! try on is slower than the rest that it saves.

use crate::time::Instant;

/// Digits of a lead's code.
pub const CODE_DIGITS: u8 = 4;
/// After so many wrong codes in a row the key is refused for [`KEY_REST_MS`] (judgement).
const WRONG_CODES: u8 = 3;
/// How long a key is refused after wrong ones, and how long an open one waits for its next touch, ms (judgement).
const KEY_REST_MS: u64 = 60_000;

/// The one entry of a lead's key.
#[derive(Clone, Copy, Debug, Default)]
pub struct Key {
    code: u16,
    entered: u8,
    digit: u8,
    wrong: u8,
    rests_until: Instant,
    open_until: Instant,
}

/// What a press at the key comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Entered {
    /// Digits are missing.
    Part,
    /// The key fits.
    Fits,
    /// It does not.
    Wrong,
}

impl Key {
    /// How long no key is taken, ms, after too many wrong ones; 0 = it may be entered.
    #[must_use]
    pub const fn rests_ms(&self, now: Instant) -> u64 {
        self.rests_until.since_ms(now)
    }

    /// Digits that were put in, 0 to [`CODE_DIGITS`].
    #[must_use]
    pub const fn entered(&self) -> u8 {
        self.entered
    }

    /// The digit on the knob, 0 to 9.
    #[must_use]
    pub const fn digit(&self) -> u8 {
        self.digit
    }

    /// When whoever opened it and does not go on is taken to be gone.
    #[must_use]
    pub const fn open_until(&self) -> Instant {
        self.open_until
    }

    /// A key is to be entered, from its first digit on.
    pub const fn open(&mut self, now: Instant) {
        (self.code, self.entered, self.digit) = (0, 0, 0);
        self.open_until = now.after_ms(KEY_REST_MS);
    }

    /// The knob is turned.
    pub const fn turn(&mut self, now: Instant, detents: i8) {
        // Within 0 to 9.
        self.digit = (self.digit as i16 + detents as i16).rem_euclid(10) as u8;
        self.open_until = now.after_ms(KEY_REST_MS);
    }

    /// The digit on the knob is put in; the last one decides. `code` is the machine's, `None` = no key fits.
    pub fn press(&mut self, now: Instant, code: Option<u16>) -> Entered {
        self.code = self.code.saturating_mul(10).saturating_add(self.digit.into());
        (self.entered, self.digit) = (self.entered.saturating_add(1), 0);
        self.open_until = now.after_ms(KEY_REST_MS);
        if self.entered < CODE_DIGITS {
            return Entered::Part;
        }
        if code == Some(self.code) {
            self.wrong = 0;
            return Entered::Fits;
        }
        self.wrong += 1;
        if self.wrong >= WRONG_CODES {
            self.wrong = 0;
            self.rests_until = now.after_ms(KEY_REST_MS);
        }
        Entered::Wrong
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn enter(key: &mut Key, now: Instant, digits: [i8; 4]) -> Entered {
        key.open(now);
        let mut came = Entered::Part;
        for digit in digits {
            key.turn(now, digit);
            came = key.press(now, Some(4711));
        }
        came
    }

    #[test]
    fn three_wrong_ones_in_a_row_and_it_rests_a_minute() {
        let (mut key, now) = (Key::default(), Instant(5_000));
        for tried in 1..=3 {
            assert_eq!(key.rests_ms(now), 0, "before {tried}");
            assert_eq!(enter(&mut key, now, [4, 7, 1, 2]), Entered::Wrong);
        }
        assert_eq!((key.rests_ms(now), key.rests_ms(Instant(65_000))), (60_000, 0));
    }

    #[test]
    fn one_that_fits_begins_the_count_anew() {
        let (mut key, now) = (Key::default(), Instant(5_000));
        for digits in [[4, 7, 1, 2], [4, 7, 1, 2], [4, 7, 1, 1], [4, 7, 1, 2], [4, 7, 1, 2]] {
            let _ = enter(&mut key, now, digits);
        }
        assert_eq!(key.rests_ms(now), 0);
    }

    #[test]
    fn the_last_digit_decides_and_turning_goes_round() {
        let (mut key, now) = (Key::default(), Instant(0));
        key.open(now);
        key.turn(now, -1);
        assert_eq!((key.entered(), key.digit()), (0, 9));
        assert_eq!(key.press(now, Some(9000)), Entered::Part);
        assert_eq!((key.entered(), key.digit()), (1, 0));
        assert_eq!(key.press(now, Some(9000)), Entered::Part);
        assert_eq!(key.press(now, Some(9000)), Entered::Part);
        assert_eq!(key.press(now, Some(9000)), Entered::Fits);
        key.open(now);
        for _ in 0..4 {
            let _ = key.press(now, None);
        }
        assert_eq!(key.rests_ms(now), 0, "once only");
    }
}
