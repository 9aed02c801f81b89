//! What a run is expected to be: plain data that the app derives from survey, setup and history.
//!
//! Two clocks meet here. *Job seconds* are the forecast's own: 0 at the first move after warm-up, homing, probing and
//! purge included, as estimated. *Run seconds* are the room's: 0 at the release. [`Run`](super::run::Run) maps one to
//! the other; all times of a plan are job seconds unless their name says otherwise.

use heapless::Vec;
use serde::{Deserialize, Serialize};

/// Marks of a first layer kept: homing, probing, purge, skirt, walls and infill once or twice. More are left out by
/// the app, last ones first. 8 bytes each.
pub const MARKS: usize = 10;
/// Moments to look again kept. 8 bytes each.
pub const LOOKS: usize = 6;
/// Pauses that want a person kept; as many as the survey keeps. 4 bytes each.
pub const STOPS: usize = 8;
/// Points of the table of time, filament and layer. 8 bytes each.
pub const POINTS: usize = 32;

/// True time over estimated time before anything was learned, permille (job catalogue, section 4: 1.10).
pub const FIRST_PERMILLE: u16 = 1100;
/// Half the end's window in the first five jobs, permille (the same: 10 %).
pub const FIRST_SPREAD_PERMILLE: u16 = 100;

/// How long to stay at a first layer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Watch {
    /// Seconds from the begin of the first layer on.
    pub stay_s: u16,
    /// The first layer goes on after that: look again at its end.
    pub look_at_layer_one: bool,
}

/// What comes in the first minutes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum StartStep {
    /// The head finds its zero.
    Homing,
    /// The head feels for the plate.
    Probing,
    /// The purge strip.
    Purge,
    /// A skirt or brim round the part.
    Skirt,
    /// The first layer's walls.
    Walls,
    /// The first layer's filling.
    Infill,
    /// The second layer.
    SecondLayer,
}

/// From when on a part of the first minutes comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct StageMark {
    /// Job seconds.
    pub at_s: u32,
    /// What begins.
    pub part: StartStep,
}

/// Why somebody should look then.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum LookAt {
    /// A quarter of an hour after leaving.
    Soon,
    /// Half an hour after leaving: jobs that like to lift.
    HalfHour,
    /// A large first layer is complete.
    LayerOne,
    /// A quarter of the time is over.
    Quarter,
    /// Supports begin.
    Support,
    /// The first bridge.
    Bridge,
    /// The room is about to close.
    Closing,
}

/// A moment to look again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Look {
    /// Job seconds.
    pub at_s: u32,
    /// What to look at.
    pub at: LookAt,
}

/// How far a job is at a time.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Point {
    /// Job seconds.
    pub at_s: u32,
    /// Filament used by then, permille of the need.
    pub share: u16,
    /// Layers complete by then.
    pub layer: u16,
}

/// A run as it is expected.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Plan {
    /// Hand checks that are needed: a set of [`Hand::bit`](super::Hand::bit).
    pub hands: u16,
    /// Heating up, seconds, until the first move.
    pub warm_s: u16,
    /// Homing, seconds.
    pub home_s: u16,
    /// Probing, seconds.
    pub probe_s: u16,
    /// The purge strip, seconds.
    pub purge_s: u16,
    /// The end of the job, job seconds.
    pub end_s: u32,
    /// True time over estimated time on this machine, permille; stretches all after the purge.
    pub time_permille: u16,
    /// Half the end's window, permille of the job's time.
    pub spread_permille: u16,
    /// How long to stay at the first layer.
    pub watch: Watch,
    /// The first minutes, in their order.
    pub marks: Vec<StageMark, MARKS>,
    /// Moments to look again, in their order.
    pub looks: Vec<Look, LOOKS>,
    /// Pauses that want a person, in their order, job seconds.
    pub stops: Vec<u32, STOPS>,
    /// Time, filament and layers, in their order; from (0, 0, 0) on when its first point lies later.
    pub points: Vec<Point, POINTS>,
    /// Layers of the whole job; 0 = not known.
    pub layers: u16,
    /// Filament that the whole job needs, mg.
    pub need_mg: u32,
    /// Highest target of the hot end, °C; 0 = none.
    pub nozzle_c: i16,
    /// Highest target of the bed, °C; 0 = none.
    pub bed_c: i16,
    /// A plate at or below this may be touched, °C.
    pub touch_c: i16,
    /// At or below this the part lets go, °C.
    pub release_c: i16,
    /// Cooling down to both, seconds; what is left when no plate is read.
    pub cool_s: u16,
    /// Until the room closes, seconds from the moment of the offer; `None` = does not close, or no clock.
    pub closing_in_s: Option<u32>,
}

