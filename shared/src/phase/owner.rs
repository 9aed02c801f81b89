//! Who prints, and who is in charge when it ends: a code from those used here last, or put in sign by sign.
//!
//! Asked only where the room wants it, at the begin of the walk-round: what it changes (the room's cap for one owner,
//! a room that somebody must be in) is known before anybody has touched a plate. Nothing is on the knob when the question
//! comes up, so that no job is booked on whoever printed last by a press too many.

use super::Action;
use super::answers::Hand;
use super::machine::{Ask, Machine};
use super::question::{Answer, Question};
use super::walk::Terms;
use crate::records::OwnerCode;
use crate::time::Instant;

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
    /// Whoever has this code.
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
enum Put {
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

    fn turn(&mut self, detents: i8) {
        let count = i16::from(if self.entered >= LEAST { END } else { BACK }) + 1;
        let at = (i16::from(self.at) + i16::from(detents)).rem_euclid(count);
        self.at = u8::try_from(at).unwrap_or(0);
    }

    fn press(&mut self) -> Put {
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

impl Machine {
    /// Whose job it is, as told in the walk-round at hand.
    #[must_use]
    pub const fn owner(&self) -> Option<OwnerCode> {
        self.walk.owner
    }

    /// Who is in charge when the job at hand ends, as told in its walk-round.
    #[must_use]
    pub const fn in_charge(&self) -> Option<InCharge> {
        self.walk.in_charge
    }

    /// What is still to be asked about persons before the release.
    pub(super) fn person_left(&self) -> Option<Question> {
        let terms = self.terms?;
        if terms.asks_owner && self.walk.owner.is_none() {
            Some(Question::Owner)
        } else if terms.past_closing && self.walk.in_charge.is_none() {
            Some(Question::InCharge)
        } else {
            None
        }
    }

    /// Another owner than of the last start here: what that one answered about the spool does not hold for this one (job
    /// catalogue, section 6).
    pub(super) fn ask_another_owner(&mut self) {
        let last = self.terms.and_then(|terms| terms.codes.first().copied().flatten());
        if self.walk.owner.is_some() && self.walk.owner != last {
            self.plan.hands |= Hand::Sticker.bit() | Hand::OuterTurn.bit();
        }
    }

    /// Asks it; where no code was used here yet, an owner's is put in at once.
    pub(super) fn ask_person(&mut self, now: Instant, question: Question) {
        self.ask(now, question);
        let none = question == Question::Owner && self.person_count(question) == 1;
        self.entry = none.then(CodeEntry::default);
    }

    /// Places on the knob.
    pub(super) fn person_count(&self, question: Question) -> u8 {
        (0..=u8::MAX).take_while(|&place| self.person(question, place).is_some()).count() as u8
    }

    /// What stands at a place on the knob.
    pub(super) fn person(&self, question: Question, place: u8) -> Option<Person> {
        let codes = self.terms.map_or([None; CODES], |terms: Terms| terms.codes);
        let nobody = (question == Question::InCharge).then_some(Person::Nobody);
        let codes = codes.into_iter().flatten().map(Person::Code);
        nobody.into_iter().chain(codes).chain([Person::Another]).nth(place.into())
    }

    /// The knob was turned while a code is put in; whether one is.
    pub(super) fn sign_turned(&mut self, detents: i8) -> bool {
        self.entry.as_mut().is_some_and(|entry| {
            entry.turn(detents);
            true
        })
    }

    /// The knob was pressed at a question for a person.
    pub(super) fn person_pressed(&mut self, now: Instant, asked: Ask) -> bool {
        let question = asked.question;
        let picked = match (&mut self.entry, asked.place) {
            (Some(entry), _) => match entry.press() {
                Put::More => return true,
                // Back to the list, or to the first sign of all.
                Put::Left => {
                    self.ask_person(now, question);
                    return true;
                }
                Put::Done(code) => Person::Code(code),
            },
            (None, Some(place)) => match self.person(question, place) {
                Some(person) => person,
                None => return false,
            },
            (None, None) => return false,
        };
        let answer = match picked {
            Person::Another => {
                self.entry = Some(CodeEntry::default());
                return true;
            }
            Person::Nobody => Answer::Nobody,
            Person::Code(code) if question == Question::Owner => {
                self.walk.owner = Some(code);
                self.ask_another_owner();
                Answer::Owner
            }
            Person::Code(code) => {
                self.walk.in_charge = Some(InCharge::Person(code));
                Answer::InCharge
            }
        };
        self.hint(Action::Answered(question, answer));
        if answer == Answer::Nobody {
            if self.terms.is_some_and(|terms| terms.attended) {
                // The room's rule: the gate stays shut until somebody is.
                self.entry = None;
                if let Some(ask) = &mut self.ask {
                    ask.wrong = Some(answer);
                }
                return true;
            }
            self.walk.in_charge = Some(InCharge::Nobody);
        }
        self.walk.at = now;
        self.onward(now);
        true
    }
}

#[cfg(test)]
#[path = "owner_tests.rs"]
mod tests;
