//! The state machine: what it holds, and the way of an event through it.
//!
//! To the next person here: a new phase or stage wants an arm for every event (the compiler asks for each), its times
//! in `due.rs`, its screen in the app, and its lines in `transitions.md`.

use heapless::Deque;

use super::answers::OutOfUse;
use super::beeper::Beeper;
use super::key::Key;
use super::person::CodeEntry;
use super::plan::Plan;
use super::question::{Answer, Question};
use super::run::{CloseOut, Run, RunClock, RunState, Stage, said, seconds};
use super::terms::{Terms, Walk};
use super::{Action, Beep, Event, Gate, Heat, Phase};
use crate::time::{Instant, WallClock};

/// Actions that one event can bring about, and some that nobody fetched yet. When it is full, sounds, answers and
/// drawing give way first: rows, gate, balance and state have the room they need after every event.
const ACTIONS: usize = 16;
/// The most that a close-out asks for at once; sounds and the like leave so many places free.
const KEPT_FREE: usize = 8;

/// A reading older than this says nothing about what may be touched, ms (the heat room sends one a minute).
pub(super) const STALE_MS: u64 = 120_000;

/// The question on the screen.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ask {
    pub(super) question: Question,
    /// Place of the answer on the knob; `None` = "—".
    pub(super) place: Option<u8>,
    /// When it came up.
    pub(super) since: Instant,
    /// It was answered too quickly once and is asked again.
    pub(super) again: bool,
    /// The answer whose remedy is on the screen.
    pub(super) wrong: Option<Answer>,
    /// A passer-by opened it; it goes away by itself.
    pub(super) lapses: bool,
}

/// Where the chosen job stands on its card.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct InList {
    pub(super) chosen: u16,
    pub(super) jobs: u16,
    pub(super) points: u8,
}

/// The state machine of the whole run.
///
/// Call [`Machine::handle`] for every event and [`Machine::handle_timeout`] when [`Machine::next_timeout`] is over;
/// fetch what is to be done by [`Machine::poll_action`] after each until there is none. Nothing is ever done by itself:
/// no clock, no driver, no wait.
#[derive(Clone, Debug, Default)]
pub struct Machine {
    pub(super) phase: Phase,
    pub(super) job: InList,
    pub(super) card: bool,
    pub(super) terms: Option<Terms>,
    pub(super) body_crc: u32,
    pub(super) plan: Plan,
    pub(super) walk: Walk,
    pub(super) key: Key,
    pub(super) ask: Option<Ask>,
    /// A code that is being put in, at a question for a person.
    pub(super) entry: Option<CodeEntry>,
    /// The knob is held since.
    pub(super) fill: Option<Instant>,
    pub(super) run: Run,
    pub(super) clock: RunClock,
    pub(super) heat: Heat,
    pub(super) heat_at: Instant,
    pub(super) beeper: Beeper,
    pub(super) gate_open: bool,
    /// From when on the machine counts as cold when nothing is read.
    pub(super) cold_at: Instant,
    pub(super) out_of_use: Option<OutOfUse>,
    pub(super) last: Option<CloseOut>,
    pub(super) queue: Deque<Action, ACTIONS>,
}

impl Machine {
    /// A machine in [`Phase::Waiting`], its gate shut.
    #[must_use]
    #[inline(never)]
    pub fn new() -> Self {
        Self::default()
    }

    /// Where the work stands.
    #[must_use]
    pub const fn phase(&self) -> Phase {
        self.phase
    }

    /// What the gate's contact should be now; the same as the last [`Action::Gate`] said.
    #[must_use]
    pub const fn gate(&self) -> Gate {
        if self.gate_open { Gate::Open } else { Gate::Shut }
    }

    /// The run that was closed out last, since power-up.
    #[must_use]
    pub const fn last(&self) -> Option<&CloseOut> {
        self.last.as_ref()
    }

    /// What the run is expected to be, as it was offered or resumed last.
    #[must_use]
    pub const fn plan(&self) -> &Plan {
        &self.plan
    }

    /// What is asked on the screen.
    #[must_use]
    pub fn question(&self) -> Option<Question> {
        self.ask.map(|ask| ask.question)
    }

    /// Why a lead holds the machine; `None` = nobody does.
    #[must_use]
    pub const fn out_of_use(&self) -> Option<OutOfUse> {
        self.out_of_use
    }

