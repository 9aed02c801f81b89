//! Times: what comes due in each stage, and what it brings about.

use super::machine::{Machine, STALE_MS};
use super::plan::LookAt;
use super::question::Question;
use super::run::{Stage, said};
use super::walk::HOLD_MS;
use super::{Beep, Phase};
use crate::time::Instant;

/// The ooze is pulled off so long before the first move, seconds (job catalogue, S8).
const OOZE_S: u32 = 30;
/// A pause is announced so long before, seconds (section 4).
const PAUSE_WARNING_S: u32 = 600;
/// The sweep before closing, seconds (S19).
const SWEEP_S: u32 = 1800;
/// An end is overdue so long after its window, seconds (S12).
const OVERDUE_S: u32 = 1200;
/// A watch that nobody answered for is given up so long after its end, seconds: after the last beep.
const UNWATCHED_S: u32 = 500;
/// A plate that was lifted is missed after so long, seconds (S16).
const CHASE_S: u32 = 600;
/// Leave to go is shown for so long after the watch, seconds (judgement): the person has gone by then.
const LEAVING_S: u32 = 600;
/// A question that a passer-by opened goes away after so long, ms (judgement).
const LAPSE_MS: u64 = 60_000;
/// More than can come due at once: each thing that is said is said once.
const MOST_DUE: u8 = 40;

#[derive(Clone, Copy, Debug)]
enum Due {
    Ooze,
    FirstMove,
    Slow,
    Strip,
    WatchOver,
    Unwatched,
    Left,
    Look,
    PauseSoon,
    Pause,
    Closing,
    ShouldEnd,
    Overdue,
    Cooled,
    Chase,
}

impl Machine {
    /// When [`Machine::handle_timeout`] wants to be called next; `None` = not before the next event.
    #[must_use]
    pub fn next_timeout(&self) -> Option<Instant> {
        let fill = self.fill.map(|since| since.after_ms(HOLD_MS));
        let lapse = self.ask.filter(|ask| ask.lapses).map(|ask| ask.since.after_ms(LAPSE_MS));
        let away = (self.phase == Phase::Away).then_some(self.walk.away_until);
        let key = matches!(self.phase, Phase::Key { .. }).then(|| self.key.open_until());
        let stage = self.stage_due().map(|(at_s, _)| self.clock.instant(at_s));
        // Gone stale or cold: then the gate is looked at.
        let gate = (self.gate_open && !self.phase.is_released()).then(|| {
            let stale = self.heat_at.after_ms(STALE_MS);
            if self.heat.plate.is_some() { self.cold_at.max(stale) } else { self.cold_at }
        });
        [fill, lapse, away, key, stage, gate, self.beeper.due()].into_iter().flatten().min()
    }

    /// Does what has come due; whether there was anything.
    pub(super) fn run_due(&mut self, now: Instant) -> bool {
        let mut any = false;
        if self.fill.is_some_and(|since| now.since_ms(since) >= HOLD_MS) {
            self.filled(now);
            any = true;
        }
        if self.ask.is_some_and(|ask| ask.lapses && now.since_ms(ask.since) >= LAPSE_MS) {
            self.ask = None;
            any = true;
        }
        if self.phase == Phase::Away && now >= self.walk.away_until {
            self.enter_waiting();
            if self.card {
                // Its seal was never answered for: begin anew.
                self.list_card();
            }
            any = true;
        }
        if matches!(self.phase, Phase::Key { .. }) && now >= self.key.open_until() {
            // Whoever entered it is gone.
            self.enter_verdict();
            any = true;
        }
        for _ in 0..MOST_DUE {
            let Some((_, due)) = self.stage_due().filter(|&(at_s, _)| self.clock.instant(at_s) <= now) else {
                break;
            };
            self.bring_about(now, due);
            any = true;
        }
        if let Some(beep) = self.beeper.take(now) {
            self.hint(super::Action::Beep(beep));
            any = true;
        }
        any
    }

