//! One heated part: what its probe says, and where there is no probe or none that can be believed, what it must be by
//! the clock.
//!
//! It advances only by the time it is given. A stale reading makes it more careful: from then on it cools by three
//! tenths more slowly than was ever measured, and what it says is marked as estimated.

use super::MilliCelsius;
use super::body::{Body, Decay, TimeLeft, held_mc, held_uc};
use super::course::{Course, EndAlarm, EndWindow, Turn};
use super::thermistor::ProbeReading;
use super::watch::{Alarm, Around, ProbeWatch};

/// Where a temperature comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Evidence {
    /// From the probe, at most [`STALE_MS`] ago.
    Measured,
    /// From the clock and the model: shown with ≈.
    Estimated,
}

/// A reading older than this is stale, ms (judgement: a bed changes by no more than some kelvins meanwhile).
pub const STALE_MS: u32 = 10_000;

/// What a step comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct HeatVerdict {
    /// The temperature.
    pub temperature: MilliCelsius,
    /// How it is known.
    pub evidence: Evidence,
    /// What is wrong; it stands as long as it lasts.
    pub alarm: Option<Alarm>,
    /// A start or an end that this step's reading shows; said once.
    pub turn: Option<Turn>,
}

/// A heated part over time.
#[derive(Clone, Debug)]
pub struct HeatModel {
    body: Body,
    fresh: Decay,
    stale: Decay,
    now_uc: i64,
    air: MilliCelsius,
    air_measured: bool,
    target: Option<MilliCelsius>,
    /// Since the last reading that was believed.
    age_ms: u32,
    alarm: Option<Alarm>,
    watch: ProbeWatch,
    course: Course,
}

impl HeatModel {
    /// A part of which nothing was measured yet. `start` is what it may be at most: the room's air after a day's
    /// rest, the last target after a power cut.
    #[must_use]
    pub fn new(body: Body, start: MilliCelsius, air: MilliCelsius) -> Self {
        Self {
            body,
            fresh: body.decay(),
            stale: body.careful().decay(),
            now_uc: held_uc(start),
            air: held_mc(air),
            air_measured: false,
            target: None,
            age_ms: u32::MAX,
            alarm: None,
            watch: ProbeWatch::default(),
            course: Course::default(),
        }
    }

    /// Takes over what was learned; nothing else changes.
    pub const fn set_body(&mut self, body: Body) {
        self.body = body;
        self.fresh = body.decay();
        self.stale = body.careful().decay();
    }

    /// The air round the part, and whether a probe measured it: only measured air can put the part's probe in doubt.
    pub fn set_air(&mut self, air: MilliCelsius, measured: bool) {
        self.air = held_mc(air);
        self.air_measured = measured;
    }

    /// A new job: its start and its end are still to come.
    pub fn begin_job(&mut self) {
        self.course = Course::default();
    }

    /// Lets `elapsed_ms` pass under a target that the job asks for (`None` = heat off) and takes the probe's reading,
    /// if one was made.
    pub fn step(
        &mut self,
        elapsed_ms: u32,
        reading: Option<ProbeReading>,
        target: Option<MilliCelsius>,
    ) -> HeatVerdict {
        let target = target.map(held_mc);
        if target != self.target {
            self.aim(target);
        }
        self.age_ms = self.age_ms.saturating_add(elapsed_ms);
        self.advance(elapsed_ms);
        let around = Around {
            elapsed_ms,
            target,
            measured_air: if self.air_measured { Some(self.air) } else { None },
        };
        self.watch.pass(around);
        let mut turn = None;
        if let Some(reading) = reading {
            self.alarm = match self.watch.believe(reading, around) {
                Ok(now) => {
                    turn = self.course.step(self.age_ms, now, self.air, target, &self.watch.history);
                    (self.now_uc, self.age_ms) = (held_uc(now), 0);
                    self.watch.heater(now, target)
                }
                Err(doubt) => Some(doubt),
            };
        }
        HeatVerdict { temperature: self.temperature(), evidence: self.evidence(), alarm: self.alarm, turn }
    }

    /// The part by itself: full power up to the target, held there, and cooling down to it.
    fn advance(&mut self, elapsed_ms: u32) {
        let target_uc = self.target.map(held_uc);
        if let Some(target_uc) = target_uc.filter(|target| *target >= self.now_uc) {
            let limit = MilliCelsius(self.air.0 + self.body.rise_mk());
            self.now_uc = self.fresh.towards(self.now_uc, limit, elapsed_ms).min(target_uc).max(self.now_uc);
        } else {
            let decay = if self.evidence() == Evidence::Measured { self.fresh } else { self.stale };
            let cooled = decay.towards(self.now_uc, self.air, elapsed_ms);
            self.now_uc = target_uc.map_or(cooled, |target| cooled.max(target));
        }
    }

    fn aim(&mut self, target: Option<MilliCelsius>) {
        self.target = target;
        match target {
            Some(target) if target > self.temperature() => {
                // What full power can never reach has no usual time; that it stops short is seen all the same.
                let usual_ms = match self.body.warm(self.temperature(), self.air, target) {
                    TimeLeft::Now => 0,
                    TimeLeft::In(ms) => ms,
                    TimeLeft::Never => u32::MAX,
                };
                self.watch.begin_warm_up(usual_ms);
            }
            Some(_) | None => self.watch.end_warm_up(),
        }
    }

    /// The temperature now.
    #[must_use]
    pub fn temperature(&self) -> MilliCelsius {
        // Held to i32 millidegrees; towards the warmer side.
        MilliCelsius(((self.now_uc + 999).div_euclid(1000)) as i32)
    }

    /// How it is known.
    #[must_use]
    pub const fn evidence(&self) -> Evidence {
        if self.age_ms <= STALE_MS { Evidence::Measured } else { Evidence::Estimated }
    }

    /// Until the target is reached.
    #[must_use]
    pub fn time_to_target(&self) -> TimeLeft {
        match self.target {
            Some(target) => self.body.warm(self.temperature(), self.air, target),
            None => TimeLeft::Now,
        }
    }

    /// From now, with the heat off, until it has cooled to `limit`: the release temperature or a touch limit. Without
    /// a reading 1.3 times as long.
    #[must_use]
    pub fn time_to_cool(&self, limit: MilliCelsius) -> TimeLeft {
        let body = if self.evidence() == Evidence::Measured { self.body } else { self.body.careful() };
        body.cool(self.temperature(), self.air, limit)
    }

    /// Usual and spent time of the warm-up under way, ms.
    #[must_use]
    pub const fn warm_up_ms(&self) -> Option<(u32, u32)> {
        self.watch.warm_up_ms()
    }

    /// What the probe's curve says against the forecast; nothing without a reading that can be believed.
    #[must_use]
    pub fn against(&self, end: EndWindow) -> Option<EndAlarm> {
        if self.evidence() == Evidence::Measured {
            self.course.against(self.temperature(), end)
        } else {
            None
        }
    }
}
