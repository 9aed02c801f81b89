//! What goes wrong while a part warms, holds and cools: the heater, or the probe that watches it.

use super::MilliCelsius;
use super::body::held_mc;
use super::history::ProbeHistory;
use super::thermistor::ProbeReading;

/// Something that wants a person's eyes, each by itself; in the order of what is said first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Alarm {
    /// The probe's lead is open.
    ProbeOpen,
    /// The probe's leads touch.
    ProbeShorted,
    /// The probe reads what its curve was never fitted for.
    ProbeOutOfRange,
    /// The reading jumped by more than a part can.
    ProbeJump,
    /// The reading lies below the air's.
    ProbeBelowAir,
    /// The reading lies off the air's after hours without heat.
    ProbeOffAir,
    /// The reading stands still, far short of the target, although heat is on: the probe is off or stuck, or the heater
    /// gives no more.
    ProbeFlat,
    /// It goes on warming above its target.
    Runaway,
    /// It has stopped warming short of its target.
    Stopped,
    /// It warms, but much more slowly than usual.
    TooSlow,
}

impl Alarm {
    /// Whether the reading is not to be believed: times then go by the clock alone.
    #[must_use]
    pub const fn doubts_probe(self) -> bool {
        match self {
            Self::ProbeOpen
            | Self::ProbeShorted
            | Self::ProbeOutOfRange
            | Self::ProbeJump
            | Self::ProbeBelowAir
            | Self::ProbeOffAir
            | Self::ProbeFlat => true,
            Self::Runaway | Self::Stopped | Self::TooSlow => false,
        }
    }
}

// Limits without another source are the room lead's judgement.

/// More than this is a jump: 20 K/s, mK a millisecond.
const JUMP_MK_PER_MS: u32 = 20;
/// Readings closer together than this count as so far apart: noise is no jump.
const JUMP_LEAST_MS: u32 = 250;
/// After a jump the readings must hang together for so long before one is believed.
const JUMP_DOUBT_MS: u32 = 30_000;
/// Below the air by more than this no plate stands.
const BELOW_AIR_MK: i32 = 2_000;
/// From the air by more than this after [`IDLE_MS`] no plate stands.
const OFF_AIR_MK: i32 = 5_000;
/// Two hours.
const IDLE_MS: u32 = 2 * 3_600_000;
/// Within this over two minutes of heating is a flat line: half of what counts as warming at all.
const FLAT_MK: i32 = 1_000;
/// While further short than this it must warm.
const SHORT_MK: i32 = 10_000;
/// By at least this a minute.
const WARMING_MK: i32 = 2_000;
/// Further above its target than this, and warming, it runs away (the greater edge of 10 to 15 K, common practice).
const RUNAWAY_MK: i32 = 15_000;
/// Within this of its target it has arrived.
const ARRIVED_MK: i32 = 2_000;
/// Slow: half as long again as usual, and this.
const SLOW_MS: u32 = 120_000;

/// A warm-up that is under way.
#[derive(Clone, Copy, Debug)]
struct WarmUp {
    usual_ms: u32,
    spent_ms: u32,
}

/// What is watched.
#[derive(Clone, Debug, Default)]
pub(super) struct ProbeWatch {
    pub(super) history: ProbeHistory,
    /// The last temperature that the probe gave, believed or not, and how long ago.
    last: Option<MilliCelsius>,
    since_last_ms: u32,
    doubt_ms: u32,
    idle_ms: u32,
    /// It was seen to warm, and has not come back to the air since: somebody heats it, whether or not a target is known.
    heated: bool,
    warm_up: Option<WarmUp>,
}

/// What surrounds a reading. Temperatures are held to what the model holds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Around {
    pub(super) elapsed_ms: u32,
    pub(super) target: Option<MilliCelsius>,
    /// The air as a probe measured it; a stated room temperature is no measure to doubt a probe by.
    pub(super) measured_air: Option<MilliCelsius>,
}

impl ProbeWatch {
    /// A new target above the present temperature: from now on it is held against the usual time.
    pub(super) const fn begin_warm_up(&mut self, usual_ms: u32) {
        self.history.clear();
        self.warm_up = Some(WarmUp { usual_ms, spent_ms: 0 });
    }

    /// No target above the present temperature any more.
    pub(super) const fn end_warm_up(&mut self) {
        self.warm_up = None;
    }

    /// Usual and spent time of the warm-up under way, ms.
    pub(super) const fn warm_up_ms(&self) -> Option<(u32, u32)> {
        match self.warm_up {
            Some(warm_up) => Some((warm_up.usual_ms, warm_up.spent_ms)),
            None => None,
        }
    }

