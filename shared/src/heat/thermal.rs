//! Hot end, plate and air together: probes and clock → models → news.

use crate::records::{Machine, Room};
use crate::time::Instant;
use crate::units::Celsius;

use super::body::Body;
use super::course::Turn;
use super::extremes::{Extremes, Probe};
use super::learn::{Learned, Lesson};
use super::model::{Evidence, HeatModel};
use super::news::{Heat, HeatNews, Stall};
use super::thermistor::ProbeReading;
use super::touch::MilliCelsius;
use super::usual::{bodies, milli, seconds, stated_air, whole};
use super::watch::Alarm;

/// Between two steps of the models, ms.
const STEP_MS: u64 = 1_000;

/// Between two pieces of news of the same temperature, ms: more often nobody reads it.
const NEWS_MS: u64 = 5_000;

/// Within this of its target a part counts as ready (common practice, no source).
const READY_MK: i32 = 2_000;

/// A hot end that is so much warmer than it was is being heated: above any probe's noise (judgement).
const WARMS_MK: i32 = 3_000;

/// A plate that falls is told after two minutes; one that takes longer than ten to fall by three kelvins is told by its
/// end's window (judgement), s.
const FALLS_S: (u16, u16) = (120, 600);

/// After the plate is hot a file homes and probes before it heats the hot end, ms (judgement).
const WAITS_MS: u32 = 180_000;

/// What the models are to reach, from the phases.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Targets {
    /// Hot end; `None` = off.
    pub(crate) nozzle: Option<Celsius>,
    /// Plate; `None` = off.
    pub(crate) plate: Option<Celsius>,
    /// At or below this the plate may be lifted.
    pub(crate) lift: Celsius,
    /// The targets are to be reached before the first move.
    pub(crate) warming: bool,
}

/// Both heated parts and the air.
#[derive(Clone, Debug)]
pub(crate) struct Thermal {
    plate: HeatModel,
    nozzle: HeatModel,
    /// What was learned of plate and hot end, and what this job teaches.
    learned: [Learned; 2],
    lessons: [Lesson; 2],
    /// The sheet's own bodies, which bound what is learned.
    sheet: [Body; 2],
    air: Option<MilliCelsius>,
    stated_air: MilliCelsius,
    /// Newest reading of plate and nozzle since the last step.
    readings: [Option<ProbeReading>; 2],
    stepped_at: Instant,
    told_at: Instant,
    alarm: Option<Alarm>,
    /// The alarm is the hot end's, not the plate's.
    at_nozzle: bool,
    ready: bool,
    /// In a warm-up: the coldest that the hot end was, until it warms; and for how long the plate has been hot by then.
    coldest: Option<MilliCelsius>,
    waits_ms: u32,
    /// Highest believed reading of the plate in this run, for the day book.
    highest: Option<MilliCelsius>,
    /// What was read in this stage of it, the same.
    pub(crate) extremes: Extremes,
}

/// At most: a reading, a turn, ready, an alarm.
pub(crate) type News = heapless::Vec<HeatNews, 4>;

impl Thermal {
    /// A machine at rest in its room.
    #[inline(never)]
    pub(crate) fn new(machine: &Machine, room: &Room) -> Self {
        let air = stated_air(room);
        let (nozzle, plate) = bodies(machine);
        Self {
            plate: HeatModel::new(plate, air, air),
            nozzle: HeatModel::new(nozzle, air, air),
            learned: [Learned::default(); 2],
            lessons: [Lesson::default(); 2],
            sheet: [plate, nozzle],
            air: None,
            stated_air: air,
            readings: [None; 2],
            stepped_at: Instant(0),
            told_at: Instant(0),
            alarm: None,
            at_nozzle: false,
            ready: false,
            coldest: None,
            waits_ms: 0,
            highest: None,
            extremes: Extremes::default(),
        }
    }

    /// Takes over what the sheet and the room's rules say now.
    pub(crate) fn take_over(&mut self, machine: &Machine, room: &Room) {
        let (nozzle, plate) = bodies(machine);
        self.sheet = [plate, nozzle];
        self.set_bodies();
        self.stated_air = stated_air(room);
    }

    /// What earlier runs taught of plate and hot end; it stands in for the sheet's numbers.
    pub(crate) fn recall(&mut self, learned: [Learned; 2]) {
        self.learned = learned;
        self.set_bodies();
    }

    fn set_bodies(&mut self) {
        let ([_, nozzle], [_, nozzle_sheet]) = (&self.learned, self.sheet);
        self.plate.set_body(plate_body(&self.learned, self.sheet));
        self.nozzle.set_body(nozzle.over(nozzle_sheet));
    }