    /// The plate was lifted long ago and is not back.
    #[must_use]
    pub const fn misses_plate(&self) -> bool {
        matches!(self.phase, Phase::Released(Stage::Plate)) && self.run.has_said(said::CHASE)
    }

    /// What is wrong with the warm-up of the run at hand.
    #[must_use]
    pub const fn stall(&self) -> Option<super::Stall> {
        self.run.stall
    }

    /// The run may come to its end from now on: heat that goes off is no fault then.
    #[must_use]
    pub fn may_end(&self, now: Instant) -> bool {
        self.run.ready_s.is_some() && self.clock.run_s(now) >= self.run.window(&self.plan).0
    }

    /// A lead's key opened the job at hand.
    #[must_use]
    pub const fn was_keyed(&self) -> bool {
        self.walk.lead.is_some()
    }

    /// The entry of a lead's key: the same for a HOLD as for whatever else a lead may do at the device, so that wrong
    /// ones count together.
    #[must_use]
    pub const fn key(&self) -> &Key {
        &self.key
    }

    /// The same, for whoever asks for the key of something that is no phase.
    pub const fn key_mut(&mut self) -> &mut Key {
        &mut self.key
    }

    /// The CRC of the job that was vetted or released last.
    #[must_use]
    pub const fn body_crc(&self) -> u32 {
        self.body_crc
    }

    /// Takes an event; says what is to be done first, [`Machine::poll_action`] says the rest. Bounded; never panics.
    #[must_use]
    #[inline(never)]
    pub fn handle(&mut self, now: Instant, event: Event) -> Action {
        let timed = self.run_due(now);
        let taken = match event {
            Event::CardIn => self.card_in(now),
            Event::CardOut => self.card_out(now),
            Event::CardFault => self.card_fault(),
            Event::Listed { jobs } => self.listed(jobs),
            Event::Vetted { points } => self.vetted(points),
            Event::Turned(detents) => self.touched(now) | self.turned(now, detents),
            Event::Pressed => self.touched(now) | self.pressed(now),
            Event::Held => self.touched(now) | self.held(now),
            Event::LetGo => self.fill.take().is_some(),
            Event::Heat(news) => self.heat_news(now, news),
            Event::Told(told) => self.told(now, told),
            Event::Seal(seal) => self.sealed(now, seal),
            Event::OutOfUse(why) => {
                let changed = self.out_of_use != why;
                self.out_of_use = why;
                changed
            }
            Event::Desk => self.desk(now),
            Event::Tick => false,
        };
        self.settle_gate(now);
        self.first_action(taken || timed)
    }

    /// Takes the time; says what is to be done first.
    #[must_use]
    pub fn handle_timeout(&mut self, now: Instant) -> Action {
        let timed = self.run_due(now);
        self.settle_gate(now);
        self.first_action(timed)
    }

    /// The next thing to be done.
    #[must_use]
    pub fn poll_action(&mut self) -> Option<Action> {
        self.queue.pop_front()
    }

    fn first_action(&mut self, taken: bool) -> Action {
        self.queue.pop_front().unwrap_or(if taken { Action::Redraw } else { Action::Refused })
    }

    /// The knob was touched: sounds end, and a fill that ran is over; whether one ran.
    fn touched(&mut self, now: Instant) -> bool {
        self.note_watch(now);
        self.beeper.end();
        self.fill.take().is_some()
    }

    /// Asks for something that must not be lost.
    #[inline(never)]
    pub(super) fn push(&mut self, action: Action) {
        // There is room: see `ACTIONS`, and `hint`.
        let _ = self.queue.push_back(action);
    }

    /// Asks for something that may be lost when nobody fetches.
    #[inline(never)]
    pub(super) fn hint(&mut self, action: Action) {
        if self.queue.len() + KEPT_FREE < ACTIONS {
            self.push(action);
        }
    }

    #[inline(never)]
    pub(super) fn beep(&mut self, now: Instant, beep: Beep) {
        self.beeper.start(now, beep);
        self.hint(Action::Beep(beep));
    }

    /// Moves on; no question and no fill is left over.
    #[inline(never)]
    pub(super) const fn go(&mut self, phase: Phase) {
        self.phase = phase;
        self.ask = None;
        self.entry = None;
        self.fill = None;
    }

    /// Moves to a stage after the release and has it kept. What the stage before was sounding for is over: a call to
    /// pull the ooze off must not sound when the head moves.
    #[inline(never)]
    pub(super) fn go_to(&mut self, stage: Stage) {
        self.run.stage = stage;
        // What the last reading told was time to something else.
        self.heat.left_s = None;
        self.beeper.end();
        self.go(Phase::Released(stage));
        self.persist();
    }

