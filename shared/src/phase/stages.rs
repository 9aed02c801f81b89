//! From the start to the cool-down: what heat, people and the knob bring about.

use super::answers::{FailReason, FirstLayer, Hand, Running};
use super::machine::{Ask, Machine};
use super::question::{Answer, Question};
use super::run::{Stage, said};
use super::{Beep, HeatNews, Phase, Told};
use crate::time::Instant;

impl Machine {
    #[inline(never)]
    pub(super) fn run_s(&self, now: Instant) -> u32 {
        self.clock.run_s(now)
    }

    /// News of the heat.
    pub(super) fn heat_news(&mut self, now: Instant, news: HeatNews) -> bool {
        let stage = self.phase.stage();
        match news {
            HeatNews::Reading(heat) => {
                (self.heat, self.heat_at) = (heat, now);
                if stage == Some(Stage::CoolDown) && self.has_cooled() {
                    self.enter_plate(now);
                }
                true
            }
            HeatNews::Rising => {
                let starts = stage == Some(Stage::Start);
                if starts {
                    self.started(now);
                }
                starts
            }
            HeatNews::Ready => {
                let begins = stage == Some(Stage::WarmUp);
                if begins {
                    self.first_move(now);
                }
                begins
            }
            HeatNews::Stalled(stall) => {
                let stalls = stage == Some(Stage::WarmUp) && self.run.stall != Some(stall);
                if stalls {
                    self.run.stall = Some(stall);
                    self.beep(now, Beep::Attention);
                }
                stalls
            }
            HeatNews::Falling(since_s) => match stage {
                Some(Stage::FirstLayer | Stage::Run) => {
                    self.heat_fell(now, since_s);
                    true
                }
                Some(Stage::Start | Stage::WarmUp | Stage::CoolDown | Stage::Plate | Stage::CloseOut)
                | None => false,
            },
        }
    }

    /// The plate falls: the end, or something that stopped by itself.
    fn heat_fell(&mut self, now: Instant, since_s: u16) {
        let (earliest, _) = self.run.window(&self.plan);
        if self.run.paused_at.is_none() && self.run_s(now) >= earliest {
            self.end(now, true);
            self.run.ended_s = self.run.ended_s.map(|ended| ended.saturating_sub(since_s.into()));
        } else if !self.run.has_said(said::COOLING_EARLY) {
            self.run.say(said::COOLING_EARLY);
            self.beep(now, Beep::Alarm);
            self.ask(now, Question::StillRunning);
        }
    }

    /// Somebody says what the printer does.
    pub(super) fn told(&mut self, now: Instant, told: Told) -> bool {
        let Some(stage) = self.phase.stage() else { return false };
        match (stage, told) {
            (Stage::Start, Told::Started) => self.started(now),
            (Stage::Start | Stage::WarmUp | Stage::FirstLayer | Stage::Run, Told::Stopped) => {
                self.stop(now, FailReason::StoppedByPerson);
            }
            (Stage::FirstLayer | Stage::Run, Told::Paused) => self.pause(now),
            (Stage::WarmUp | Stage::FirstLayer | Stage::Run, Told::GoesOn) => self.go_on(now),
            (Stage::FirstLayer | Stage::Run, Told::Ended) => self.end(now, false),
            (Stage::Start, Told::Paused | Told::GoesOn | Told::Ended)
            // What waits before its first move has begun no job seconds yet.
            | (Stage::WarmUp, Told::Started | Told::Paused | Told::Ended)
            | (Stage::FirstLayer | Stage::Run, Told::Started)
            | (
                Stage::CoolDown | Stage::Plate | Stage::CloseOut,
                Told::Started | Told::Paused | Told::GoesOn | Told::Stopped | Told::Ended,
            ) => return false,
        }
        true
    }

    /// The vetted job was started.
    pub(super) fn started(&mut self, now: Instant) {
        self.run.started_s = Some(self.run_s(now));
        self.go_to(Stage::WarmUp);
    }

    /// Warm-up is over: the job's seconds begin.
    pub(super) fn first_move(&mut self, now: Instant) {
        self.run.ready_s = Some(self.run_s(now));
        self.go_to(Stage::FirstLayer);
    }

