//! Where the plate's own curve says that the work began and ended.

use super::MilliCelsius;
use super::history::ProbeHistory;

/// The curve turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Turn {
    /// It began to warm: the machine was started.
    Warming,
    /// It fell from where it was held, and goes on falling: the heat is off.
    Cooling,
}

/// Where the forecast window of the end lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum EndWindow {
    /// Its earliest end is still to come.
    Before,
    /// Between earliest and latest.
    Within,
    /// So many seconds after the latest.
    PastBy(u32),
}

/// The plate's curve and the forecast do not agree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum EndAlarm {
    /// It cools before the earliest end: perhaps it stopped by itself.
    CoolingEarly,
    /// It is hot long after the latest end: perhaps it is stuck with its heat on.
    HeatStillOn,
}

// All of them the room lead's judgement.

/// Warmer by more than this within two minutes: started.
const STARTED_MK: i32 = 5_000;
/// Colder than the plateau by this for [`ENDED_MS`]: ended.
const ENDED_MK: i32 = 3_000;
/// Two minutes.
const ENDED_MS: u32 = 120_000;
/// And by this colder than a minute before, so that a plate that is held again is no end.
const STILL_FALLING_MK: i32 = 500;
/// Within this over two minutes it is held: a plate that cools from a printing temperature loses more.
const HELD_MK: i32 = 1_500;
/// A plate that is not warmer than the air by this is not held warm.
const WARM_MK: i32 = 10_000;
/// Colder than the plateau by more than this before the earliest end: cooling early.
const EARLY_MK: i32 = 8_000;
/// Hotter than this (the threshold of the longest contact, ISO 13732-1) ...
const HOT: MilliCelsius = MilliCelsius(43_000);
/// ... for more than this after the latest end, s: the heat is still on.
const OVERDUE_S: u32 = 20 * 60;

/// The course of one job.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Course {
    warmed: bool,
    cooling: bool,
    plateau: Option<MilliCelsius>,
    /// Since when it lies below the plateau.
    below_ms: u32,
}

impl Course {
    /// A believed reading `elapsed_ms` after the last, already in the history. All temperatures are held to what the
    /// model holds.
    pub(super) fn step(
        &mut self,
        elapsed_ms: u32,
        now: MilliCelsius,
        air: MilliCelsius,
        target: Option<MilliCelsius>,
        history: &ProbeHistory,
    ) -> Option<Turn> {
        let (least, most) = history.extremes();
        if !self.warmed && now.0 - least > STARTED_MK {
            *self = Self { warmed: true, ..Self::default() };
            return Some(Turn::Warming);
        }
        // What the job itself lowers is no end.
        if let (Some(plateau), Some(target)) = (self.plateau, target) {
            self.plateau = Some(plateau.min(target));
        }
        let below = self.plateau.is_some_and(|plateau| now.0 <= plateau.0 - ENDED_MK);
        if !below {
            (self.below_ms, self.cooling) = (0, false);
        }
        if self.cooling {
            return None;
        }
        let held = history.spans_two_minutes() && most - least <= HELD_MK;
        if held && now.0 - air.0 >= WARM_MK {
            self.plateau = Some(MilliCelsius(least.midpoint(most)));
            return None;
        }
        if below {
            self.below_ms = self.below_ms.saturating_add(elapsed_ms);
            let falls = history.minute_ago().is_some_and(|then| then - now.0 >= STILL_FALLING_MK);
            self.cooling = self.below_ms >= ENDED_MS && falls;
        }
        self.cooling.then_some(Turn::Cooling)
    }

    /// What does not agree with the forecast, by a believed reading.
    pub(super) fn against(&self, now: MilliCelsius, end: EndWindow) -> Option<EndAlarm> {
        match end {
            EndWindow::Before => {
                let early = self.plateau.is_some_and(|plateau| now.0 < plateau.0 - EARLY_MK);
                early.then_some(EndAlarm::CoolingEarly)
            }
            EndWindow::Within => None,
            EndWindow::PastBy(seconds) => {
                (seconds > OVERDUE_S && now > HOT && !self.cooling).then_some(EndAlarm::HeatStillOn)
            }
        }
    }
}
