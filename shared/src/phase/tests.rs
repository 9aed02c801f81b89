//! The machine driven as a person and a house would, and the whole way of a job.

use std::vec::Vec;

use super::*;
use crate::checks::Verdict;
use crate::time::{Instant, WallClock};
use crate::units::Celsius;

/// 2026-11-25 10:00 and so many seconds.
pub(super) fn wall(seconds: i64) -> WallClock {
    let ten = chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap().and_hms_opt(10, 0, 0).unwrap();
    ten + chrono::TimeDelta::seconds(seconds)
}

/// A clear job of 9600 s on a machine that needs 240 s to warm up and 90 s to purge; time as estimated.
pub(super) fn plan() -> Plan {
    let mut plan = Plan {
        hands: hands_needed(&Situation { closed_out: true, ..Situation::default() }),
        warm_s: 240,
        home_s: 30,
        probe_s: 40,
        purge_s: 20,
        end_s: 9_690,
        time_permille: 1000,
        watch: watch_time(300, 100, 120),
        layers: 100,
        need_mg: 62_000,
        cool_s: 600,
        ..Plan::default()
    };
    for (at_s, part) in [
        (0, StartStep::Homing),
        (30, StartStep::Probing),
        (70, StartStep::Purge),
        (90, StartStep::Walls),
        (210, StartStep::Infill),
    ] {
        plan.marks.push(StageMark { at_s, part }).unwrap();
    }
    for (at_s, share, layer) in [(90, 10, 0), (390, 40, 1), (9_690, 1000, 100)] {
        plan.points.push(Point { at_s, share, layer }).unwrap();
    }
    plan.looks = looks(&Ahead { leave_s: 590, end_s: plan.end_s, ..Ahead::default() });
    plan
}

pub(super) fn offer(verdict: Option<Verdict>) -> Offer {
    let terms = Terms { verdict, code: Some(4711), grades: 9, wanted: Some(3), ..Terms::default() };
    Offer { terms, body_crc: 0x9F3A_11C0, plan: plan() }
}

/// The machine, its time, and all that it asked for.
#[derive(Clone)]
pub(super) struct Rig {
    pub(super) machine: Machine,
    pub(super) now: Instant,
    pub(super) done: Vec<Action>,
    pub(super) presses: usize,
}

impl Rig {
    pub(super) fn new() -> Self {
        Self { machine: Machine::new(), now: Instant(1_000_000), done: Vec::new(), presses: 0 }
    }

    fn take(&mut self, first: Action) -> Action {
        self.done.push(first);
        while let Some(action) = self.machine.poll_action() {
            self.done.push(action);
        }
        first
    }

    pub(super) fn event(&mut self, event: Event) -> Action {
        self.presses += usize::from(matches!(event, Event::Pressed | Event::Held));
        let first = self.machine.handle(self.now, event);
        self.take(first)
    }

    pub(super) fn offer(&mut self, offer: &Offer) -> Action {
        let first = self.machine.offer(self.now, offer);
        self.take(first)
    }

    pub(super) fn resume(state: &RunState, now: Instant, wall: Option<WallClock>) -> Self {
        let mut rig = Self { now, ..Self::new() };
        let first = rig.machine.resume(state, now, wall);
        rig.take(first);
        rig
    }

    /// Lets time pass, calling at each timeout as a house does.
    pub(super) fn wait_ms(&mut self, ms: u64) {
        let until = self.now.after_ms(ms);
        for _ in 0..10_000 {
            let Some(due) = self.machine.next_timeout().filter(|due| *due <= until) else { break };
            self.now = due.max(self.now);
            let first = self.machine.handle_timeout(self.now);
            self.take(first);
        }
        self.now = until;
        let first = self.machine.handle_timeout(until);
        self.take(first);
    }

    pub(super) fn wait(&mut self, seconds: u64) {
        self.wait_ms(seconds * 1000);
    }

    pub(super) fn view(&self) -> RunView {
        self.machine.run_view(self.now)
    }

    pub(super) fn question(&self) -> Option<Question> {
        self.view().asked.map(|asked| asked.question)
    }

    /// Looks for a second, turns to the answer and presses.
    pub(super) fn answer(&mut self, answer: Answer) {
        self.wait(1);
        let asked = self.view().asked.expect("a question stands");
        let listed = (0..16).find(|&place| asked.question.answer(asked.order, place) == Some(answer));
        let place = if let Answer::Sticker(place) = answer { Some(place) } else { listed };
        let place = place.unwrap_or_else(|| panic!("{answer:?} is no answer to {:?}", asked.question));
        if asked.place.is_none() {
            self.event(Event::Turned(1));
        }
        let at = self.view().asked.and_then(|asked| asked.place).expect("turned");
        let detents = i8::try_from(i16::from(place) - i16::from(at)).unwrap();
        if detents != 0 {
            self.event(Event::Turned(detents));
        }
        self.event(Event::Pressed);
    }

