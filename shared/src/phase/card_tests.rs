//! From the card to the release.

use super::tests::{Rig, offer};
use super::*;
use crate::checks::Verdict;

fn at(events: &[Event]) -> Rig {
    let mut rig = Rig::new();
    for &event in events {
        rig.event(event);
    }
    rig
}

#[test]
fn a_card_leads_to_its_newest_job() {
    let mut rig = at(&[Event::CardIn]);
    assert_eq!(rig.phase(), Phase::Reading);
    assert_eq!(rig.event(Event::Listed { jobs: 3 }), Action::ShowJob(0));
    assert_eq!(rig.event(Event::Turned(1)), Action::ShowJob(1));
    assert_eq!(rig.event(Event::Pressed), Action::Vet(1));
    assert_eq!(rig.event(Event::Vetted { points: 2 }), Action::Redraw);
    assert_eq!(rig.phase(), Phase::Verdict { chosen: 1, jobs: 3, points: 2 });
}

fn point(rig: &Rig) -> Option<(u8, bool)> {
    let Phase::Points { point, remedy, .. } = rig.phase() else { return None };
    Some((point, remedy))
}

#[test]
fn points_are_read_by_turning_and_their_remedy_by_pressing() {
    let mut rig = at(&[
        Event::CardIn,
        Event::Listed { jobs: 1 },
        Event::Pressed,
        Event::Vetted { points: 2 },
        Event::Turned(1),
    ]);
    assert_eq!(point(&rig), Some((0, false)));
    rig.event(Event::Pressed);
    assert_eq!(point(&rig), Some((0, true)));
    rig.event(Event::Turned(1));
    assert_eq!(point(&rig), Some((1, false)));
    rig.event(Event::Turned(1));
    assert_eq!(point(&rig), Some((1, false)), "there is none after the last");
    rig.event(Event::Turned(-1));
    rig.event(Event::Turned(-1));
    assert_eq!(rig.phase(), Phase::Verdict { chosen: 0, jobs: 1, points: 2 });
}

#[test]
fn an_empty_card_and_a_faulty_one_have_their_own_place() {
    assert_eq!(at(&[Event::CardIn, Event::Listed { jobs: 0 }]).phase(), Phase::Nothing);
    assert_eq!(at(&[Event::CardIn, Event::CardFault]).phase(), Phase::Fault);
}

#[test]
fn looks_are_read_before_the_walk_round() {
    let mut look = offer(Some(Verdict::Look));
    look.terms.looks = 2;
    let mut rig = Rig::at_verdict(&look);
    rig.event(Event::Pressed);
    assert_eq!(point(&rig), Some((0, false)));
    rig.event(Event::Pressed);
    rig.event(Event::Pressed);
    assert_eq!(point(&rig), Some((0, false)), "one is unread: the press leads nowhere else");
    rig.event(Event::Turned(-1));
    rig.event(Event::Pressed);
    assert_eq!(point(&rig), Some((1, false)), "the first that is unread");
    rig.event(Event::Pressed);
    assert!(rig.view().may_walk);
    rig.event(Event::Pressed);
    assert_eq!(rig.phase(), Phase::Walk);
}

#[test]
fn a_hold_opens_only_by_code_and_reason() {
    let mut hold = offer(Some(Verdict::Hold));
    hold.terms.looks = 1;
    let mut rig = Rig::at_verdict(&hold);
    for _ in 0..5 {
        rig.event(Event::Pressed);
    }
    assert!(point(&rig).is_some(), "no press leads out of it");
    let enter = |rig: &mut Rig, code: [i8; 4]| {
        rig.hold();
        assert_eq!(rig.phase(), Phase::Key { entered: 0, digit: 0 });
        for digit in code {
            rig.event(Event::Turned(digit));
            rig.event(Event::Pressed);
        }
    };
    enter(&mut rig, [4, 7, 1, 2]);
    assert!(matches!(rig.phase(), Phase::Verdict { .. }));
    assert!(rig.done.contains(&Action::Row(RowKind::Refusal)));
    enter(&mut rig, [4, 7, 1, 1]);
    assert_eq!(rig.question(), Some(Question::Lead));
    rig.answer(Answer::Lead(LeadReason::Attended));
    assert_eq!(rig.phase(), Phase::Walk);
    rig.walk();
    rig.hold();
    assert_eq!(rig.stage(), Some(Stage::Start));
    rig.answer(Answer::Shown(Shown::NotStarted));
    assert_eq!(rig.machine.last().unwrap().lead, Some(LeadReason::Attended));

    // Three wrong codes, and the key rests.
    let mut rig = Rig::at_verdict(&hold);
    for _ in 0..3 {
        enter(&mut rig, [-1, 0, 0, 0]);
    }
    rig.hold();
    assert!(matches!(rig.phase(), Phase::Verdict { .. }));
    // Nor does it help to leave and to come back.
    rig.event(Event::CardOut);
    for event in [Event::CardIn, Event::Listed { jobs: 3 }, Event::Pressed, Event::Vetted { points: 1 }] {
        rig.event(event);
    }
    rig.offer(&hold);
    assert!(!rig.view().key_fits);
    rig.wait(60);
    enter(&mut rig, [4, 7, 1, 1]);
    assert_eq!(rig.question(), Some(Question::Lead));
}

