//! From the release to the next person.

use super::tests::{Rig, offer, plan, wall};
use super::*;
use crate::checks::Verdict;
use crate::time::Instant;
use crate::units::Celsius;

#[test]
fn a_first_layer_that_fails_is_stopped_booked_and_may_be_run_again() {
    let mut rig = Rig::at(Stage::FirstLayer);
    // 60 of 300 s of the first layer: the purge's 10 permille and a fifth of 30 more, of 62 g.
    rig.wait(100);
    rig.answer(Answer::Strip(Strip::Solid));
    rig.wait(49);
    rig.event(Event::Pressed);
    rig.answer(Answer::FirstLayer(FirstLayer::NotSticking));
    assert_eq!(rig.view().asked.unwrap().wrong, Some(Answer::FirstLayer(FirstLayer::NotSticking)));
    rig.event(Event::Pressed);
    rig.answer(Answer::AfterFault(AfterFault::Stopped));
    assert_eq!(rig.stage(), Some(Stage::CoolDown));
    rig.heat(38, 60);
    rig.clear_plate();
    assert_eq!(rig.question(), Some(Question::Reason), "how it ended is known");
    rig.wait(1);
    rig.event(Event::Pressed);
    assert_eq!(rig.question(), Some(Question::Again));
    rig.clear_done();
    rig.answer(Answer::Again(Again::Again));
    let last = *rig.machine.last().unwrap();
    assert_eq!((last.outcome, last.reason), (Outcome::Failed, Some(FailReason::FirstLayerBad)));
    // Stopped 2 to 5 s after the 150th second.
    assert!((16 * 62..=17 * 62).contains(&last.used_mg), "{}", last.used_mg);
    assert!(rig.done.contains(&Action::Deduct(last.used_mg)));
    assert!(!rig.done.iter().any(|action| matches!(action, Action::Learn(_))), "a failure teaches no time");
    assert_eq!(rig.question(), Some(Question::Hand(Hand::Plate)), "the spool is known, the plate is not");
    rig.walk();
    rig.hold();
    assert_eq!(rig.stage(), Some(Stage::Start));
}

#[test]
fn a_first_layer_that_came_right_is_watched_on() {
    let mut rig = Rig::at(Stage::FirstLayer);
    rig.wait(590);
    rig.answer(Answer::FirstLayer(FirstLayer::Strings));
    rig.event(Event::Pressed);
    rig.answer(Answer::AfterFault(AfterFault::CameRight));
    assert_eq!((rig.stage(), rig.question()), (Some(Stage::FirstLayer), None));
    assert_eq!(rig.view().countdown_s, Some(180));
    rig.wait(180);
    assert_eq!(rig.question(), Some(Question::FirstLayer));
}

#[test]
fn nobody_at_the_first_layer_is_told_three_times_more_and_then_the_run_goes_on() {
    let mut rig = Rig::at(Stage::FirstLayer);
    rig.wait(589);
    rig.clear_done();
    rig.wait(490);
    let beeps = rig.clear_done().into_iter().filter(|action| matches!(action, Action::Beep(_))).count();
    assert_eq!(beeps, 4);
    rig.wait(60);
    assert_eq!(rig.stage(), Some(Stage::Run));
    assert!(!rig.view().leaving, "nobody is told that they may leave");
    rig.wait(300);
    assert_eq!(rig.clear_done().iter().filter(|action| matches!(action, Action::Beep(_))).count(), 0);
}

#[test]
fn a_touch_ends_the_sound() {
    let mut rig = Rig::at(Stage::FirstLayer);
    rig.wait(591);
    rig.event(Event::Turned(1));
    rig.clear_done();
    rig.wait(480);
    assert!(!rig.done.iter().any(|action| matches!(action, Action::Beep(_))));
}

#[test]
fn a_pause_moves_the_end_and_wants_a_person() {
    let mut with_stop = plan();
    with_stop.stops.push(2_000).unwrap();
    with_stop.looks.clear();
    let mut rig = Rig::at(Stage::Run);
    rig.machine.plan = with_stop;
    let before = rig.view().end_s.unwrap();
    assert!((1_395..=1_400).contains(&rig.view().pause.unwrap()), "{:?}", rig.view().pause);
    rig.clear_done();
    rig.wait(800);
    assert!(rig.done.contains(&Action::Beep(Beep::Attention)), "10 minutes before");
    rig.wait(600);
    assert_eq!(rig.question(), Some(Question::Running));
    assert!(rig.view().paused_s.is_some());
    rig.wait(1_000);
    rig.answer(Answer::Running(Running::GoesOn));
    assert_eq!(rig.view().paused_s, None);
    // 300 s were allowed for; about 1000 were taken.
    let after = rig.view().end_s.unwrap();
    let moved = i64::from(after.1) + 2_401 - i64::from(before.1);
    assert!((690..=710).contains(&moved), "{moved}");
}

