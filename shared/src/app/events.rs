//! Events, time and heat, on their way to the phases.

use crate::checks::{ProbeValue, Probes, Verdict};
use crate::heat::{Alarm, News, Targets, Thermal, whole};
use crate::phase::{self, Action, Beep, Entered, Phase, Stage};
use crate::units::Celsius;
use crate::words::run::RunPage;

use super::device::Wanted;
use super::device::{App, Event};
use super::notice::{Notice, is_mess, why};
use super::plan::lead_key;
use super::plan::target;
use super::setup::Now;

impl App {
    /// Takes an event.
    pub fn handle(&mut self, now: Now, event: Event) {
        if self.notices.top.is_some() && matches!(event, Event::Press | Event::Turn(_)) {
            // It was read; the knob means the screen that was seen.
            let read = self.notices.top.take();
            self.next_notice(read);
            if matches!((read, event), (Some(Notice::Records), Event::Press)) {
                self.desk_opened(now);
            }
            return;
        }
        match event {
            // The desk settles and takes over what is kept.
            Event::Turn(detents) if self.lead.wanted.is_some() => return self.desk_turned(now, detents),
            Event::Press if self.lead.wanted.is_some() => return self.desk_pressed(now),
            Event::Hold if self.lead.wanted.is_some() || self.settles(now) => return,
            Event::CardRemoved => self.lead.wanted = None,
            // The next person has come.
            Event::CardInserted => self.lead.wanted = None,
            _ => {}
        }
        if let (Event::Turn(detents), Phase::Released(Stage::Run)) = (event, self.phase.phase())
            && self.phase.question().is_none()
        {
            let sides = if self.knows_who(now) { 3 } else { 2 };
            self.panel.side = match detents {
                ..=0 => self.panel.side.checked_sub(1).unwrap_or(sides - 1),
                1.. => (self.panel.side + 1) % sides,
            };
            return;
        }
        let event = match event {
            Event::CardInserted => {
                // The next person has come.
                self.notices.top = self
                    .notices
                    .top
                    .filter(|notice| !matches!(notice, Notice::Due(RunPage::Free | RunPage::CardEarly)));
                (self.daybook.card_refuses, self.daybook.events_refused) = (false, false);
                self.search_records();
                phase::Event::CardIn
            }
            Event::CardRemoved => {
                self.chosen.compares_file = false;
                self.end_search();
                phase::Event::CardOut
            }
            Event::CardUnreadable(error) => {
                self.fault = Some(error);
                // The card is in, whether it can be read or not.
                let action = self.phase.handle(now.instant, phase::Event::CardIn);
                self.take(now, action);
                self.jobs.begin_listing = false;
                self.fault = Some(error);
                phase::Event::CardFault
            }
            Event::Turn(detents) => phase::Event::Turned(detents),
            Event::Press => phase::Event::Pressed,
            Event::Hold => phase::Event::Held,
            Event::LetGo => phase::Event::LetGo,
            Event::Probe(probe, reading) => return self.thermal.read(probe, reading),
            Event::ClockSet => return self.clock_set(),
        };
        let before = self.phase.phase();
        self.tell(now, event);
        if let Some(page) = self.after(now, event, before) {
            self.notices.top = Some(Notice::Due(page));
        }
    }

    /// The card's records are wanted: by the lead's key, or at once where the machine has none.
    fn desk_opened(&mut self, now: Now) {
        if self.setup.machine.lead_code.is_some() {
            self.ask_key(now, Wanted::Records);
        } else {
            self.grant_records();
        }
    }

    /// A digit is in; the last one decides.
    fn desk_pressed(&mut self, now: Now) {
        let code = lead_key(&self.setup);
        let entered = self.phase.key_mut().press(now.instant, code);
        if entered == Entered::Part {
            return;
        }
        let wanted = self.lead.wanted.take();
        if entered == Entered::Wrong {
            self.notices.top = Some(Notice::Due(RunPage::KeyWrong));
            self.sound(now, Beep::Attention);
            return;
        }
        match wanted {
            Some(Wanted::Settle(check)) => self.settle(now, check),
            None => {}
            Some(Wanted::Records) => self.grant_records(),
            Some(Wanted::Use) => self.tell(now, phase::Event::Desk),
        }
    }

    /// What a person is told about what their event has brought about, or why it brought nothing about.
    fn after(&self, now: Now, event: phase::Event, before: Phase) -> Option<RunPage> {
        let view = self.phase.run_view(now.instant);
        match (before.stage(), view.phase.stage()) {
            (was, Some(Stage::CoolDown)) if was != Some(Stage::CoolDown) && is_mess(&view) => {
                Some(RunPage::HotMess)
            }
            (Some(Stage::CoolDown | Stage::Plate | Stage::CloseOut), Some(_))
                if matches!(event, phase::Event::CardIn) =>
            {
                Some(RunPage::NotFree)
            }
            (Some(Stage::CloseOut), None) if matches!(view.phase, Phase::Waiting) => Some(RunPage::Free),
            (None, None) if matches!(event, phase::Event::Held) && !view.key_fits => {
                let held = matches!(before, Phase::Verdict { .. } | Phase::Points { .. });
                let barred = self.vetting.is_done() && self.vetting.report().verdict == Verdict::Hold;
                let rests = self.phase.key().rests_ms(now.instant) > 0;
                (held && barred && self.setup.machine.lead_code.is_some()).then_some(if rests {
                    RunPage::KeyRests
                } else {
                    RunPage::NoKey
                })
            }
            _ => None,
        }
    }

