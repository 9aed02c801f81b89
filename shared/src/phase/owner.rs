//! Who prints, and who is in charge when it ends: a code from those used here last, or put in sign by sign.
//!
//! Asked only where the room wants it, at the begin of the walk-round: what it changes (the room's cap for one owner,
//! a room that somebody must be in) is known before anybody has touched a plate. Nothing is on the knob when the question
//! comes up, so that no job is booked on whoever printed last by a press too many.

use super::Action;
use super::machine::{Ask, Machine};
use super::question::{Answer, Question};
use super::walk::Terms;
use crate::records::OwnerCode;
use crate::time::Instant;

/// Codes used last on a machine that are offered, the newest first: as many as share one on a day (judgement).
pub const CODES: usize = 3;

/// Whether anybody is asked: a code is worth little that a power cut takes.
pub(super) const ASKS: bool = cfg!(feature = "ledger");

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
        let terms = self.terms.filter(|_| ASKS)?;
        if terms.asks_owner && self.walk.owner.is_none() {
            Some(Question::Owner)
        } else if terms.past_closing && self.walk.in_charge.is_none() {
            Some(Question::InCharge)
        } else {
            None
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
        if !ASKS {
            return None;
        }
        let codes = self.terms.map_or([None; CODES], |terms: Terms| terms.codes);
        let nobody = (question == Question::InCharge).then_some(Person::Nobody);
        let codes = codes.into_iter().flatten().map(Person::Code);
        nobody.into_iter().chain(codes).chain([Person::Another]).nth(place.into())
    }

    /// The knob was turned while a code is put in; whether one is.
    pub(super) fn sign_turned(&mut self, detents: i8) -> bool {
        self.entry.as_mut().filter(|_| ASKS).is_some_and(|entry| {
            entry.turn(detents);
            true
        })
    }

    /// The knob was pressed at a question for a person.
    pub(super) fn person_pressed(&mut self, now: Instant, asked: Ask) -> bool {
        if !ASKS {
            return false;
        }
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
mod tests {
    use super::super::tests::{Rig, offer};
    use super::super::{Event, Gate, Phase, Stage};
    use super::*;
    use crate::checks::Verdict;
    use std::vec::Vec;

    fn code(text: &str) -> OwnerCode {
        OwnerCode::new(text).unwrap()
    }

    /// A walk-round of a room that wants codes, with these used before.
    fn rig(codes: &[&str], change: impl Fn(&mut Terms)) -> Rig {
        let mut offer = offer(Some(Verdict::Clear));
        offer.terms.asks_owner = true;
        for (place, text) in offer.terms.codes.iter_mut().zip(codes) {
            *place = Some(code(text));
        }
        change(&mut offer.terms);
        let mut rig = Rig::at_verdict(&offer);
        rig.event(Event::Pressed);
        rig
    }

    /// Turns to a sign, the shorter way round, and presses; the touches that it took.
    fn put(rig: &mut Rig, sign: Sign) -> usize {
        for detents in 0..20 {
            for detents in [detents, -detents] {
                let mut tried = rig.clone();
                tried.event(Event::Turned(detents));
                if tried.view().asked.unwrap().entry.unwrap().on_knob() == sign {
                    *rig = tried;
                    rig.event(Event::Pressed);
                    return usize::from(detents != 0) + 1;
                }
            }
        }
        panic!("{sign:?} is not on the knob");
    }

    #[test]
    fn a_code_used_here_before_costs_a_detent_and_a_press() {
        let mut rig = rig(&["K7", "MB"], |_| {});
        assert_eq!(rig.question(), Some(Question::Owner));
        assert_eq!(rig.event(Event::Pressed), Action::Refused, "nobody's by default");
        rig.event(Event::Turned(1));
        assert_eq!(rig.view().asked.unwrap().person, Some(Person::Code(code("K7"))));
        rig.event(Event::Pressed);
        assert_eq!(rig.machine.owner(), Some(code("K7")));
        assert_eq!(rig.question(), Some(Question::Hand(super::super::Hand::Sticker)));
        rig.walk();
        rig.hold();
        assert_eq!(rig.stage(), Some(Stage::Start));
        assert_eq!(rig.machine.owner(), Some(code("K7")), "for the row of the start");
        assert!(rig.done.contains(&Action::Answered(Question::Owner, Answer::Owner)));
    }

    #[test]
    fn a_new_code_is_put_in_sign_by_sign() {
        for text in ["K7", "A1B", "WXYZ"] {
            let mut rig = rig(&["MB"], |_| {});
            rig.event(Event::Turned(1));
            rig.event(Event::Turned(9));
            rig.event(Event::Pressed);
            let mut touches = 0;
            for sign in text.chars() {
                touches += put(&mut rig, Sign::Is(sign));
            }
            if text.len() < 4 {
                assert_eq!(rig.view().asked.unwrap().entry.unwrap().on_knob(), Sign::End, "at hand");
                rig.event(Event::Pressed);
                touches += 1;
            }
            assert_eq!(rig.machine.owner(), Some(code(text)));
            assert!(touches <= 9, "{text}: {touches}");
        }
    }

    #[test]
    fn a_sign_is_taken_back_and_the_list_is_never_far() {
        // No code was used here: put in at once.
        let mut rig = rig(&[], |_| {});
        put(&mut rig, Sign::Is('Q'));
        put(&mut rig, Sign::Back);
        assert_eq!(rig.view().asked.unwrap().entry.unwrap().text(), "");
        put(&mut rig, Sign::Is('K'));
        put(&mut rig, Sign::Is('7'));
        put(&mut rig, Sign::End);
        assert_eq!(rig.machine.owner(), Some(code("K7")));

        let mut rig = self::rig(&["MB"], |_| {});
        rig.event(Event::Turned(1));
        rig.event(Event::Turned(9));
        rig.event(Event::Pressed);
        put(&mut rig, Sign::Back);
        let asked = rig.view().asked.unwrap();
        assert_eq!((asked.question, asked.entry, asked.place), (Question::Owner, None, None));
    }

    #[test]
    fn one_sign_is_no_code() {
        let mut entry = CodeEntry::default();
        let signs: Vec<_> = (0..40)
            .map(|_| {
                entry.turn(1);
                entry.on_knob()
            })
            .collect();
        assert!(!signs.contains(&Sign::End));
        assert!(
            signs.contains(&Sign::Is('A')) && signs.contains(&Sign::Is('9')) && signs.contains(&Sign::Back)
        );
    }

    #[test]
    fn a_room_that_wants_no_codes_never_asks() {
        let rig = rig(&["K7"], |terms| terms.asks_owner = false);
        assert_eq!(rig.question(), Some(Question::Hand(super::super::Hand::Sticker)));
    }

    #[test]
    fn past_closing_somebody_is_in_charge_or_nobody_by_the_rooms_rule() {
        let past = |attended| {
            move |terms: &mut Terms| {
                (terms.asks_owner, terms.past_closing, terms.attended) = (false, true, attended);
            }
        };
        let nobody = |rig: &mut Rig| {
            assert_eq!(rig.question(), Some(Question::InCharge));
            rig.event(Event::Turned(1));
            assert_eq!(rig.view().asked.unwrap().person, Some(Person::Nobody));
            rig.event(Event::Pressed);
        };
        let mut looks = rig(&["K7"], past(false));
        nobody(&mut looks);
        looks.walk();
        looks.hold();
        assert_eq!(looks.view().in_charge, Some(InCharge::Nobody));
        // Kept through a power cut.
        let again = Rig::resume(&looks.persisted(), looks.now, None);
        assert_eq!(again.view().in_charge, Some(InCharge::Nobody));

        let mut always = rig(&["K7"], past(true));
        nobody(&mut always);
        assert_eq!(always.view().asked.unwrap().wrong, Some(Answer::Nobody));
        always.hold();
        assert_eq!(
            (always.phase(), always.machine.gate()),
            (Phase::Verdict { chosen: 0, jobs: 3, points: 0 }, Gate::Shut)
        );
        always.event(Event::Pressed);
        assert_eq!(always.question(), Some(Question::InCharge), "asked again");
        always.event(Event::Turned(1));
        always.event(Event::Turned(1));
        always.event(Event::Pressed);
        always.walk();
        always.hold();
        assert_eq!(always.view().in_charge, Some(InCharge::Person(code("K7"))));
    }

    #[test]
    fn a_closing_that_is_found_late_is_asked_about_before_the_release() {
        let mut rig = Rig::at_verdict(&offer(None));
        rig.event(Event::Pressed);
        rig.walk();
        assert_eq!(rig.phase(), Phase::Release);
        let mut late = offer(Some(Verdict::Clear));
        late.terms.past_closing = true;
        rig.offer(&late);
        assert_eq!((rig.phase(), rig.question()), (Phase::Walk, Some(Question::InCharge)));
    }
}