#[test]
fn heat_that_falls_early_is_asked_about_and_in_its_window_it_is_the_end() {
    let mut rig = Rig::at(Stage::Run);
    rig.wait(60);
    rig.clear_done();
    rig.event(Event::Heat(HeatNews::Falling(120)));
    assert_eq!((rig.stage(), rig.question()), (Some(Stage::Run), Some(Question::StillRunning)));
    assert!(rig.done.contains(&Action::Beep(Beep::Alarm)) && rig.view().cooling_early);
    rig.answer(Answer::StillRunning(StillRunning::StoodStill));
    assert_eq!(rig.view().reason, Some(FailReason::StoppedItself));
    assert_eq!(rig.stage(), Some(Stage::CoolDown));
}

#[test]
fn a_wrong_answer_about_the_end_is_taken_back() {
    let mut rig = Rig::at(Stage::Run);
    rig.event(Event::Told(Told::Ended));
    assert_eq!(rig.stage(), Some(Stage::CoolDown));
    rig.event(Event::Turned(-1));
    assert_eq!(rig.question(), Some(Question::StillRunning));
    rig.answer(Answer::StillRunning(StillRunning::Prints));
    assert_eq!((rig.stage(), rig.question()), (Some(Stage::Run), None));
    assert_eq!(rig.view().reason, None);
    assert!(rig.view().end_s.is_some());
}

/// Found by a random sequence: a probe that was away while the job ended, and "still running" as the last word.
#[test]
fn who_saw_it_run_late_is_asked_again_every_twenty_minutes() {
    let mut rig = Rig::at(Stage::Run);
    let (_, latest) = rig.view().end_s.unwrap();
    rig.wait(u64::from(latest) + 1_201);
    for _ in 0..5 {
        assert_eq!(rig.question(), Some(Question::StillRunning));
        rig.answer(Answer::StillRunning(StillRunning::Prints));
        rig.wait(1_190);
        assert_eq!(rig.question(), None);
        rig.wait(11);
    }
    rig.answer(Answer::StillRunning(StillRunning::Ended));
    assert_eq!(rig.stage(), Some(Stage::CoolDown));
}

#[test]
fn an_end_that_nobody_saw_is_overdue_and_teaches_nothing() {
    let mut rig = Rig::at(Stage::Run);
    rig.wait(9_690 + 969);
    assert_eq!(rig.question(), Some(Question::StillRunning));
    rig.clear_done();
    rig.wait(1_200);
    assert!(rig.done.contains(&Action::Beep(Beep::Alarm)), "20 minutes after the window");
    assert!(rig.view().overdue && rig.view().off_s > 969);
    rig.answer(Answer::StillRunning(StillRunning::Ended));
    rig.wait(780);
    assert_eq!(rig.stage(), Some(Stage::Plate), "by the clock, a third longer than with a probe");
    rig.clear_plate();
    rig.answer(Answer::Outcome(Outcome::Usable));
    assert!(!rig.machine.last().unwrap().end_seen);
    assert!(!rig.done.iter().any(|action| matches!(action, Action::Learn(_))));
}

#[test]
fn the_gate_stays_open_while_anything_is_hot_whoever_comes_next() {
    let mut rig = Rig::at(Stage::Run);
    rig.event(Event::Told(Told::Ended));
    rig.heat(60, 180);
    rig.event(Event::Pressed);
    assert_eq!(rig.stage(), Some(Stage::Plate), "with gloves");
    assert!(rig.view().hot);
    rig.clear_plate();
    rig.answer(Answer::Outcome(Outcome::Good));
    rig.event(Event::CardIn);
    assert_eq!(rig.phase(), Phase::Reading, "the next person's card is read once the run is closed out");
    assert_eq!(rig.machine.gate(), Gate::Open);
    rig.heat(39, 90);
    assert_eq!(rig.machine.gate(), Gate::Open, "the throat still wants its fan");
    rig.heat(39, 50);
    assert_eq!(rig.machine.gate(), Gate::Shut);
}

#[test]
fn without_a_probe_the_gate_shuts_by_the_clock() {
    let mut rig = Rig::at(Stage::Run);
    rig.event(Event::Told(Told::Stopped));
    rig.event(Event::Pressed);
    rig.clear_plate();
    rig.wait(1);
    rig.event(Event::Pressed);
    assert_eq!((rig.phase(), rig.machine.gate()), (Phase::Waiting, Gate::Open));
    rig.wait(760);
    assert_eq!(rig.machine.gate(), Gate::Open);
    rig.wait(20);
    assert_eq!(rig.machine.gate(), Gate::Shut);
    assert_eq!(rig.machine.last().unwrap().outcome, Outcome::Stopped);
}

