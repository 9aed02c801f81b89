//! Who prints, and who is in charge when it ends: a code from those used here last, or put in sign by sign.
//!
//! Asked only where the room wants it, at the begin of the walk-round: what it changes (the room's cap for one owner,
//! a room that somebody must be in) is known before anybody has touched a plate. Nothing is on the knob when the question
//! comes up, so that no job is booked on whoever printed last by a press too many.

use super::Action;
use super::answers::Hand;
use super::machine::{Ask, Machine};
use super::person::{CODES, CodeEntry, InCharge, Person, Put};
use super::question::{Answer, Question};
use super::terms::Terms;
use crate::records::OwnerCode;
use crate::time::Instant;

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