#[test]
fn what_is_never_silenced_has_no_key_hole() {
    for verdict in [Verdict::Hold, Verdict::NoVerdict] {
        let mut hold = offer(Some(verdict));
        hold.terms.code = None;
        hold.terms.looks = 1;
        let mut rig = Rig::at_verdict(&hold);
        assert!(!rig.view().key_fits);
        rig.hold();
        assert!(matches!(rig.phase(), Phase::Verdict { .. }));
        rig.event(Event::CardOut);
        assert_eq!(rig.phase(), Phase::Waiting);
        assert!(
            rig.done.contains(&Action::Row(RowKind::Refusal)),
            "a job that was not let through is logged"
        );
    }
}

#[test]
fn another_sticker_never_passes() {
    for wrong in (0..9).filter(|grade| *grade != 3) {
        let mut rig = Rig::at_verdict(&offer(Some(Verdict::Clear)));
        rig.event(Event::Pressed);
        assert_eq!(rig.view().asked.unwrap().place, None, "asked blind");
        assert_eq!(rig.event(Event::Pressed), Action::Refused, "nothing is chosen yet");
        rig.answer(Answer::Sticker(wrong));
        assert_eq!(rig.view().asked.unwrap().wrong, Some(Answer::Sticker(wrong)));
        rig.event(Event::Pressed);
        let asked = rig.view().asked.unwrap();
        assert_eq!((asked.question, asked.place, asked.wrong), (Question::Hand(Hand::Sticker), None, None));
    }
    let mut unnamed = offer(Some(Verdict::Clear));
    unnamed.terms.wanted = None;
    let mut rig = Rig::at_verdict(&unnamed);
    rig.event(Event::Pressed);
    rig.answer(Answer::Sticker(7));
    assert_eq!(rig.question(), Some(Question::Hand(Hand::OuterTurn)));
}

#[test]
fn a_killer_is_turned_and_not_answered_in_a_blink() {
    let mut rig = Rig::at_verdict(&offer(Some(Verdict::Clear)));
    rig.event(Event::Pressed);
    rig.answer(Answer::Sticker(3));
    rig.answer(Answer::Seen(Seen::TurnsFreely));
    assert_eq!(rig.question(), Some(Question::Hand(Hand::Plate)));
    assert_eq!(rig.event(Event::Pressed), Action::Refused, "turn first");
    let bare = |rig: &mut Rig| {
        let order = rig.view().asked.unwrap().order;
        let place = (0..3).find(|&place| {
            Question::Hand(Hand::Plate).answer(order, place) == Some(Answer::Seen(Seen::Bare))
        });
        rig.event(Event::Turned(1));
        rig.event(Event::Turned(i8::try_from(place.unwrap()).unwrap()));
        rig.event(Event::Pressed);
    };
    rig.wait_ms(300);
    bare(&mut rig);
    let asked = rig.view().asked.unwrap();
    assert!(asked.again && asked.place.is_none());
    assert_eq!(asked.question, Question::Hand(Hand::Plate));
    bare(&mut rig);
    assert_eq!(rig.question(), Some(Question::Hand(Hand::Pins)), "once only");
}