#[test]
fn a_next_card_waits_for_the_close_out_and_any_finder_may_do_it() {
    for stage in [Stage::WarmUp, Stage::FirstLayer, Stage::Run, Stage::CoolDown, Stage::Plate] {
        let mut rig = Rig::at(stage);
        rig.event(Event::CardIn);
        assert_eq!(rig.stage(), Some(stage));
        rig.event(Event::CardFault);
        assert_eq!(rig.stage(), Some(stage));
        rig.event(Event::CardOut);
        assert_eq!(rig.stage(), Some(stage));
    }
}

#[test]
fn a_card_that_comes_back_changed_before_the_start_takes_the_release_back() {
    let mut rig = Rig::at(Stage::Start);
    assert_eq!(rig.event(Event::CardIn), Action::CheckSeal);
    rig.event(Event::Seal(Seal::Same));
    assert_eq!(rig.stage(), Some(Stage::Start));
    rig.event(Event::Seal(Seal::Changed));
    assert_eq!(rig.phase(), Phase::Reading);
    assert_eq!(rig.machine.gate(), Gate::Shut);
    let last = rig.machine.last().unwrap();
    assert_eq!((last.reason, last.used_mg), (Some(FailReason::WrongJob), 0));
}

#[test]
fn another_job_that_was_started_is_stopped_and_cleared() {
    let mut rig = Rig::at(Stage::Start);
    rig.answer(Answer::Shown(Shown::OtherJob));
    assert_eq!(rig.stage(), Some(Stage::CoolDown));
    rig.heat(30, 40);
    assert_eq!(rig.stage(), Some(Stage::Plate), "what was laid is not known");
}

#[test]
fn what_was_stopped_before_it_laid_anything_has_no_part_to_lift() {
    let mut rig = Rig::at(Stage::WarmUp);
    rig.hold();
    rig.answer(Answer::AfterTrouble(AfterTrouble::Stopped));
    rig.heat(35, 40);
    assert_eq!(rig.stage(), Some(Stage::CloseOut));
}

#[test]
fn a_probe_that_reads_is_waited_for_and_a_slow_warm_up_is_said() {
    let mut rig = Rig::at(Stage::WarmUp);
    rig.wait_hot(470, 41);
    assert_eq!(rig.stage(), Some(Stage::WarmUp));
    rig.clear_done();
    rig.wait_hot(60, 45);
    // 1.5 · 240 + 120 s.
    assert_eq!(rig.view().stall, Some(Stall::Slow));
    assert!(rig.done.contains(&Action::Beep(Beep::Attention)));
    rig.event(Event::Heat(HeatNews::Ready));
    assert_eq!(rig.stage(), Some(Stage::FirstLayer));
    assert_eq!(rig.view().countdown_s, Some(590));
}

#[test]
fn a_question_that_comes_up_under_the_finger_is_not_answered() {
    let mut rig = Rig::at(Stage::FirstLayer);
    rig.wait(589);
    rig.wait_ms(1_100);
    assert_eq!(rig.question(), Some(Question::FirstLayer));
    assert_eq!(rig.event(Event::Pressed), Action::Refused);
    assert_eq!(rig.stage(), Some(Stage::FirstLayer));
}

#[test]
fn wrong_presses_are_taken_back() {
    let mut rig = Rig::at(Stage::WarmUp);
    rig.event(Event::Pressed);
    assert_eq!(rig.stage(), Some(Stage::FirstLayer));
    rig.event(Event::Turned(-1));
    assert_eq!(rig.stage(), Some(Stage::WarmUp));
    assert_eq!(rig.view().countdown_s, Some(240));

    let mut rig = Rig::at(Stage::CloseOut);
    rig.answer(Answer::Outcome(Outcome::Stopped));
    rig.hold();
    assert_eq!(rig.question(), Some(Question::Outcome));
    rig.answer(Answer::Outcome(Outcome::Failed));
    rig.answer(Answer::Reason(FailReason::Curled));
    let last = rig.machine.last().unwrap();
    assert_eq!((last.outcome, last.reason), (Outcome::Failed, Some(FailReason::Curled)));
}

#[test]
fn a_part_that_holds_while_hot_cools_on() {
    let mut rig = Rig::at(Stage::CoolDown);
    rig.heat(58, 150);
    rig.event(Event::Pressed);
    rig.answer(Answer::PartOff(PartOff::Holds));
    rig.event(Event::Pressed);
    assert_eq!(rig.stage(), Some(Stage::CoolDown));
    rig.heat(39, 60);
    assert_eq!(rig.stage(), Some(Stage::Plate));
}