impl Default for Plan {
    /// A plan of nothing, with the numbers that hold before anything was learned.
    fn default() -> Self {
        Self {
            hands: 0,
            warm_s: 0,
            home_s: 0,
            probe_s: 0,
            purge_s: 0,
            end_s: 0,
            time_permille: FIRST_PERMILLE,
            spread_permille: FIRST_SPREAD_PERMILLE,
            watch: Watch::default(),
            marks: Vec::new(),
            looks: Vec::new(),
            stops: Vec::new(),
            points: Vec::new(),
            layers: 0,
            need_mg: 0,
            nozzle_c: 0,
            bed_c: 0,
            // ISO 13732-1, 43 °C for long contact, less 3 K for the probe (job catalogue, S14).
            touch_c: 40,
            release_c: 40,
            // The table's longest for PLA on steel (job catalogue, section 4).
            cool_s: 11 * 60,
            closing_in_s: None,
        }
    }
}

impl Plan {
    /// Homing, probing and purge together, seconds: learned by the clock, never stretched.
    pub(super) const fn lead_s(&self) -> u32 {
        self.home_s as u32 + self.probe_s as u32 + self.purge_s as u32
    }

    /// Filament used (permille) and layers complete at a job second, on a straight line between points.
    pub(super) fn progress(&self, at_s: u32) -> Point {
        let mut from = Point::default();
        for &to in &self.points {
            if to.at_s > at_s {
                let (part, whole) = (at_s.saturating_sub(from.at_s), to.at_s.saturating_sub(from.at_s));
                return Point {
                    at_s,
                    share: between(from.share, to.share, part, whole),
                    layer: between(from.layer, to.layer, part, whole),
                };
            }
            from = to;
        }
        Point { at_s, ..from }
    }

    /// Grams at a share, mg. A need above 4 kg is counted as 4 kg: more than any spool of the trade holds.
    pub(super) fn mass_mg(&self, share: u16) -> u32 {
        self.need_mg.min(4_000_000) * u32::from(share.min(1000)) / 1000
    }
}

/// `from` moved by `part` of `whole` towards `to`, rounded down; `from` when there is nothing to divide by.
fn between(from: u16, to: u16, part: u32, whole: u32) -> u16 {
    // Sixteen bits of the span are fine enough, and keep the product in 32.
    let shift = (u32::BITS - whole.leading_zeros()).saturating_sub(16);
    let (part, whole) = (part >> shift, whole >> shift);
    let rise = u32::from(to.saturating_sub(from));
    let more = rise.saturating_mul(part).checked_div(whole).unwrap_or(0);
    from.saturating_add(u16::try_from(more).unwrap_or(u16::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(at_s: u32, share: u16, layer: u16) -> Point {
        Point { at_s, share, layer }
    }

    #[test]
    fn progress_runs_on_straight_lines() {
        let mut plan = Plan::default();
        for p in [point(100, 100, 1), point(300, 500, 3), point(500, 1000, 10)] {
            plan.points.push(p).unwrap();
        }
        assert_eq!(plan.progress(0), point(0, 0, 0));
        assert_eq!(plan.progress(50), point(50, 50, 0));
        assert_eq!(plan.progress(200), point(200, 300, 2));
        assert_eq!(plan.progress(300), point(300, 500, 3));
        assert_eq!(plan.progress(9_999), point(9_999, 1000, 10));
        assert_eq!(Plan::default().progress(7).share, 0, "no table");
    }

    #[test]
    fn days_and_kilograms_fit() {
        let mut plan = Plan { need_mg: u32::MAX, ..Plan::default() };
        plan.points.push(point(10_000_000, 1000, 60_000)).unwrap();
        let half = plan.progress(5_000_000);
        assert!((499..=500).contains(&half.share) && (29_900..=30_000).contains(&half.layer), "{half:?}");
        assert_eq!(plan.mass_mg(500), 2_000_000);
        plan.need_mg = 62_000;
        assert_eq!(plan.mass_mg(250), 15_500);
    }

    #[test]
    fn it_is_small() {
        assert!(size_of::<Plan>() <= 600, "{}", size_of::<Plan>());
    }
}