    /// What comes due next in the present stage, in run seconds.
    fn stage_due(&self) -> Option<(u32, Due)> {
        let (run, plan) = (&self.run, &self.plan);
        let mut next: Option<(u32, Due)> = None;
        let mut put = |wanted: bool, at_s: u32, due: Due| {
            if wanted && next.is_none_or(|(earliest, _)| at_s < earliest) {
                next = Some((at_s, due));
            }
        };
        match self.phase.stage()? {
            Stage::Start | Stage::CloseOut => {}
            Stage::WarmUp => {
                let begun = run.started_s.unwrap_or(0);
                let warm = u32::from(plan.warm_s);
                let ready = begun.saturating_add(warm);
                put(!run.has_said(said::OOZE), ready.saturating_sub(OOZE_S), Due::Ooze);
                // A probe that is read says itself when it is hot.
                put(!(self.heat.measured && self.heat.plate.is_some()), ready, Due::FirstMove);
                put(!run.has_said(said::SLOW), begun.saturating_add(warm + warm / 2 + 120), Due::Slow);
            }
            Stage::FirstLayer => {
                let purged = run.at(plan, plan.lead_s());
                put(plan.purge_s > 0 && !run.has_said(said::STRIP), purged, Due::Strip);
                let over = run.watch_end_s(plan);
                if run.has_said(said::WATCH) {
                    put(true, over.saturating_add(UNWATCHED_S), Due::Unwatched);
                } else {
                    put(true, over, Due::WatchOver);
                }
            }
            Stage::Run => {
                let closing = run.closing_s.map(|at| at.saturating_sub(SWEEP_S));
                let (_, latest) = run.window(plan);
                let left = run.watch_end_s(plan).saturating_add(LEAVING_S);
                put(run.has_said(said::LEAVING), left, Due::Left);
                put(closing.is_some() && !run.has_said(said::CLOSING), closing.unwrap_or(0), Due::Closing);
                // What waits has no next moment.
                if run.paused_at.is_none() {
                    if let Some(look) = plan.looks.get(usize::from(run.looks_done)) {
                        put(true, run.at(plan, look.at_s), Due::Look);
                    }
                    if let Some(&stop) = plan.stops.get(usize::from(run.stops_done)) {
                        let at = run.at(plan, stop);
                        put(
                            !run.has_said(said::STOP_SOON),
                            at.saturating_sub(PAUSE_WARNING_S),
                            Due::PauseSoon,
                        );
                        put(true, at, Due::Pause);
                    }
                    put(!run.has_said(said::SHOULD_END), latest, Due::ShouldEnd);
                    // Who saw it run late is asked again: heat that stays on is nobody's to forget.
                    let seen = latest.max(run.seen_s.unwrap_or(0));
                    put(!run.has_said(said::OVERDUE), seen.saturating_add(OVERDUE_S), Due::Overdue);
                }
            }
            Stage::CoolDown => {
                // A fresh reading counts, and nothing else; a stale one is not believed.
                let stale = self.heat.plate.map_or(Instant::default(), |_| self.heat_at.after_ms(STALE_MS));
                let cold = self.cold_at.max(stale).after_ms(999);
                put(true, self.clock.run_s(cold), Due::Cooled);
            }
            Stage::Plate => {
                let lifted = run.lifted_s.map(|at| at.saturating_add(CHASE_S));
                put(lifted.is_some() && !run.has_said(said::CHASE), lifted.unwrap_or(0), Due::Chase);
            }
        }
        next
    }

    fn bring_about(&mut self, now: Instant, due: Due) {
        match due {
            Due::Ooze => {
                self.run.say(said::OOZE);
                self.beep(now, Beep::Start);
            }
            Due::FirstMove => {
                // When it was due, not when somebody looked at the clock.
                let at = self.run.first_move_s(&self.plan);
                self.first_move(now);
                self.run.ready_s = Some(at);
            }
            Due::Slow => {
                self.run.say(said::SLOW);
                self.run.stall.get_or_insert(super::Stall::Slow);
                self.beep(now, Beep::Attention);
            }
            Due::Strip => {
                self.run.say(said::STRIP);
                self.due_question(now, Question::Strip, Beep::Start);
                if let Some(ask) = self.ask.as_mut().filter(|ask| ask.question == Question::Strip) {
                    ask.lapses = true;
                }
            }
            Due::WatchOver => {
                self.run.say(said::WATCH);
                // A passer-by's question or that of the strip gives way.
                self.ask = self.ask.filter(|ask| !ask.lapses);
                self.due_question(now, Question::FirstLayer, Beep::Start);
            }
            Due::Unwatched => self.enter_run(now, false),
            Due::Left => {
                self.run.unsay(said::LEAVING);
                self.persist();
            }
            Due::Look => {
                let look = self.plan.looks.get(usize::from(self.run.looks_done)).map(|look| look.at);
                self.run.looks_done = self.run.looks_done.saturating_add(1);
                self.due_question(now, Question::Running, Beep::Attention);
                self.run.look = look;
            }
            Due::PauseSoon => {
                self.run.say(said::STOP_SOON);
                self.beep(now, Beep::Attention);
            }
            Due::Pause => {
                let at = self.plan.stops.get(usize::from(self.run.stops_done)).copied().unwrap_or(0);
                let at = self.run.at(&self.plan, at);
                self.run.stops_done = self.run.stops_done.saturating_add(1);
                self.run.unsay(said::STOP_SOON);
                self.run.paused_at = Some(at);
                self.due_question(now, Question::Running, Beep::Attention);
            }
            Due::Closing => {
                self.run.say(said::CLOSING);
                self.due_question(now, Question::Running, Beep::Attention);
                self.run.look = Some(LookAt::Closing);
            }
            Due::ShouldEnd => {
                self.run.say(said::SHOULD_END);
                self.ask = self.ask.filter(|ask| ask.question != Question::Running || ask.wrong.is_some());
                self.due_question(now, Question::StillRunning, Beep::Attention);
            }
            Due::Overdue => {
                self.run.say(said::OVERDUE);
                self.due_question(now, Question::StillRunning, Beep::Alarm);
            }
            Due::Cooled => {
                self.run.ended_s.get_or_insert(0);
                self.enter_plate(now);
            }
            Due::Chase => {
                self.run.say(said::CHASE);
                self.beep(now, Beep::Start);
                // Once.
                self.beeper.end();
            }
        }
    }

    /// A question whose time has come; one that stands already is answered first. What was said is kept.
    fn due_question(&mut self, now: Instant, question: Question, beep: Beep) {
        if self.ask.is_none() {
            self.ask(now, question);
        }
        self.run.unsay(said::LEAVING);
        self.beep(now, beep);
        self.persist();
    }
}