    /// The first layer is good, or nobody is there any more.
    pub(super) fn enter_run(&mut self, now: Instant, watched: bool) {
        let pending = self.ask.filter(|ask| {
            ask.wrong.is_some() || matches!(ask.question, Question::AfterFault | Question::StillRunning)
        });
        self.go_to(Stage::Run);
        match pending {
            // A fault that was seen and never settled stays on the screen.
            Some(Ask { question: Question::StillRunning, .. }) => self.ask(now, Question::StillRunning),
            Some(_) => self.ask(now, Question::AfterTrouble),
            None if watched => self.run.say(said::LEAVING),
            None => {}
        }
    }

    pub(super) fn pause(&mut self, now: Instant) {
        let at = self.run_s(now);
        self.run.paused_at.get_or_insert(at);
        self.settle();
    }

    /// It prints: a pause, a doubt or a look that was due is over.
    pub(super) fn go_on(&mut self, now: Instant) {
        if let Some(since) = self.run.paused_at.take() {
            self.run.paused_s = self.run.paused_s.saturating_add(self.run_s(now).saturating_sub(since));
        }
        self.run.unsay(said::COOLING_EARLY | said::POWER_CUT | said::OVERDUE);
        self.run.seen_s = Some(self.run_s(now));
        self.run.fault = None;
        self.settle();
    }

    /// The question is settled; what came of it is kept.
    pub(super) fn settle(&mut self) {
        self.ask = None;
        self.run.look = None;
        self.persist();
    }

    /// It was stopped, by a person or by itself.
    pub(super) fn stop(&mut self, now: Instant, reason: FailReason) {
        if self.run.stage == Stage::FirstLayer && self.run.fault.is_some() {
            self.run.say(said::FIRST_LAYER_FAILED);
        }
        self.run.reason = Some(reason);
        self.over(now);
    }

    /// It came to its end. `measured` by the plate's fall; else somebody says so, and stood there if it is not late.
    pub(super) fn end(&mut self, now: Instant, measured: bool) {
        let (_, latest) = self.run.window(&self.plan);
        if measured || self.run_s(now) <= latest {
            self.run.say(said::END_SEEN);
        }
        self.run.say(said::FINISHED);
        self.over(now);
    }

    fn over(&mut self, now: Instant) {
        self.run.ended_s = Some(self.run_s(now));
        self.set_cold_after(now, 0);
        self.go_to(Stage::CoolDown);
    }

    /// The machine counts as cold after its whole cooling time, of which so many seconds are over, while nothing is
    /// read.
    pub(super) fn set_cold_after(&mut self, now: Instant, over_s: u32) {
        self.cold_at = now.after_ms(u64::from(self.cool_by_clock_s().saturating_sub(over_s)) * 1000);
    }

    /// Cooling time without a probe: a third more than learned (job catalogue, S14: × 1.3).
    pub(super) fn cool_by_clock_s(&self) -> u32 {
        u32::from(self.plan.cool_s) * 13 / 10
    }

    /// The plate is at or below what may be touched and what lets go.
    pub(super) fn has_cooled(&self) -> bool {
        self.heat.plate.is_some_and(|plate| plate.0 <= self.plan.touch_c.min(self.plan.release_c))
    }

    /// The knob was pressed where no question stands.
    pub(super) fn pressed_in_run(&mut self, now: Instant, stage: Stage) -> bool {
        let question = match stage {
            Stage::Start => Question::Shown,
            Stage::WarmUp => {
                // The person sees the head move: better than any estimate.
                self.first_move(now);
                return true;
            }
            Stage::FirstLayer => Question::FirstLayer,
            Stage::Run if self.run.has_said(said::LEAVING) => {
                self.run.unsay(said::LEAVING);
                self.persist();
                return true;
            }
            Stage::Run if self.run.said & (said::SHOULD_END | said::COOLING_EARLY | said::POWER_CUT) != 0 => {
                Question::StillRunning
            }
            Stage::Run => Question::Running,
            Stage::CoolDown => {
                self.enter_plate(now);
                return true;
            }
            Stage::Plate => Question::PartOff,
            Stage::CloseOut => Question::Outcome,
        };
        self.ask(now, question);
        if let Some(ask) = &mut self.ask {
            ask.lapses = matches!(stage, Stage::FirstLayer | Stage::Run);
        }
        true
    }