    /// Has the run kept; what is kept is what stands when the house comes to it.
    pub(super) fn persist(&mut self) {
        if !self.queue.iter().any(|action| *action == Action::Persist) {
            self.push(Action::Persist);
        }
    }

    /// Asks a question. No answer is picked: the knob must be turned before a press counts, so that nobody says "good"
    /// by pressing through.
    #[inline(never)]
    pub(super) const fn ask(&mut self, now: Instant, question: Question) {
        self.ask = Some(Ask { question, place: None, since: now, again: false, wrong: None, lapses: false });
        self.entry = None;
    }

    /// Whether anything may still be hot: a plate above what may be touched, a nozzle whose throat still wants its
    /// fan, or no reading and not enough time.
    pub(super) fn is_hot(&self, now: Instant) -> bool {
        /// Below this the heat-sink's fan is no longer needed, °C (common practice, no source).
        const NOZZLE_COOL_C: i16 = 50;
        let nozzle = self.heat.nozzle.is_some_and(|nozzle| nozzle.0 > NOZZLE_COOL_C);
        let plate = self.heat.plate.map(|plate| plate.0 > self.plan.touch_c);
        match plate {
            Some(plate) if self.is_fresh(now) => plate || nozzle,
            Some(_) | None => now < self.cold_at,
        }
    }

    pub(super) fn is_fresh(&self, now: Instant) -> bool {
        now.since_ms(self.heat_at) < STALE_MS
    }

    /// Shuts the gate once no run needs it and nothing is hot. It only ever inhibits a start: an open gate after a
    /// run costs nothing, a shut one could cut a fan that keeps the throat from jamming.
    fn settle_gate(&mut self, now: Instant) {
        if self.gate_open && !self.phase.is_released() && !self.is_hot(now) {
            self.gate_open = false;
            self.push(Action::Gate(Gate::Shut));
        }
    }

    /// The run as it should be kept; `None` while none is on. `wall` is the wall clock now.
    #[must_use]
    #[inline(never)]
    pub fn run_state(&self, now: Instant, wall: Option<WallClock>) -> Option<RunState> {
        self.phase.stage()?;
        Some(RunState {
            run: self.run,
            plan: self.plan.clone(),
            question: self.ask.map(|ask| ask.question),
            wrong: self.ask.and_then(|ask| ask.wrong),
            body_crc: self.body_crc,
            run_s: self.clock.run_s(now),
            wall_s: wall.map(seconds),
        })
    }

    /// Goes on with a run after power was cut: the same stage, the time that has passed by the wall clock counted in.
    /// Without a wall clock on both sides the length of the cut is not known, and the view says so.
    ///
    /// The gate opens at once: the machine may be hot. Whoever stands there is asked what the printer does, since the
    /// cut may have met it as well.
    #[must_use]
    #[inline(never)]
    pub fn resume(&mut self, state: &RunState, now: Instant, wall: Option<WallClock>) -> Action {
        let (run_s, sure) = state.run_s_at(wall);
        self.run = state.run;
        self.plan.clone_from(&state.plan);
        self.body_crc = state.body_crc;
        self.clock = RunClock::starting(run_s, now);
        self.terms = None;
        self.go(Phase::Released(self.run.stage));
        self.run.say(said::POWER_CUT);
        if !sure {
            self.run.say(said::CLOCK_UNSURE);
        }
        // Nothing is known of the heat yet, but how long it has cooled.
        self.heat = Heat::default();
        let cooling = self.run.ended_s.filter(|_| sure).map_or(0, |ended| run_s.saturating_sub(ended));
        self.set_cold_after(now, cooling);
        self.gate_open = true;
        self.push(Action::Gate(Gate::Open));
        // What came due meanwhile.
        let _ = self.run_due(now);
        self.beeper.end();
        match self.run.stage {
            Stage::WarmUp | Stage::FirstLayer | Stage::Run => {
                self.beep(now, Beep::Attention);
                self.ask(now, Question::StillRunning);
            }
            Stage::Start | Stage::CoolDown | Stage::Plate | Stage::CloseOut => {
                if let Some(question) = state.question.filter(|_| self.run.stage == state.run.stage) {
                    self.ask(now, question);
                    if let Some(ask) = &mut self.ask {
                        ask.wrong = state.wrong;
                    }
                }
            }
        }
        self.first_action(true)
    }
}
