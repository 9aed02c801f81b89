//! What a run has come to: the data that a power cut must not take, and its clock.

use serde::{Deserialize, Serialize};

use super::answers::{FailReason, LeadReason, Outcome};
use super::person::InCharge;
use super::plan::{LookAt, Plan};
use super::question::{Answer, Question};
use super::times::scale;
use super::{Stall, half_window_s};
use crate::time::{Instant, WallClock};

/// Where a run stands after the release.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Stage {
    /// Released, not yet started: the card goes to the printer. Exists because the wrong file may be started there.
    #[default]
    Start,
    /// Heating up. Exists because learners walk off, and because it may stall.
    WarmUp,
    /// Homing to the end of the watch. Exists because most prints fail here.
    FirstLayer,
    /// The long run.
    Run,
    /// Cooling down after the end or a stop. Exists because parts are forced and fingers burnt here.
    CoolDown,
    /// Plate off, part off, bits in the bin, plate back.
    Plate,
    /// Outcome and reason; balance and day book.
    CloseOut,
}

/// What was said once and is not said again.
pub(super) mod said {
    pub(crate) const OOZE: u16 = 1;
    pub(crate) const SLOW: u16 = 1 << 1;
    pub(crate) const STRIP: u16 = 1 << 2;
    pub(crate) const WATCH: u16 = 1 << 3;
    pub(crate) const STOP_SOON: u16 = 1 << 4;
    pub(crate) const SHOULD_END: u16 = 1 << 5;
    pub(crate) const OVERDUE: u16 = 1 << 6;
    pub(crate) const CHASE: u16 = 1 << 7;
    pub(crate) const CLOSING: u16 = 1 << 8;
    /// The person was told that they may leave, and has not pressed yet.
    pub(crate) const LEAVING: u16 = 1 << 9;
    /// Heat fell before the end's window.
    pub(crate) const COOLING_EARLY: u16 = 1 << 10;
    /// The end was measured, or told by somebody who stood there.
    pub(crate) const END_SEEN: u16 = 1 << 11;
    /// The run came to its end, rather than being stopped.
    pub(crate) const FINISHED: u16 = 1 << 12;
    /// Stopped in its first layer: it may be run again.
    pub(crate) const FIRST_LAYER_FAILED: u16 = 1 << 13;
    /// Power was cut in this run.
    pub(crate) const POWER_CUT: u16 = 1 << 14;
    /// Power was cut and the wall clock was not known on both sides: times may be short by the cut's length.
    pub(crate) const CLOCK_UNSURE: u16 = 1 << 15;
}

/// What happened in a run, in run seconds (0 = release).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Run {
    pub(super) stage: Stage,
    /// See [`said`].
    pub(super) said: u16,
    /// What was seen that is not as it should be.
    pub(super) fault: Option<Answer>,
    pub(super) reason: Option<FailReason>,
    pub(super) outcome: Option<Outcome>,
    pub(super) lead: Option<LeadReason>,
    pub(super) in_charge: Option<InCharge>,
    pub(super) stall: Option<Stall>,
    /// A look that is due.
    pub(super) look: Option<LookAt>,
    pub(super) looks_done: u8,
    pub(super) stops_done: u8,
    pub(super) started_s: Option<u32>,
    /// Begin of the job seconds: first move.
    pub(super) ready_s: Option<u32>,
    pub(super) ended_s: Option<u32>,
    pub(super) lifted_s: Option<u32>,
    /// In a pause since.
    pub(super) paused_at: Option<u32>,
    /// Length of the pauses that are over.
    pub(super) paused_s: u32,
    /// End of the watch, where it was prolonged.
    pub(super) watch_to_s: Option<u32>,
    /// How long somebody stayed with the first layer, from its begin.
    pub(super) watched_s: u32,
    /// When the room closes.
    pub(super) closing_s: Option<u32>,
    /// When somebody last said that it runs.
    pub(super) seen_s: Option<u32>,
}

impl Run {
    pub(super) const fn has_said(&self, what: u16) -> bool {
        self.said & what != 0
    }

    pub(super) const fn say(&mut self, what: u16) {
        self.said |= what;
    }

    pub(super) const fn unsay(&mut self, what: u16) {
        self.said &= !what;
    }

    /// When the first move is, or is expected.
    pub(super) fn first_move_s(&self, plan: &Plan) -> u32 {
        self.ready_s.unwrap_or_else(|| self.started_s.unwrap_or(0).saturating_add(plan.warm_s.into()))
    }

    /// The run second of a job second: homing to purge as learned by the clock, all after it stretched by what this
    /// machine taught, pauses that are over added.
    pub(super) fn at(&self, plan: &Plan, job_s: u32) -> u32 {
        let lead = plan.lead_s();
        let moving = lead.min(job_s).saturating_add(scale(job_s.saturating_sub(lead), plan.time_permille));
        self.first_move_s(plan).saturating_add(moving).saturating_add(self.paused_s)
    }