    /// The run is closed out: what it taught, to be kept.
    pub(crate) fn hand_over(&mut self) -> [Learned; 2] {
        for ((learned, lesson), sheet) in self.learned.iter_mut().zip(&self.lessons).zip(self.sheet) {
            lesson.hand_over(learned, sheet);
        }
        self.set_bodies();
        self.learned
    }

    /// A probe was read.
    pub(crate) fn read(&mut self, probe: Probe, reading: ProbeReading) {
        self.extremes.read(probe, reading);
        let [plate, nozzle] = &mut self.readings;
        match probe {
            Probe::Plate => *plate = Some(reading),
            Probe::Nozzle => *nozzle = Some(reading),
            Probe::Air => {
                self.air = match reading {
                    ProbeReading::At(air) => Some(air),
                    // A broken lead says nothing about the air; the room's own number holds again.
                    ProbeReading::Open
                    | ProbeReading::Shorted
                    | ProbeReading::TooCold
                    | ProbeReading::TooHot => None,
                }
            }
        }
    }

    /// A job was released: its start and its end are still to come.
    pub(crate) fn begin_job(&mut self) {
        self.plate.begin_job();
        self.nozzle.begin_job();
        self.lessons = [Lesson::default(); 2];
        self.ready = false;
        self.alarm = None;
        self.highest = None;
    }

    /// After a power cut a part may be as hot as its last target.
    pub(crate) fn start_hot(&mut self, targets: Targets) {
        let air = self.air();
        let [plate, nozzle] = self.sheet;
        let start = |target: Option<Celsius>| target.map_or(air, milli);
        self.plate = HeatModel::new(plate, start(targets.plate), air);
        self.nozzle = HeatModel::new(nozzle, start(targets.nozzle), air);
        self.set_bodies();
    }

    /// The air as it was measured, or as the room states it.
    pub(crate) fn air(&self) -> MilliCelsius {
        self.air.unwrap_or(self.stated_air)
    }

    /// The air as a probe read it last.
    pub(crate) fn measured_air(&self) -> Option<MilliCelsius> {
        self.air
    }

    /// The plate, and whether its probe read it.
    pub(crate) fn plate(&self) -> (MilliCelsius, bool) {
        (self.plate.temperature(), self.plate.evidence() == Evidence::Measured)
    }

    /// The hot end, and whether its probe read it.
    pub(crate) fn nozzle(&self) -> (MilliCelsius, bool) {
        (self.nozzle.temperature(), self.nozzle.evidence() == Evidence::Measured)
    }

    /// Seconds until the plate has cooled to a limit, its heat off; `None` = never in this air.
    pub(crate) fn cools_in(&self, limit: MilliCelsius) -> Option<u32> {
        seconds(self.plate.time_to_cool(limit))
    }

    /// Seconds until the hot end has.
    pub(crate) fn nozzle_cools_in(&self, limit: MilliCelsius) -> Option<u32> {
        seconds(self.nozzle.time_to_cool(limit))
    }

    /// Usual and spent time of the slower warm-up under way, s.
    pub(crate) fn warm_up_s(&self) -> Option<(u32, u32)> {
        let (usual, spent) = self.plate.warm_up_ms().or(self.nozzle.warm_up_ms())?;
        Some((usual / 1000, spent / 1000))
    }

    /// What is wrong, as long as it lasts.
    pub(crate) fn alarm(&self) -> Option<Alarm> {
        self.alarm
    }

    /// Whether what is wrong is at the hot end rather than at the plate.
    pub(crate) fn is_at_nozzle(&self) -> bool {
        self.at_nozzle
    }

    /// Highest believed reading of the plate since the release, tenths of a degree.
    pub(crate) fn highest_dc(&self) -> Option<i16> {
        self.highest.and_then(|highest| i16::try_from(highest.0 / 100).ok())
    }

    /// Whether the hot end is to be held against its target. Many files wait for the plate first and heat the hot end
    /// only then: in a warm-up it counts from when it warms, or when the plate has long been hot.
    fn nozzle_heats(&mut self, elapsed_ms: u32, targets: Targets) -> bool {
        if !targets.warming || targets.plate.is_none() {
            (self.coldest, self.waits_ms) = (None, 0);
            return true;
        }
        let now = self.nozzle.temperature();
        let coldest = self.coldest.map_or(now, |coldest| coldest.min(now));
        self.coldest = Some(coldest);
        if reached(targets.plate, self.plate.temperature()) {
            self.waits_ms = self.waits_ms.saturating_add(elapsed_ms);
        }
        now.0 - coldest.0 > WARMS_MK || self.waits_ms > WAITS_MS
    }