    pub(super) fn hold(&mut self) {
        self.event(Event::Held);
        self.wait_ms(HOLD_MS);
        self.event(Event::LetGo);
    }

    pub(super) fn heat(&mut self, plate: i16, nozzle: i16) -> Action {
        let heat =
            Heat { plate: Some(Celsius(plate)), nozzle: Some(Celsius(nozzle)), measured: true, left_s: None };
        self.event(Event::Heat(HeatNews::Reading(heat)))
    }

    /// A reading every minute.
    pub(super) fn wait_hot(&mut self, seconds: u64, plate: i16) {
        for _ in 0..seconds / 60 {
            self.heat(plate, 200);
            self.wait(60);
        }
        self.heat(plate, 200);
        self.wait(seconds % 60);
    }

    pub(super) fn phase(&self) -> Phase {
        self.machine.phase()
    }

    pub(super) fn stage(&self) -> Option<Stage> {
        self.phase().stage()
    }

    /// Answers every hand check as it should be.
    pub(super) fn walk(&mut self) {
        while self.phase() == Phase::Walk {
            self.pass_hand();
        }
    }

    /// Answers one hand check as it should be.
    pub(super) fn pass_hand(&mut self) {
        let Some(Question::Hand(hand)) = self.question() else { panic!("no hand check") };
        self.answer(hand.wants().map_or(Answer::Sticker(3), Answer::Seen));
    }

    /// A job whose verdict is on the screen.
    pub(super) fn at_verdict(offer: &Offer) -> Self {
        let mut rig = Self::new();
        rig.event(Event::CardIn);
        rig.event(Event::Listed { jobs: 3 });
        rig.event(Event::Pressed);
        rig.event(Event::Vetted { points: offer.terms.looks });
        rig.offer(offer);
        rig
    }

    pub(super) fn at_release() -> Self {
        let mut rig = Self::at_verdict(&offer(Some(Verdict::Clear)));
        rig.event(Event::Pressed);
        rig.walk();
        rig
    }

    /// Released, and brought to this stage.
    pub(super) fn at(stage: Stage) -> Self {
        let mut rig = Self::at_release();
        rig.hold();
        rig.event(Event::CardOut);
        if stage == Stage::Start {
            return rig;
        }
        rig.answer(Answer::Shown(Shown::SameJob));
        if stage == Stage::WarmUp {
            return rig;
        }
        rig.wait(240);
        if stage == Stage::FirstLayer {
            return rig;
        }
        rig.wait(600);
        rig.answer(Answer::FirstLayer(FirstLayer::Good));
        rig.event(Event::Pressed);
        if stage == Stage::Run {
            return rig;
        }
        rig.wait(9_000);
        rig.event(Event::Heat(HeatNews::Falling(120)));
        if stage == Stage::CoolDown {
            return rig;
        }
        rig.heat(38, 45);
        if stage == Stage::Plate {
            return rig;
        }
        rig.clear_plate();
        rig
    }

    pub(super) fn clear_plate(&mut self) {
        self.answer(Answer::PartOff(PartOff::Off));
        self.answer(Answer::PlateBack(PlateBack::TwoPins));
    }

    pub(super) fn clear_done(&mut self) -> Vec<Action> {
        core::mem::take(&mut self.done)
    }

    pub(super) fn persisted(&self) -> RunState {
        self.machine.run_state(self.now, Some(wall(0))).expect("a run is on")
    }
}

#[test]
fn a_clear_job_costs_at_most_ten_presses_to_move_card() {
    let mut rig = Rig::new();
    rig.event(Event::CardIn);
    rig.event(Event::Listed { jobs: 3 });
    rig.event(Event::Pressed);
    rig.offer(&offer(Some(Verdict::Clear)));
    rig.event(Event::Pressed);
    rig.walk();
    assert_eq!(rig.phase(), Phase::Release);
    rig.hold();
    assert_eq!(rig.stage(), Some(Stage::Start));
    assert!(rig.presses <= 10, "{} presses", rig.presses);
    assert!(rig.presses >= 7, "job, verdict, four hand checks and the release are not skipped");
}