    /// Lets time pass.
    pub(super) fn pass(&mut self, around: Around) {
        let ms = around.elapsed_ms;
        self.since_last_ms = self.since_last_ms.saturating_add(ms);
        self.doubt_ms = self.doubt_ms.saturating_sub(ms);
        let rests = around.target.is_none() && !self.heated;
        self.idle_ms = if rests { self.idle_ms.saturating_add(ms) } else { 0 };
        if let Some(warm_up) = &mut self.warm_up {
            warm_up.spent_ms = warm_up.spent_ms.saturating_add(ms);
        }
    }

    /// A reading, after [`pass`](Self::pass): the temperature if it may be believed, or why not.
    pub(super) fn believe(&mut self, reading: ProbeReading, around: Around) -> Result<MilliCelsius, Alarm> {
        let now = match reading {
            ProbeReading::At(now) => held_mc(now),
            ProbeReading::Open => return Err(self.broken(Alarm::ProbeOpen)),
            ProbeReading::Shorted => return Err(self.broken(Alarm::ProbeShorted)),
            ProbeReading::TooCold | ProbeReading::TooHot => return Err(self.broken(Alarm::ProbeOutOfRange)),
        };
        self.history.push(self.since_last_ms, now);
        let since_ms = self.since_last_ms.max(JUMP_LEAST_MS);
        self.since_last_ms = 0;
        if let Some(last) = self.last.replace(now)
            && now.0.abs_diff(last.0) > since_ms.saturating_mul(JUMP_MK_PER_MS)
        {
            self.doubt_ms = JUMP_DOUBT_MS;
            self.history.clear();
        }
        if self.doubt_ms > 0 {
            return Err(Alarm::ProbeJump);
        }
        if let Some(air) = around.measured_air {
            let over_mk = now.0 - air.0;
            if over_mk < -BELOW_AIR_MK {
                return Err(Alarm::ProbeBelowAir);
            }
            // A plate that warms is no longer idle, whether or not anybody has said so: the machine's own start text may hold
            // it at a target that no file states.
            let gained_mk = self.gained_mk(now);
            self.heated =
                over_mk > OFF_AIR_MK && (self.heated || gained_mk.is_some_and(|mk| mk >= WARMING_MK));
            if self.idle_ms >= IDLE_MS && !self.heated && gained_mk.is_some() && over_mk > OFF_AIR_MK {
                return Err(Alarm::ProbeOffAir);
            }
        }
        if self.history.spans_two_minutes() && short_of(now, around.target) > SHORT_MK {
            let (least, most) = self.history.extremes();
            if most - least < FLAT_MK {
                return Err(Alarm::ProbeFlat);
            }
        }
        Ok(now)
    }

    /// How much warmer it is than a minute ago, mK; `None` until a minute was seen.
    fn gained_mk(&self, now: MilliCelsius) -> Option<i32> {
        self.history.minute_ago().map(|then| now.0 - then)
    }

    /// After a broken lead the next temperature has nothing to jump from.
    const fn broken(&mut self, alarm: Alarm) -> Alarm {
        self.last = None;
        self.history.clear();
        alarm
    }

    /// What the heater does wrong, by a reading that is believed.
    pub(super) fn heater(&mut self, now: MilliCelsius, target: Option<MilliCelsius>) -> Option<Alarm> {
        let target = target?;
        let short_mk = short_of(now, Some(target));
        if short_mk <= ARRIVED_MK {
            self.warm_up = None;
        }
        let gained_mk = self.gained_mk(now);
        if short_mk < -RUNAWAY_MK && gained_mk.is_some_and(|mk| mk >= WARMING_MK) {
            return Some(Alarm::Runaway);
        }
        if short_mk > SHORT_MK && gained_mk.is_some_and(|mk| mk < WARMING_MK) {
            return Some(Alarm::Stopped);
        }
        let slow = self.warm_up.is_some_and(|warm_up| {
            let most_ms = warm_up.usual_ms.saturating_add(warm_up.usual_ms / 2).saturating_add(SLOW_MS);
            warm_up.spent_ms > most_ms
        });
        slow.then_some(Alarm::TooSlow)
    }
}

/// How far it is short of a target, mK; negative above it or without one.
fn short_of(now: MilliCelsius, target: Option<MilliCelsius>) -> i32 {
    target.map_or(i32::MIN, |target| target.0 - now.0)
}