    /// Lets the models go on to `now`; what is new is put into `news`.
    pub(crate) fn step(&mut self, now: Instant, targets: Targets, news: &mut News) {
        let elapsed = now.since_ms(self.stepped_at);
        if elapsed < STEP_MS {
            return;
        }
        self.stepped_at = now;
        let elapsed = u32::try_from(elapsed).unwrap_or(u32::MAX);
        let air = self.air();
        self.plate.set_air(air, self.air.is_some());
        self.nozzle.set_air(air, false);
        let [plate_reading, nozzle_reading] = core::mem::take(&mut self.readings);
        let plate = self.plate.step(elapsed, plate_reading, targets.plate.map(milli));
        let nozzle_target = targets.nozzle.filter(|_| self.nozzle_heats(elapsed, targets));
        let nozzle = self.nozzle.step(elapsed, nozzle_reading, nozzle_target.map(milli));
        let [plate_lesson, nozzle_lesson] = &mut self.lessons;
        plate_lesson.step(elapsed, &plate, targets.plate.map(milli), air);
        nozzle_lesson.step(elapsed, &nozzle, nozzle_target.map(milli), air);
        let wrong = [(Probe::Plate, plate.alarm), (Probe::Nozzle, nozzle.alarm), (Probe::Air, None)];
        wrong.into_iter().for_each(|(probe, wrong)| self.extremes.prove(probe, wrong));
        let alarm = plate.alarm.or(nozzle.alarm);
        if alarm != self.alarm {
            self.alarm = alarm;
            self.at_nozzle = plate.alarm.is_none();
            let stall = match alarm {
                Some(Alarm::TooSlow) => Some(Stall::Slow),
                Some(Alarm::Stopped) => Some(Stall::Stuck),
                Some(
                    Alarm::ProbeOpen
                    | Alarm::ProbeShorted
                    | Alarm::ProbeOutOfRange
                    | Alarm::ProbeJump
                    | Alarm::ProbeBelowAir
                    | Alarm::ProbeOffAir
                    | Alarm::ProbeFlat
                    | Alarm::Runaway,
                )
                | None => None,
            };
            if let Some(stall) = stall {
                let _ = news.push(HeatNews::Stalled(stall));
            }
        }
        let measured = plate.evidence == Evidence::Measured;
        if measured {
            self.highest = self.highest.max(Some(plate.temperature));
        }
        match plate.turn {
            Some(Turn::Warming) => {
                let _ = news.push(HeatNews::Rising);
            }
            Some(Turn::Cooling) => {
                // From where it was held to where it is now: it fell for longer than it took to be sure.
                let body = plate_body(&self.learned, self.sheet);
                let from = targets.plate.map_or(plate.temperature, milli);
                let since = seconds(body.cool(from, air, plate.temperature)).unwrap_or(0);
                let since = u16::try_from(since).unwrap_or(0).clamp(FALLS_S.0, FALLS_S.1);
                let _ = news.push(HeatNews::Falling(since));
            }
            None => {}
        }
        // Only a probe can tell; by the clock alone the phases' own forecast does.
        if targets.warming && measured && !self.ready {
            self.ready =
                reached(targets.plate, plate.temperature) && reached(targets.nozzle, nozzle.temperature);
            if self.ready {
                let _ = news.push(HeatNews::Ready);
            }
        }
        if now.since_ms(self.told_at) >= NEWS_MS {
            self.told_at = now;
            let left = if targets.warming {
                let longer = seconds(self.plate.time_to_target()).max(seconds(self.nozzle.time_to_target()));
                // While the hot end waits for the plate, the plan's own time is the better one.
                longer.filter(|_| measured && nozzle_target == targets.nozzle)
            } else {
                self.cools_in(milli(targets.lift)).filter(|_| measured)
            };
            let _ = news.push(HeatNews::Reading(Heat {
                plate: Some(whole(plate.temperature)),
                nozzle: Some(whole(nozzle.temperature)),
                measured,
                left_s: left.and_then(|left| u16::try_from(left).ok()),
            }));
        }
    }
}

fn plate_body(learned: &[Learned; 2], sheet: [Body; 2]) -> Body {
    let ([learned, _], [sheet, _]) = (learned, sheet);
    learned.over(sheet)
}

/// Within [`READY_MK`] of its target, or without one.
fn reached(target: Option<Celsius>, is: MilliCelsius) -> bool {
    target.is_none_or(|target| is.0 >= milli(target).0.saturating_sub(READY_MK))
}