    /// The knob was turned.
    pub(super) fn turned(&mut self, now: Instant, detents: i8) -> bool {
        let grades = self.terms.map_or(0, |terms| terms.grades);
        if let Some(question) = self.question() {
            if self.sign_turned(detents) {
                return true;
            }
            let count = if matches!(question, Question::Owner | Question::InCharge) {
                self.person_count(question).into()
            } else if question == Question::Hand(Hand::Sticker) {
                grades.into()
            } else {
                question.answers().len()
            };
            let Some(ask) = &mut self.ask else { return false };
            if ask.wrong.is_some() || detents == 0 {
                return false;
            }
            let Some(last) = count.checked_sub(1).and_then(|last| u8::try_from(last).ok()) else {
                return false;
            };
            ask.place = Some(match ask.place {
                Some(place) => place.saturating_add_signed(detents).min(last),
                None if detents > 0 => 0,
                None => last,
            });
            return true;
        }
        match self.phase {
            // It still prints after all, whatever was answered.
            Phase::Released(Stage::CoolDown) if detents < 0 => {
                self.run.ended_s = None;
                self.run.reason = None;
                self.run.unsay(said::FINISHED | said::END_SEEN | said::FIRST_LAYER_FAILED);
                let stage = match (self.run.ready_s, self.run.started_s) {
                    (Some(_), _) if self.run_s(now) < self.run.watch_end_s(&self.plan) => Stage::FirstLayer,
                    (Some(_), _) => Stage::Run,
                    (None, Some(_)) => Stage::WarmUp,
                    (None, None) => Stage::Start,
                };
                self.go_to(stage);
                self.ask(now, if stage == Stage::Start { Question::Shown } else { Question::StillRunning });
                true
            }
            // The head does not move yet: pressed too soon.
            Phase::Released(Stage::FirstLayer)
                if detents < 0 && self.run.job_s(&self.plan, self.run_s(now)) < self.plan.lead_s() =>
            {
                self.run.ready_s = None;
                self.go_to(Stage::WarmUp);
                true
            }
            Phase::Released(
                Stage::Start
                | Stage::WarmUp
                | Stage::FirstLayer
                | Stage::Run
                | Stage::CoolDown
                | Stage::Plate
                | Stage::CloseOut,
            ) => false,
            Phase::Waiting
            | Phase::Reading
            | Phase::Nothing
            | Phase::Jobs { .. }
            | Phase::Verdict { .. }
            | Phase::Points { .. }
            | Phase::Fault
            | Phase::Key { .. }
            | Phase::Walk
            | Phase::Release
            | Phase::Away => self.turned_at_card(now, detents),
        }
    }

    /// Why a fault that was seen ends the run.
    pub(super) fn reason_of_fault(&self) -> FailReason {
        match self.run.fault {
            Some(Answer::FirstLayer(FirstLayer::Nothing) | Answer::Strip(_)) => FailReason::NoPlastic,
            Some(Answer::FirstLayer(FirstLayer::Strings)) => FailReason::Stringy,
            Some(Answer::FirstLayer(_)) => FailReason::FirstLayerBad,
            Some(Answer::Running(Running::Strands)) => FailReason::CameOff,
            Some(Answer::Running(Running::Air)) => FailReason::RanOut,
            Some(Answer::Running(Running::Shifted)) => FailReason::Shifted,
            Some(Answer::Running(Running::StoodStill)) => FailReason::StoppedItself,
            Some(Answer::Running(Running::Smoke)) => FailReason::Other,
            Some(Answer::Running(Running::Fine | Running::Waits | Running::GoesOn | Running::Stopped))
            | Some(
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
                | Answer::Nobody,
            )
            | None => FailReason::StoppedByPerson,
        }
    }
}