#[test]
fn a_good_job_goes_the_whole_way() {
    let mut rig = Rig::at_release();
    assert_eq!(rig.machine.gate(), Gate::Shut);
    rig.clear_done();
    rig.hold();
    let done = rig.clear_done();
    let place = |of: Action| done.iter().position(|action| *action == of).expect("asked for");
    assert!(place(Action::Row(RowKind::Start)) < place(Action::Gate(Gate::Open)), "written before it opens");
    rig.event(Event::CardOut);
    assert_eq!(rig.question(), Some(Question::Shown));

    rig.answer(Answer::Shown(Shown::SameJob));
    assert_eq!(rig.stage(), Some(Stage::WarmUp));
    let view = rig.view();
    assert_eq!(view.countdown_s, Some(240));
    assert_eq!(view.next, Some((StartStep::Homing, 240)));
    // 240 s and 9690 s, give or take a tenth of the job.
    assert_eq!(view.end_s, Some((9_930 - 969, 9_930 + 969)));
    rig.wait(210);
    assert!(rig.done.contains(&Action::Beep(Beep::Start)), "30 s before: pull the ooze off");
    rig.wait(30);
    assert_eq!(rig.stage(), Some(Stage::FirstLayer));

    assert_eq!(rig.view().now, Some(StartStep::Homing));
    rig.wait(30);
    let view = rig.view();
    assert_eq!((view.now, view.next), (Some(StartStep::Probing), Some((StartStep::Purge, 40))));
    // W = 300 + 2 · 100 s after the purge, which ends 60 s from now.
    assert_eq!(view.countdown_s, Some(560));
    rig.wait(60);
    assert_eq!(rig.question(), Some(Question::Strip));
    rig.answer(Answer::Strip(Strip::Solid));
    rig.wait(499);
    assert_eq!(rig.question(), Some(Question::FirstLayer));
    rig.answer(Answer::FirstLayer(FirstLayer::Good));
    assert_eq!(rig.stage(), Some(Stage::Run));
    assert!(rig.view().leaving);
    assert_eq!(rig.view().look.map(|(at, _)| at), Some(LookAt::Soon));
    rig.event(Event::Pressed);
    assert!(!rig.view().leaving);

    rig.wait(4_410);
    // 5001 job seconds: 49.6 % of the way from layer 1 at 390 s to 100 at 9690 s, so that 50 are complete.
    let view = rig.view();
    assert_eq!(view.layer, Some((51, 100)));
    assert!((51..=53).contains(&view.percent), "{}", view.percent);
    assert_eq!(rig.question(), Some(Question::Running), "the look at a quarter is due");
    rig.answer(Answer::Running(Running::Fine));
    rig.wait(4_300);
    let done = rig.clear_done();
    assert!(!done.contains(&Action::Gate(Gate::Shut)));
    // Ended 9302 s after the first move, within its window.
    rig.event(Event::Heat(HeatNews::Falling(120)));
    assert_eq!(rig.stage(), Some(Stage::CoolDown));
    rig.wait_hot(300, 55);
    assert_eq!(rig.stage(), Some(Stage::CoolDown));
    rig.heat(40, 45);
    assert_eq!(rig.stage(), Some(Stage::Plate));
    rig.clear_plate();
    assert_eq!(rig.question(), Some(Question::Outcome));
    rig.clear_done();
    rig.answer(Answer::Outcome(Outcome::Good));
    assert_eq!(rig.phase(), Phase::Waiting);
    let last = *rig.machine.last().unwrap();
    assert_eq!((last.outcome, last.reason, last.used_mg), (Outcome::Good, None, 62_000));
    assert!(last.end_seen && last.watch_done_s >= last.watch_asked_s);
    assert_eq!(last.forecast_s, 9_930);
    let taken = last.actual_s - 240 - 90;
    let ratio = u16::try_from(taken * 1000 / 9_600).unwrap();
    let done = rig.clear_done();
    let wanted = [
        Action::Row(RowKind::CloseOut),
        Action::Deduct(62_000),
        Action::Learn(ratio),
        Action::ForgetRun,
        Action::ForgetCard,
        Action::Gate(Gate::Shut),
    ];
    let found: Vec<_> = done.into_iter().filter(|action| wanted.contains(action)).collect();
    assert_eq!(found, wanted);
    assert!((900..=1000).contains(&ratio), "{ratio}");
}

#[test]
fn it_is_small() {
    assert!(size_of::<Machine>() <= 1536, "{}", size_of::<Machine>());
    assert!(
        size_of::<RunState>() - size_of::<Plan>() <= 200,
        "{}",
        size_of::<RunState>() - size_of::<Plan>()
    );
    assert!(size_of::<Action>() <= 8);
}