#[test]
fn wrong_hands_come_back_and_number_themselves() {
    let mut rig = Rig::at_verdict(&offer(Some(Verdict::Clear)));
    rig.event(Event::Pressed);
    rig.answer(Answer::Sticker(3));
    let asked = rig.view().asked.unwrap();
    assert_eq!((asked.number, asked.of), (2, 4));
    rig.answer(Answer::Seen(Seen::Sticks));
    assert_eq!(rig.phase(), Phase::Walk);
    rig.event(Event::Pressed);
    assert_eq!(rig.question(), Some(Question::Hand(Hand::OuterTurn)));
}

#[test]
fn after_a_break_the_plate_is_asked_about_once_more() {
    let mut rig = Rig::at_release();
    rig.wait(601);
    rig.event(Event::Held);
    assert_eq!(rig.question(), Some(Question::Hand(Hand::Plate)));
    assert!(rig.view().asked.unwrap().last_chance);
    rig.walk();
    assert_eq!(rig.phase(), Phase::Release);
    rig.hold();
    assert_eq!(rig.stage(), Some(Stage::Start));
}

#[test]
fn a_hand_that_lets_go_releases_nothing() {
    let mut rig = Rig::at_release();
    rig.event(Event::Held);
    rig.wait_ms(HOLD_MS / 2);
    assert_eq!(rig.view().fill_permille, 500);
    rig.event(Event::LetGo);
    rig.wait_ms(HOLD_MS);
    assert_eq!((rig.phase(), rig.machine.gate()), (Phase::Release, Gate::Shut));
    assert_eq!(rig.event(Event::Pressed), Action::Refused);
}

#[test]
fn the_walk_round_may_begin_while_vetting_but_not_the_release() {
    let mut rig = Rig::at_verdict(&offer(None));
    rig.event(Event::Pressed);
    rig.walk();
    rig.hold();
    assert_eq!(rig.phase(), Phase::Release);
    let mut hold = offer(Some(Verdict::Hold));
    hold.terms.looks = 1;
    rig.event(Event::Vetted { points: 1 });
    rig.offer(&hold);
    assert_eq!(rig.phase(), Phase::Verdict { chosen: 0, jobs: 3, points: 1 });

    let mut rig = Rig::at_verdict(&offer(None));
    rig.event(Event::Pressed);
    rig.walk();
    rig.offer(&offer(Some(Verdict::Clear)));
    rig.hold();
    assert_eq!(rig.stage(), Some(Stage::Start));
}

#[test]
fn a_machine_out_of_use_is_not_released() {
    let mut rig = Rig::at_release();
    rig.event(Event::OutOfUse(Some(OutOfUse::Heater)));
    rig.hold();
    assert_eq!(rig.phase(), Phase::Release);
    assert!(rig.done.contains(&Action::Row(RowKind::Refusal)));
    rig.event(Event::OutOfUse(None));
    rig.hold();
    assert_eq!(rig.stage(), Some(Stage::Start));
}

#[test]
fn at_the_desk_a_lead_takes_the_machine_out_of_use_and_gives_it_back() {
    let mut rig = Rig::new();
    rig.hold();
    assert!(rig.done.contains(&Action::Desk), "the key is asked for");
    rig.event(Event::Held);
    rig.event(Event::LetGo);
    assert_eq!(rig.done.iter().filter(|action| **action == Action::Desk).count(), 1, "a short hold is none");
    rig.event(Event::Desk);
    assert_eq!(rig.question(), Some(Question::Use));
    rig.answer(Answer::Use(Some(OutOfUse::Heater)));
    assert_eq!((rig.question(), rig.view().out_of_use), (None, Some(OutOfUse::Heater)));
    assert!(rig.done.contains(&Action::OutOfUse(Some(OutOfUse::Heater))));
    assert!(rig.done.contains(&Action::Answered(Question::Use, Answer::Use(Some(OutOfUse::Heater)))));

    // The knob stands on what holds; who looks on changes nothing.
    rig.event(Event::Desk);
    rig.event(Event::Pressed);
    assert_eq!(rig.view().out_of_use, Some(OutOfUse::Heater));
    rig.event(Event::Desk);
    rig.wait(60);
    assert_eq!((rig.question(), rig.view().out_of_use), (None, Some(OutOfUse::Heater)), "nobody answered");
    rig.event(Event::Desk);
    rig.answer(Answer::Use(None));
    assert_eq!(rig.view().out_of_use, None);

    rig.event(Event::CardIn);
    assert_eq!(rig.event(Event::Desk), Action::Refused, "a card is in: somebody else's turn");
}

