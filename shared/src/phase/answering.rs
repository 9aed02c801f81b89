//! What an answer leads to.

use super::answers::{
    AfterFault, AfterTrouble, Again, FailReason, FirstLayer, Outcome, PartOff, PlateBack, Running, Shown,
    StillRunning, Strip,
};
use super::machine::Machine;
use super::question::{Answer, Question};
use super::run::{Stage, said};
use super::{Action, Beep, Hand, Phase, QUICKEST_MS};
use crate::time::Instant;

/// A first layer that came right is watched for so much longer, seconds: about two more layers (judgement).
const WATCH_ON_S: u32 = 180;

impl Machine {
    /// The knob was pressed.
    pub(super) fn pressed(&mut self, now: Instant) -> bool {
        let Some(ask) = self.ask else {
            return match self.phase.stage() {
                Some(stage) => self.pressed_in_run(now, stage),
                None => self.pressed_at_card(now),
            };
        };
        if let Some(wrong) = ask.wrong {
            self.after_remedy(now, ask.question, wrong);
            return true;
        }
        if matches!(ask.question, Question::Owner | Question::InCharge) {
            return self.person_pressed(now, ask);
        }
        let Some(place) = ask.place else { return false };
        // It came up under the finger: the press was meant for the screen before.
        if self.phase.is_released() && now.since_ms(ask.since) < QUICKEST_MS {
            return false;
        }
        let sticker = ask.question == Question::Hand(Hand::Sticker);
        let answer =
            if sticker { Some(Answer::Sticker(place)) } else { ask.question.answer(self.walk.order, place) };
        let Some(answer) = answer else { return false };
        if let Question::Hand(hand) = ask.question {
            self.answer_hand(now, hand, answer);
        } else {
            self.hint(Action::Answered(ask.question, answer));
            self.answer(now, answer);
        }
        true
    }

    /// The remedy of a wrong answer was read.
    fn after_remedy(&mut self, now: Instant, question: Question, wrong: Answer) {
        let next = match wrong {
            Answer::Strip(_) | Answer::FirstLayer(_) => Question::AfterFault,
            // Hot parts hold: it goes on cooling.
            Answer::PartOff(PartOff::Holds) if self.is_hot(now) => return self.go_to(Stage::CoolDown),
            // Mains off, out: nobody is asked anything in front of a fire.
            Answer::Running(Running::Smoke) => return self.stop(now, FailReason::Other),
            Answer::Running(_) => Question::AfterTrouble,
            Answer::Sticker(_)
            | Answer::Seen(_)
            | Answer::Shown(_)
            | Answer::AfterFault(_)
            | Answer::AfterTrouble(_)
            | Answer::StillRunning(_)
            | Answer::PartOff(_)
            | Answer::PlateBack(_)
            | Answer::Outcome(_)
            | Answer::Reason(_)
            | Answer::Lead(_)
            | Answer::Again(_)
            | Answer::Use(_)
            | Answer::Owner
            | Answer::InCharge
            | Answer::Nobody => question,
        };
        self.ask(now, next);
    }

    /// Shows the remedy of what was seen.
    fn remedy(&mut self, answer: Answer) {
        if let Some(ask) = &mut self.ask {
            ask.wrong = Some(answer);
            ask.lapses = false;
        }
        self.persist();
    }

    /// Something was seen that is not as it should be.
    fn fault(&mut self, answer: Answer) {
        self.run.fault = Some(answer);
        self.remedy(answer);
    }