    /// The job second of a run second, no later than the job's end.
    pub(super) fn job_s(&self, plan: &Plan, run_s: u32) -> u32 {
        let Some(ready) = self.ready_s else { return 0 };
        let waiting = self.paused_at.map_or(0, |since| run_s.saturating_sub(since));
        let moving = run_s.saturating_sub(ready).saturating_sub(self.paused_s).saturating_sub(waiting);
        let lead = plan.lead_s();
        let stretched = moving.saturating_sub(lead).min(4_000_000);
        let rest = (stretched * 1000).checked_div(u32::from(plan.time_permille)).unwrap_or(stretched);
        moving.min(lead).saturating_add(rest).min(plan.end_s)
    }

    /// The expected end, with a guess for each pause that is still to come.
    pub(super) fn end_s(&self, plan: &Plan) -> u32 {
        /// A pause that wants a person takes so long, seconds: a colour is changed in five minutes (judgement).
        const PAUSE_S: u32 = 300;
        let ahead = plan.stops.len().saturating_sub(self.stops_done.into());
        let ahead = u32::try_from(ahead).unwrap_or(0);
        self.at(plan, plan.end_s).saturating_add(PAUSE_S * ahead)
    }

    /// Earliest and latest end.
    pub(super) fn window(&self, plan: &Plan) -> (u32, u32) {
        let end = self.end_s(plan);
        let half = half_window_s(plan.end_s, plan.spread_permille);
        (end.saturating_sub(half), end.saturating_add(half))
    }

    /// End of the watch at the first layer.
    pub(super) fn watch_end_s(&self, plan: &Plan) -> u32 {
        let begin = self.at(plan, plan.lead_s());
        let end = begin.saturating_add(plan.watch.stay_s.into());
        self.watch_to_s.map_or(end, |later| later.max(end))
    }
}

/// Run seconds from an instant.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct RunClock {
    base_s: u32,
    base_at: Instant,
}

impl RunClock {
    pub(super) const fn starting(base_s: u32, base_at: Instant) -> Self {
        Self { base_s, base_at }
    }

    #[inline(never)]
    pub(super) fn run_s(self, now: Instant) -> u32 {
        let passed = u32::try_from(now.since_ms(self.base_at) / 1000).unwrap_or(u32::MAX);
        self.base_s.saturating_add(passed)
    }

    /// The instant of a run second; one that lies before the clock's own begin is that begin.
    pub(super) fn instant(self, run_s: u32) -> Instant {
        self.base_at.after_ms(u64::from(run_s.saturating_sub(self.base_s)) * 1000)
    }
}

/// A run as it is kept through a power cut.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RunState {
    pub(super) run: Run,
    pub(super) plan: Plan,
    pub(super) question: Option<Question>,
    pub(super) wrong: Option<Answer>,
    pub(super) body_crc: u32,
    /// Run seconds when it was kept.
    pub(super) run_s: u32,
    /// The wall clock then, seconds since 1970 by local time.
    pub(super) wall_s: Option<i64>,
}

impl RunState {
    /// The CRC of the vetted file.
    #[must_use]
    pub const fn body_crc(&self) -> u32 {
        self.body_crc
    }

    /// Run seconds at `wall`, and whether they can be relied on: both clocks known, and no step back.
    pub(super) fn run_s_at(&self, wall: Option<WallClock>) -> (u32, bool) {
        let gone = wall.zip(self.wall_s).and_then(|(wall, kept)| u32::try_from(seconds(wall) - kept).ok());
        (self.run_s.saturating_add(gone.unwrap_or(0)), gone.is_some())
    }
}

/// Seconds since 1970 by local time.
pub(super) fn seconds(wall: WallClock) -> i64 {
    wall.and_utc().timestamp()
}

/// A run that is over, for the day book and the waiting screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct CloseOut {
    /// How it went.
    pub outcome: Outcome,
    /// Why it failed or was stopped.
    pub reason: Option<FailReason>,
    /// A lead's reason, where a key opened the HOLD.
    pub lead: Option<LeadReason>,
    /// The release, seconds before the close-out.
    pub released_ago_s: u32,
    /// The start, the same; `None` = was never started.
    pub started_ago_s: Option<u32>,
    /// The end or the stop, the same.
    pub ended_ago_s: u32,
    /// From start to end, warm-up included, seconds.
    pub actual_s: u32,
    /// The middle of the forecast end, seconds after the start.
    pub forecast_s: u32,
    /// How long to stay, and how long somebody stayed with the first layer, seconds.
    pub watch_asked_s: u32,
    /// See [`CloseOut::watch_asked_s`].
    pub watch_done_s: u32,
    /// Filament used, mg.
    pub used_mg: u32,
    /// The end was measured, or told by somebody who stood there; else it is when somebody came by.
    pub end_seen: bool,
    /// See [`RunView::clock_unsure`](super::RunView::clock_unsure).
    pub clock_unsure: bool,
}
