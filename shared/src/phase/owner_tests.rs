//! Who prints and who is in charge, as the phases ask it.

use super::super::person::Sign;
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

/// Within the hours that an answer holds, only its owner need not give it again.
#[test]
fn another_owner_is_asked_for_the_spool() {
    for (detents, wants) in [(1, Hand::Plate), (2, Hand::Sticker)] {
        let mut offer = offer(Some(Verdict::Clear));
        offer.terms.asks_owner = true;
        for (place, text) in offer.terms.codes.iter_mut().zip(["K7", "MB"]) {
            *place = Some(code(text));
        }
        offer.plan.hands = Hand::Plate.bit() | Hand::Pins.bit();
        let mut rig = Rig::at_verdict(&offer);
        rig.event(Event::Pressed);
        for _ in 0..detents {
            rig.event(Event::Turned(1));
        }
        rig.event(Event::Pressed);
        assert_eq!(rig.question(), Some(Question::Hand(wants)), "{detents}");
        // What is found meanwhile does not take it back.
        rig.offer(&offer);
        let asked = rig.machine.hands_left() & Hand::OuterTurn.bit() != 0;
        assert_eq!(asked, wants == Hand::Sticker, "{detents}");
    }
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
    assert!(signs.contains(&Sign::Is('A')) && signs.contains(&Sign::Is('9')) && signs.contains(&Sign::Back));
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