#[test]
fn smoke_asks_nobody_to_confirm() {
    let mut rig = Rig::at(Stage::Run);
    rig.event(Event::Pressed);
    rig.answer(Answer::Running(Running::Smoke));
    rig.event(Event::Pressed);
    assert_eq!(rig.stage(), Some(Stage::CoolDown));
    assert_eq!(rig.view().fault, Some(Answer::Running(Running::Smoke)));
    assert_eq!(rig.machine.gate(), Gate::Open);
}

#[test]
fn a_question_that_a_passer_by_opened_goes_away() {
    let mut rig = Rig::at(Stage::Run);
    rig.event(Event::Pressed);
    assert_eq!(rig.question(), Some(Question::Running));
    rig.wait(60);
    assert_eq!(rig.question(), None);
}

const STAGES: [Stage; 7] = [
    Stage::Start,
    Stage::WarmUp,
    Stage::FirstLayer,
    Stage::Run,
    Stage::CoolDown,
    Stage::Plate,
    Stage::CloseOut,
];

#[test]
fn every_stage_comes_back_from_a_power_cut_through_text() {
    for stage in STAGES {
        let rig = Rig::at(stage);
        let state = rig.persisted();
        let text = serde_json::to_string(&state).unwrap();
        let again: RunState = serde_json::from_str(&text).unwrap();
        assert_eq!(again, state);
        // Back at once, after 20 s without power, with another count of milliseconds.
        let back = Rig::resume(&again, Instant(5), Some(wall(20)));
        assert_eq!(back.stage(), Some(stage));
        assert_eq!(back.machine.gate(), Gate::Open, "it may be running");
        let (mut before, after) = (rig.clone(), back.view());
        before.machine.heat = Heat::default();
        before.wait(20);
        let before = before.view();
        assert_eq!(
            (before.end_s, before.layer, before.now),
            (after.end_s, after.layer, after.now),
            "{stage:?}"
        );
        assert!(after.power_cut && !after.clock_unsure);
        if stage != Stage::CoolDown {
            assert_eq!(before.countdown_s, after.countdown_s, "{stage:?}");
            assert!(after.asked.is_some(), "somebody is asked what the printer does");
        }
        let seal = back.machine.body_crc();
        assert_eq!(seal, offer(None).body_crc);
    }
}

#[test]
fn a_cut_without_a_clock_says_so_and_one_that_outlasts_a_stage_catches_up() {
    let state = Rig::at(Stage::WarmUp).persisted();
    let rig = Rig::resume(&state, Instant(0), None);
    assert!(rig.view().clock_unsure);
    assert_eq!(rig.stage(), Some(Stage::WarmUp));
    let back = Rig::resume(&state, Instant(0), Some(wall(-60)));
    assert!(back.view().clock_unsure, "the clock went back");

    let late = Rig::resume(&state, Instant(0), Some(wall(4_000)));
    assert_eq!(late.stage(), Some(Stage::Run));
    assert_eq!(late.question(), Some(Question::StillRunning));
    // 240 + 9690 s after the start, give or take 969.
    let (from, to) = late.view().end_s.unwrap();
    assert_eq!((from, to), (9_930 - 969 - 4_000, 9_930 + 969 - 4_000));
}

#[test]
fn resumed_runs_are_closed_out_and_a_second_resume_counts_on() {
    let mut rig = Rig::at(Stage::Run);
    rig.wait(100);
    let first = Rig::resume(&rig.persisted(), Instant(0), Some(wall(50)));
    let state = first.machine.run_state(first.now, Some(wall(50))).unwrap();
    let mut second = Rig::resume(&state, Instant(0), Some(wall(90)));
    rig.wait(90);
    assert_eq!(second.view().end_s, rig.view().end_s);
    second.answer(Answer::StillRunning(StillRunning::Stopped));
    second.event(Event::Pressed);
    second.clear_plate();
    second.wait(1);
    second.event(Event::Pressed);
    assert_eq!(second.phase(), Phase::Waiting);
    assert!(second.done.contains(&Action::ForgetRun));
}

#[test]
fn the_room_that_closes_first_is_said() {
    let mut closing = offer(Some(Verdict::Clear));
    closing.plan.closing_in_s = Some(5_000);
    let mut rig = Rig::at_verdict(&closing);
    rig.event(Event::Pressed);
    rig.walk();
    rig.hold();
    rig.answer(Answer::Shown(Shown::SameJob));
    let closes = rig.view().closes_first.unwrap();
    assert!((4_980..5_000).contains(&closes), "{closes}");
}

#[test]
fn heat_in_the_model_is_shown_until_it_is_stale() {
    let mut rig = Rig::at(Stage::Run);
    rig.heat(60, 210);
    assert_eq!(rig.view().heat.unwrap().plate, Some(Celsius(60)));
    rig.wait(121);
    assert_eq!(rig.view().heat, None);
}