#[test]
fn a_card_pulled_in_the_walk_round_loses_nothing_if_it_comes_back_the_same() {
    let mut rig = Rig::at_verdict(&offer(Some(Verdict::Clear)));
    rig.event(Event::Pressed);
    rig.answer(Answer::Sticker(3));
    rig.event(Event::CardOut);
    assert_eq!(rig.phase(), Phase::Away);
    assert_eq!(rig.event(Event::CardIn), Action::CheckSeal);
    rig.event(Event::Seal(Seal::Same));
    assert_eq!(rig.question(), Some(Question::Hand(Hand::OuterTurn)));

    rig.event(Event::CardOut);
    rig.event(Event::CardIn);
    assert_eq!(rig.event(Event::Seal(Seal::Changed)), Action::Row(RowKind::Refusal));
    assert_eq!(rig.phase(), Phase::Reading);
    assert!(rig.done.contains(&Action::ListCard));

    let mut rig = Rig::at_release();
    rig.event(Event::CardOut);
    rig.wait(120);
    assert_eq!(rig.phase(), Phase::Waiting);
}

/// A part on the plate holds the job, until the plate is answered to be empty: no key, and no release.
#[test]
fn an_answer_that_holds_leads_back_to_its_question() {
    let mut rig = Rig::at_verdict(&offer(Some(Verdict::Clear)));
    rig.event(Event::Pressed);
    while rig.question() != Some(Question::Hand(Hand::Plate)) {
        rig.pass_hand();
    }
    rig.answer(Answer::Seen(Seen::Occupied));
    let mut holds = offer(Some(Verdict::Hold));
    (holds.terms.looks, holds.terms.code, holds.terms.answers_hold) = (1, None, true);
    holds.terms.first_points[0] = Some((67, 0));
    rig.event(Event::Vetted { points: 1 });
    rig.offer(&holds);
    assert_eq!(rig.phase(), Phase::Walk, "the remedy is on the screen");
    rig.hold();
    assert!(matches!(rig.phase(), Phase::Verdict { points: 1, .. }), "{:?}", rig.phase());
    rig.hold();
    assert!(matches!(rig.phase(), Phase::Verdict { .. }), "no key is asked for");
    for _ in 0..3 {
        rig.event(Event::Pressed);
    }
    assert_eq!(rig.question(), Some(Question::Hand(Hand::Plate)), "read, and asked anew");
    rig.answer(Answer::Seen(Seen::Bare));
    rig.offer(&offer(Some(Verdict::Clear)));
    assert_eq!(rig.phase(), Phase::Walk);
    rig.walk();
    rig.hold();
    assert_eq!(rig.stage(), Some(Stage::Start));
}

/// The last answer may be the one that holds: nothing is released before the verdict is another.
#[test]
fn what_an_answer_holds_is_not_released() {
    let mut rig = Rig::at_verdict(&offer(Some(Verdict::Clear)));
    rig.event(Event::Pressed);
    rig.walk();
    assert_eq!(rig.phase(), Phase::Release);
    let mut holds = offer(Some(Verdict::Hold));
    (holds.terms.looks, holds.terms.code, holds.terms.answers_hold) = (0, None, true);
    rig.offer(&holds);
    rig.hold();
    assert_eq!(rig.stage(), None);
}

/// A point that was read stays read when another one comes before it; that one is to be read.
#[test]
fn points_are_told_apart_by_what_they_say() {
    let look = |points: &[(u8, u8)]| {
        let mut look = offer(Some(Verdict::Look));
        look.terms.looks = points.len() as u8;
        for (slot, point) in look.terms.first_points.iter_mut().zip(points) {
            *slot = Some(*point);
        }
        look
    };
    let mut rig = Rig::at_verdict(&look(&[(71, 0)]));
    for _ in 0..2 {
        rig.event(Event::Pressed);
    }
    assert!(rig.view().may_walk);
    rig.event(Event::Vetted { points: 2 });
    rig.offer(&look(&[(56, 1), (71, 0)]));
    assert!(!rig.view().may_walk, "56 was not read");
    rig.event(Event::Turned(-1));
    rig.event(Event::Pressed);
    assert_eq!(point(&rig), Some((0, false)), "{:?}", rig.phase());
    rig.event(Event::Pressed);
    assert!(rig.view().may_walk, "71 was");
    rig.offer(&look(&[(56, 2), (71, 0)]));
    assert!(!rig.view().may_walk, "the same check says another thing");
}