    /// Whether anybody was told for the run at hand: its owner, or who is in charge at its end.
    pub(super) fn knows_who(&self, now: Now) -> bool {
        self.daybook.row.owner.is_some() || self.phase.run_view(now.instant).in_charge.is_some()
    }

    /// Tells the phases, and begins what they ask for.
    pub(super) fn tell(&mut self, now: Now, event: phase::Event) {
        let unread = matches!(self.phase.phase(), Phase::Reading)
            || !(self.vetting.is_idle() || self.vetting.is_done());
        let action = self.phase.handle(now.instant, event);
        self.take(now, action);
        let gone = matches!((event, self.phase.phase()), (phase::Event::CardOut, Phase::Waiting));
        if gone {
            self.setup.known.pulled_early = unread;
        }
        if unread && gone {
            self.notices.top = Some(Notice::Due(RunPage::CardEarly));
        }
    }

    /// Begins what the phases ask for.
    pub(super) fn take(&mut self, now: Now, first: Action) {
        self.act(now, first);
        while let Some(action) = self.phase.poll_action() {
            self.act(now, action);
        }
        self.follow_stage(now);
    }

    /// Lets time pass: what is due by the clock, and the heat.
    pub(super) fn pass(&mut self, now: Now) {
        let (phase, asked, stall) = (self.phase.phase(), self.phase.question(), self.phase.stall());
        let missed = self.phase.misses_plate();
        if self.phase.next_timeout().is_some_and(|at| at <= now.instant) {
            let action = self.phase.handle_timeout(now.instant);
            self.take(now, action);
        }
        self.setup.known.probes = probes(&self.thermal);
        let mut news = News::new();
        let alarm = self.thermal.alarm();
        self.thermal.step(now.instant, self.targets(), &mut news);
        for news in news {
            self.tell(now, phase::Event::Heat(news));
        }
        match self.thermal.alarm() {
            // It may be the end, which the plate tells within two minutes.
            Some(Alarm::Stopped) if self.phase.may_end(now.instant) => {}
            Some(now_wrong) if alarm != Some(now_wrong) => {
                self.notices.top = Some(Notice::Heat(now_wrong));
                self.sound(now, if now_wrong.doubts_probe() { Beep::Attention } else { Beep::Alarm });
            }
            // What does not last any more is not to be read in front of what comes now.
            None if alarm.is_some() => {
                self.notices.top = self.notices.top.filter(|notice| !matches!(notice, Notice::Heat(_)))
            }
            Some(_) | None => {}
        }
        if self.phase.stall() != stall && self.thermal.alarm().is_none() {
            self.notices.top = Some(Notice::Heat(Alarm::TooSlow));
        }
        if (phase, asked) != (self.phase.phase(), self.phase.question()) {
            let view = self.phase.run_view(now.instant);
            if let Some(page) = why(&view, asked, phase) {
                self.notices.top = Some(Notice::Due(page));
            }
        }
        if !missed && self.phase.misses_plate() {
            self.notices.top = Some(Notice::Due(RunPage::PlateOff));
        }
        self.note_touch(now);
        self.desk_left(now);
    }

    /// What the machine heats for now.
    pub(super) fn targets(&self) -> Targets {
        let plan = self.phase.plan();
        let lift = Celsius(plan.touch_c.min(plan.release_c));
        match self.phase.phase().stage() {
            Some(stage @ (Stage::WarmUp | Stage::FirstLayer | Stage::Run)) => Targets {
                nozzle: target(plan.nozzle_c),
                plate: target(plan.bed_c),
                lift,
                warming: stage == Stage::WarmUp,
            },
            Some(Stage::Start | Stage::CoolDown | Stage::Plate | Stage::CloseOut) | None => {
                Targets { lift, ..Targets::default() }
            }
        }
    }
}

/// What the probes read, as the checks go by it; `None` of either was never heard.
fn probes(thermal: &Thermal) -> Probes {
    let doubted = thermal.alarm().is_some_and(Alarm::doubts_probe) && !thermal.is_at_nozzle();
    let (plate, measured) = thermal.plate();
    Probes {
        plate: match (doubted, measured) {
            (true, _) => ProbeValue::Doubtful,
            (false, true) => ProbeValue::Celsius(whole(plate)),
            (false, false) => ProbeValue::None,
        },
        air: thermal.measured_air().map_or(ProbeValue::None, |air| ProbeValue::Celsius(whole(air))),
    }
}
