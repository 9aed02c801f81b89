//! Plate and close-out: what is left to ask, and what is written at the end.

use super::answers::{FailReason, Hand, Outcome};
use super::machine::Machine;
use super::question::{Answer, Question};
use super::run::{CloseOut, Stage, said};
use super::{Action, Beep, RowKind};
use crate::time::Instant;

/// Hand checks that count again when a failed first layer is run once more.
const AGAIN: u16 =
    Hand::Plate.bit() | Hand::Pins.bit() | Hand::Clean.bit() | Hand::PurgeArea.bit() | Hand::Nozzle.bit();

impl Machine {
    /// Cooled down, or somebody with gloves goes on.
    pub(super) fn enter_plate(&mut self, now: Instant) {
        let bare = self.used_permille() == 0 && self.run.reason != Some(FailReason::WrongJob);
        if bare {
            // Nothing was laid: there is nothing to lift.
            return self.enter_close_out(now);
        }
        self.go_to(Stage::Plate);
        self.ask(now, Question::PartOff);
        self.beep(now, Beep::Start);
    }

    pub(super) fn enter_close_out(&mut self, now: Instant) {
        self.go_to(Stage::CloseOut);
        let Some(reason) = self.run.reason else { return self.ask(now, Question::Outcome) };
        // How it ended is known: the knob starts on why.
        self.ask(now, Question::Reason);
        let known = Question::Reason.answers().iter().position(|answer| *answer == Answer::Reason(reason));
        if let Some(ask) = &mut self.ask {
            ask.place = known.and_then(|place| u8::try_from(place).ok()).or(ask.place);
        }
    }

    /// Outcome and reason are known. Where the card is nobody is asked: the screen says to take it along.
    pub(super) fn last_questions(&mut self, now: Instant) {
        // Without the terms of the vetting (after a power cut) it has to be vetted again.
        if self.run.has_said(said::FIRST_LAYER_FAILED) && self.terms.is_some() {
            self.ask(now, Question::Again);
            self.persist();
        } else {
            self.finish(now, false);
        }
    }

    /// Filament used, permille of the need.
    pub(super) fn used_permille(&self) -> u16 {
        if self.run.has_said(said::FINISHED) {
            return 1000;
        }
        let Some(ended) = self.run.ended_s else { return 0 };
        self.plan.progress(self.run.job_s(&self.plan, ended)).share.min(1000)
    }

    /// Released, and nothing was started.
    pub(super) fn never_started(&mut self, now: Instant) {
        self.run.reason.get_or_insert(FailReason::StoppedByPerson);
        self.run.outcome = Some(Outcome::Stopped);
        self.run.ended_s = Some(self.run_s(now));
        self.finish(now, false);
    }

    /// The run is closed out: rows, balance, what was learned; then the next person, or the same job again.
    pub(super) fn finish(&mut self, now: Instant, again: bool) {
        let run_s = self.run_s(now);
        let ended = self.run.ended_s.unwrap_or(run_s);
        let started = self.run.started_s;
        let used_mg = self.plan.mass_mg(self.used_permille());
        let outcome = self.run.outcome.unwrap_or(Outcome::Stopped);
        self.last = Some(CloseOut {
            outcome,
            reason: self.run.reason,
            lead: self.run.lead,
            released_ago_s: run_s,
            started_ago_s: started.map(|at| run_s.saturating_sub(at)),
            ended_ago_s: run_s.saturating_sub(ended),
            actual_s: started.map_or(0, |at| ended.saturating_sub(at)),
            forecast_s: self.run.end_s(&self.plan).saturating_sub(started.unwrap_or(0)),
            watch_asked_s: self.plan.watch.stay_s.into(),
            watch_done_s: self.run.watched_s,
            used_mg,
            end_seen: self.run.has_said(said::END_SEEN),
            clock_unsure: self.run.has_said(said::CLOCK_UNSURE),
        });
        self.push(Action::Row(RowKind::CloseOut));
        if used_mg > 0 {
            self.push(Action::Deduct(used_mg));
        }
        if let Some(ratio) = self.learned(outcome, ended) {
            self.push(Action::Learn(ratio));
        }
        self.push(Action::ForgetRun);
        self.beeper.end();
        if again {
            self.walk.done &= !AGAIN;
            self.walk.lead = self.run.lead;
            self.walk.at = now;
            self.plan.hands |= AGAIN;
            self.onward(now);
        } else if self.card {
            self.list_card();
        } else {
            self.enter_waiting();
        }
    }

    /// True over estimated time of a finished run, permille; `None` when nobody saw its end or the clock failed.
    fn learned(&self, outcome: Outcome, ended: u32) -> Option<u16> {
        let well = match outcome {
            Outcome::Good | Outcome::Usable => true,
            Outcome::Failed | Outcome::Stopped => false,
        };
        let sure = self.run.has_said(said::END_SEEN) && !self.run.has_said(said::CLOCK_UNSURE);
        let ready = self.run.ready_s.filter(|_| well && sure && self.run.has_said(said::FINISHED))?;
        let lead = self.plan.lead_s();
        let taken = ended.saturating_sub(ready).saturating_sub(self.run.paused_s).saturating_sub(lead);
        let meant = self.plan.end_s.saturating_sub(lead);
        // No job lasts 40 days: the product stays in 32 bits.
        let ratio = (taken.min(4_000_000) * 1000).checked_div(meant)?;
        u16::try_from(ratio).ok()
    }
}
