//! M words: heat, fans, limits, factors, stops.

use crate::text::{MICRO, Words};

use super::command::{Known, LimitWords};
use super::modal::{Modal, ONE};
use super::table;
use super::{Applied, Axes, Heater, MotionSink, UnreadKind, Wait};

/// Diameters that filament may have, µm: far around 1.75 and 2.85 mm (judgement).
const VOLUME_UM: core::ops::RangeInclusive<i64> = 500..=5000;

/// The trade's full speed of a fan (M106 S).
const FAN_FULL: i64 = 255;

/// Baby steps add up to at most this, nm: a kilometre.
const FARTHEST: i64 = 1_000_000_000_000;

impl Modal {
    /// One M word, with the other words of its line.
    pub(super) fn machine_word(&mut self, code: u32, words: &Words, sink: &mut impl MotionSink) {
        let per_axis = |scale: fn(i64) -> Option<u32>| {
            [b'X', b'Y', b'Z', b'E'].map(|letter| words.get(letter).and_then(scale))
        };
        match table::known(b'M', code, words) {
            Known::Stop => {
                let ms = words.get(b'P').unwrap_or(0) / MICRO + words.get(b'S').unwrap_or(0) / 1000;
                match u64::try_from(ms) {
                    Ok(ms @ 1..) => sink.applied(Applied::Dwell(ms)),
                    _ => sink.applied(Applied::Pause(super::PauseKind::Stop)),
                }
            }
            Known::Pause(kind) => sink.applied(Applied::Pause(kind)),
            Known::End => sink.applied(Applied::End),
            Known::MotorsOff => sink.applied(Applied::MotorsOff(Axes::named(words, Axes::ALL))),
            Known::FeedMode { relative } => {
                self.step.wording.feed_relative = relative;
                self.step.wording.feed_mode_stated = true;
                self.step.wording.feed_mode_ambiguous = false;
            }
            Known::Heat(heater, waits) => self.heat(heater, waits, words, sink),
            Known::FanOn => {
                if words.get(b'P').is_none_or(|index| index == 0) {
                    let speed = words.get(b'S').unwrap_or(FAN_FULL * MICRO).clamp(0, FAN_FULL * MICRO);
                    // To the nearest thousandth.
                    sink.applied(Applied::Fan(((speed + FAN_FULL * 500) / (FAN_FULL * 1000)) as u16));
                }
            }
            Known::FanOff => {
                if words.get(b'P').is_none_or(|index| index == 0) {
                    sink.applied(Applied::Fan(0));
                }
            }
            Known::AxisAccel => sink.applied(Applied::Limits(LimitWords::AxisAccel(per_axis(thousandths)))),
            Known::AxisSpeed => sink.applied(Applied::Limits(LimitWords::AxisSpeed(per_axis(thousandths)))),
            Known::Accel => {
                let of = |letter: u8| words.get(letter).or_else(|| words.get(b'S')).and_then(thousandths);
                let retract = words.get(b'R').and_then(thousandths);
                sink.applied(Applied::Limits(LimitWords::Accel([of(b'P'), of(b'T'), retract])));
            }
            Known::Corner => sink.applied(Applied::Limits(LimitWords::Corner {
                steps: per_axis(thousandths),
                deviation: words.get(b'J').and_then(thousandths),
            })),
            Known::FeedFactor => {
                if let Some(percent @ 1..) = words.get(b'S') {
                    self.feed_factor = percent / 100;
                    if self.feed_word > 0 {
                        self.renew_speed();
                    }
                    if self.feed_factor != ONE {
                        sink.applied(Applied::FeedFactor);
                    }
                }
            }
            Known::FlowFactor => {
                if let Some(percent @ 0..) = words.get(b'S') {
                    self.flow_factor = percent / 100;
                    self.renew_scale();
                    let permille = u32::try_from(self.flow_factor / (ONE / 1000));
                    sink.applied(Applied::FlowFactor(permille.unwrap_or(u32::MAX)));
                }
            }
            Known::RetractLength { back } => {
                if let Some(length) = words.get(b'S') {
                    sink.applied(Applied::RetractLength { back, nm: self.to_mm(length) });
                }
            }
            Known::Volume => self.volume(words, sink),
            Known::HeatAll => {
                for heater in [Heater::Nozzle, Heater::Bed, Heater::Chamber] {
                    sink.applied(Applied::Heat { heater, tool: self.tool, target: None, wait: Wait::Heat });
                }
            }
            Known::BabyStep => self.baby_step(words, sink),
            Known::ToolChange => {
                if words.has(b'T') {
                    self.set_tool(words, sink);
                }
            }
            Known::Probe => sink.applied(Applied::Probe),
            known => Self::classed(b'M', code, known.class(), sink),
        }
    }

    /// M290: the machine goes there at once and calls the place as before. S is Z; R0 makes the numbers a whole
    /// instead of a step (common practice, no source).
    fn baby_step(&mut self, words: &Words, sink: &mut impl MotionSink) {
        let whole = words.get(b'R') == Some(0);
        for (letter, axis) in [(b'X', 0), (b'Y', 1), (b'Z', 2), (b'S', 2)] {
            let (Some(micro), Some(baby)) = (words.get(letter), self.baby.get_mut(axis)) else { continue };
            // Every number has at most nine digits before the point, and the sum is held.
            let sum = if whole { micro } else { micro.saturating_add(*baby) }.clamp(-FARTHEST, FARTHEST);
            let step = sum - *baby;
            *baby = sum;
            for place in [self.offset.get_mut(axis), self.step.to.get_mut(axis)].into_iter().flatten() {
                *place = place.saturating_add(step);
            }
        }
        sink.applied(Applied::BabySteps(self.baby));
    }

    /// M200: filament by volume of a diameter D; D0 or S0 ends it, S1 takes the last diameter again (common practice, no
    /// source).
    fn volume(&mut self, words: &Words, sink: &mut impl MotionSink) {
        let diameter_um = match words.get(b'D').map(|mm| self.to_mm(mm) / 1000) {
            Some(um) => um,
            None => self.volume_um,
        };
        let off = words.get(b'S').map_or(diameter_um <= 0, |on| on <= 0);
        let other_tool = words.get(b'T').is_some_and(|tool| tool / MICRO != i64::from(self.tool));
        if !off && (other_tool || !VOLUME_UM.contains(&diameter_um)) {
            sink.applied(Applied::Unread(UnreadKind::Volumetric));
            return;
        }
        if other_tool {
            return;
        }
        if diameter_um > 0 {
            self.volume_um = diameter_um;
        }
        self.by_volume(!off);
        sink.applied(Applied::Volume(u32::try_from(diameter_um).ok().filter(|_| !off)));
    }

    fn heat(&mut self, heater: Heater, waits: bool, words: &Words, sink: &mut impl MotionSink) {
        let tool = words.get(b'T').and_then(|tool| u8::try_from(tool / MICRO).ok()).unwrap_or(self.tool);
        let (target, wait) = match (words.get(b'S'), words.get(b'R')) {
            (Some(target), _) => (Some(target), if waits { Wait::Heat } else { Wait::No }),
            (None, Some(target)) if waits => (Some(target), Wait::HeatOrCool),
            _ => (None, if waits { Wait::Heat } else { Wait::No }),
        };
        sink.applied(Applied::Heat { heater, tool, target, wait });
    }
}

/// Millimetres to micrometres: 10⁻⁶ to 10⁻³; `None` = negative.
fn thousandths(micro: i64) -> Option<u32> {
    u64::try_from(micro).ok().map(|micro| u32::try_from(micro / 1000).unwrap_or(u32::MAX))
}
