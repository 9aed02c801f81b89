//! Persons: the codes that were used here, and a code as it is put in sign by sign.

use crate::records::OwnerCode;

/// Codes used last on a machine that are offered, the newest first: as many as share one on a day (judgement).
pub const CODES: usize = 3;

/// The signs of a code, in their order on the knob.
const SIGNS: &[u8; 36] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789";
/// Place on the knob that takes one sign back, or leaves where there is none.
const BACK: u8 = SIGNS.len() as u8;
/// Place that ends a code of less than four signs; there from the second sign on.
const END: u8 = BACK + 1;
/// Least signs.
const LEAST: u8 = 2;

/// Who is in charge when a job ends after the room has closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum InCharge {
    /// Nobody will be there.
    Nobody,
    /// The person with this code.
    Person(OwnerCode),
}

/// What stands on the knob of a question for a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Person {
    /// Nobody.
    Nobody,
    /// A code that was used here.
    Code(OwnerCode),
    /// One that is put in sign by sign.
    Another,
}

/// A code as it is put in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct CodeEntry {
    signs: [u8; 4],
    entered: u8,
    at: u8,
}

/// What is on the knob of a [`CodeEntry`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Sign {
    /// A letter or a digit.
    Is(char),
    /// Takes the last one back; leaves where there is none.
    Back,
    /// That is all of it.
    End,
}

/// What a press comes to.
pub(super) enum Put {
    More,
    Left,
    Done(OwnerCode),
}

impl CodeEntry {
    /// The signs that were put in.
    #[must_use]
    pub fn text(&self) -> &str {
        let signs = self.signs.get(..usize::from(self.entered)).unwrap_or_default();
        core::str::from_utf8(signs).unwrap_or_default()
    }

    /// The one on the knob.
    #[must_use]
    pub fn on_knob(&self) -> Sign {
        match SIGNS.get(usize::from(self.at)) {
            Some(&sign) => Sign::Is(sign.into()),
            None if self.at == BACK => Sign::Back,
            None => Sign::End,
        }
    }

    pub(super) fn turn(&mut self, detents: i8) {
        let count = i16::from(if self.entered >= LEAST { END } else { BACK }) + 1;
        let at = (i16::from(self.at) + i16::from(detents)).rem_euclid(count);
        self.at = u8::try_from(at).unwrap_or(0);
    }

    pub(super) fn press(&mut self) -> Put {
        match self.on_knob() {
            Sign::Is(_) => {
                let sign = SIGNS.get(usize::from(self.at)).copied();
                if let Some((place, sign)) = self.signs.get_mut(usize::from(self.entered)).zip(sign) {
                    *place = sign;
                    self.entered += 1;
                }
            }
            Sign::Back => match self.entered.checked_sub(1) {
                Some(entered) => self.entered = entered,
                None => return Put::Left,
            },
            Sign::End => return self.done(),
        }
        if usize::from(self.entered) == self.signs.len() {
            return self.done();
        }
        // Most codes are short.
        self.at = if self.entered >= LEAST { END } else { 0 };
        Put::More
    }

    fn done(&self) -> Put {
        // Two to four signs of the list are a code.
        OwnerCode::new(self.text()).map_or(Put::Left, Put::Done)
    }
}