    fn answer(&mut self, now: Instant, answer: Answer) {
        match answer {
            Answer::Shown(Shown::SameJob) => self.started(now),
            Answer::Shown(Shown::OtherJob) => self.stop(now, FailReason::WrongJob),
            Answer::Shown(Shown::NotStarted) => self.never_started(now),
            Answer::Strip(Strip::Nothing) => self.fault(answer),
            Answer::Strip(Strip::Solid | Strip::Thin) => self.settle(),
            Answer::FirstLayer(FirstLayer::Good) => self.first_layer_good(now),
            Answer::FirstLayer(_) => self.fault(answer),
            Answer::AfterFault(AfterFault::CameRight) => {
                self.run.watch_to_s = Some(self.run_s(now).saturating_add(WATCH_ON_S));
                self.run.unsay(said::WATCH);
                self.go_on(now);
            }
            Answer::AfterFault(AfterFault::Stopped) | Answer::AfterTrouble(AfterTrouble::Stopped) => {
                let reason = self.reason_of_fault();
                self.stop(now, reason);
            }
            Answer::Running(Running::Fine | Running::GoesOn)
            | Answer::AfterTrouble(AfterTrouble::GoesOn)
            | Answer::StillRunning(StillRunning::Prints) => self.go_on(now),
            Answer::Running(Running::Waits) => self.pause(now),
            Answer::Running(Running::StoodStill) | Answer::StillRunning(StillRunning::StoodStill) => {
                self.stop(now, FailReason::StoppedItself);
            }
            Answer::Running(Running::Stopped) | Answer::StillRunning(StillRunning::Stopped) => {
                self.stop(now, FailReason::StoppedByPerson);
            }
            Answer::Running(Running::Strands | Running::Air | Running::Shifted) => self.fault(answer),
            Answer::Running(Running::Smoke) => {
                self.fault(answer);
                self.beep(now, Beep::Alarm);
            }
            Answer::StillRunning(StillRunning::Ended) => self.end(now, false),
            Answer::PartOff(PartOff::Holds) => self.remedy(answer),
            Answer::PartOff(PartOff::BitsLeft) => {
                self.run.lifted_s.get_or_insert(self.clock.run_s(now));
                self.remedy(answer);
            }
            Answer::PartOff(PartOff::Off) => {
                self.run.lifted_s.get_or_insert(self.clock.run_s(now));
                self.next_question(now, Question::PlateBack);
            }
            Answer::PlateBack(PlateBack::NotSure) => self.remedy(answer),
            Answer::PlateBack(PlateBack::TwoPins) => self.enter_close_out(now),
            Answer::Outcome(outcome) => {
                self.run.outcome = Some(outcome);
                match outcome {
                    Outcome::Good | Outcome::Usable => self.last_questions(now),
                    Outcome::Failed | Outcome::Stopped => self.next_question(now, Question::Reason),
                }
            }
            Answer::Reason(reason) => {
                self.run.reason = Some(reason);
                let by_person = reason == FailReason::StoppedByPerson;
                let outcome = if by_person { Outcome::Stopped } else { Outcome::Failed };
                self.run.outcome.get_or_insert(outcome);
                self.last_questions(now);
            }
            Answer::Again(Again::Free) => self.finish(now, false),
            Answer::Again(Again::Again) => self.finish(now, true),
            Answer::Lead(reason) => {
                self.walk.lead = Some(reason);
                self.onward(now);
            }
            Answer::Use(why) => {
                self.out_of_use = why;
                self.ask = None;
                self.push(Action::OutOfUse(why));
            }
            // Hand checks and persons are answered before the release.
            Answer::Sticker(_) | Answer::Seen(_) | Answer::Owner | Answer::InCharge | Answer::Nobody => {}
        }
    }

    fn first_layer_good(&mut self, now: Instant) {
        if self.run_s(now) >= self.run.watch_end_s(&self.plan) {
            self.enter_run(now, true);
        } else {
            // Good so far: the watch goes on to its end.
            self.settle();
        }
    }

    /// Somebody is there in the watch.
    pub(super) fn note_watch(&mut self, now: Instant) {
        if self.phase == Phase::Released(Stage::FirstLayer) {
            let begin = self.run.at(&self.plan, self.plan.lead_s());
            self.run.watched_s = self.run_s(now).saturating_sub(begin);
        }
    }

    /// One question is answered and the next comes up; kept, so that a power cut asks that one.
    fn next_question(&mut self, now: Instant, question: Question) {
        self.ask(now, question);
        self.persist();
    }
}
