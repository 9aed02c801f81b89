//! What past runs teach: how fast a part cools and how strongly it is heated.
//!
//! Small values for the ledger; a new one is used only once it is proven, the old one stays until then.

use serde::{Deserialize, Serialize};

use super::MilliCelsius;
use super::body::Body;
use super::course::Turn;
use super::exponential::ln_ratio_q24;
use super::model::{Evidence, HeatVerdict};
use super::release::BARE_HANDS;

/// Two runs agree within this share of the greater, percent (judgement).
const AGREE_PERCENT: u64 = 15;

/// A number as it was measured in past runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
struct Proven {
    /// In use; 0 = nothing is proven yet.
    in_use: u32,
    /// What the last run gave and no other has borne out; 0 = none.
    waiting: u32,
}

impl Proven {
    /// What is in use, if anything is proven.
    const fn get(self) -> Option<u32> {
        if self.in_use == 0 { None } else { Some(self.in_use) }
    }

    /// What a run gave. Two runs in a row that agree within 15 % are proof: their mean is used from then on. A value
    /// outside `range` is no measurement and changes nothing.
    fn offer(&mut self, measured: u32, range: (u32, u32)) {
        if measured < range.0.max(1) || measured > range.1 {
            return;
        }
        let (less, more) = (measured.min(self.waiting), measured.max(self.waiting));
        if u64::from(more - less) * 100 <= u64::from(more) * AGREE_PERCENT {
            self.in_use = less.midpoint(more);
        }
        self.waiting = measured;
    }
}

/// What was learned of one heated part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Learned {
    /// Time constant, s.
    tau_s: Proven,
    /// Rise over the air under full power, K.
    rise_k: Proven,
}

/// A measurement further than this factor from the sheet's value is none: a draught, an open door, a part on the plate
/// change a time constant by less (judgement).
const FACTOR: u32 = 3;

impl Learned {
    /// The part with what was learned in place of what the sheet says.
    #[must_use]
    pub fn over(&self, sheet: Body) -> Body {
        Body::new(
            self.tau_s.get().unwrap_or(sheet.tau_ms() / 1000),
            self.rise_k.get().unwrap_or(sheet.rise_mk().cast_unsigned() / 1000),
        )
    }
}

/// From a third of a value to three times it.
const fn around(value: u32) -> (u32, u32) {
    (value / FACTOR, value.saturating_mul(FACTOR))
}

/// Least distance from the air at which a reading still tells the time constant, mK: nearer, the probe's own error of
/// some tenths of a kelvin is a large part of it (judgement).
const TELLS_MK: u32 = 8_000;
/// A cooling must shrink the distance by at least this ratio, ln 1.5 in Q24 (judgement).
const SHRINK_Q24: i64 = 6_802_576;
/// Readings before which a line through them says nothing.
const READINGS: u32 = 8;
/// A cooling is followed no longer than two hours, and readings closer together than four seconds count as one: the
/// sums stay small.
const LONGEST_MS: u32 = 2 * 3_600_000;
/// See [`LONGEST_MS`].
const APART_MS: u32 = 4_000;

/// The line through ln(T − Tₐ) over time, by least squares, while a part cools with its heat off. Its slope is −1/τ.
#[derive(Clone, Copy, Debug, Default)]
struct CoolingFit {
    /// At most one in [`APART_MS`] of [`LONGEST_MS`]: 1800.
    readings: u32,
    elapsed_ms: u32,
    /// When the last reading that counts was taken.
    taken_ms: u32,
    first_mk: u32,
    last_mk: u32,
    /// Σt, Σl, Σt², Σt·l with t in s and l = ln(first / distance) in Q16: below 2⁴⁵.
    sums: [i64; 4],
}

impl CoolingFit {
    /// A believed reading, `elapsed_ms` after the one before; of the first one the time does not count.
    fn push(&mut self, elapsed_ms: u32, now: MilliCelsius, air: MilliCelsius) {
        let distance_mk = u32::try_from(now.0.saturating_sub(air.0)).unwrap_or(0);
        if self.readings == 0 {
            self.first_mk = distance_mk;
        } else {
            self.elapsed_ms = self.elapsed_ms.saturating_add(elapsed_ms);
            if self.elapsed_ms - self.taken_ms < APART_MS {
                return;
            }
        }
        if distance_mk < TELLS_MK || self.elapsed_ms > LONGEST_MS {
            return;
        }
        self.taken_ms = self.elapsed_ms;
        self.last_mk = distance_mk;
        self.readings += 1;
        let t = i64::from(self.elapsed_ms / 1000);
        let l = ln_ratio_q24(self.first_mk, distance_mk) >> 8;
        for (sum, term) in self.sums.iter_mut().zip([t, l, t * t, t * l]) {
            *sum += term;
        }
    }

    /// The time constant, s, once the curve has told it.
    fn tau_s(&self) -> Option<u32> {
        if self.readings < READINGS || ln_ratio_q24(self.first_mk, self.last_mk) < SHRINK_Q24 {
            return None;
        }
        let n = i64::from(self.readings);
        let [t, l, tt, tl] = self.sums;
        let spread = n * tt - t * t;
        let fall = n * tl - l * t;
        // τ = spread / fall, fall in Q16: the smaller of the two is shortened instead of the larger one lengthened.
        let tau = spread.checked_div(fall >> 16)?;
        u32::try_from(tau).ok().filter(|tau| *tau > 0)
    }
}

/// A warm-up must be at least this long and bring at least [`LEAST_GAIN_MK`] to tell the heater's strength (judgement).
const LEAST_WARMING_MS: u32 = 20_000;
/// See [`LEAST_WARMING_MS`].
const LEAST_GAIN_MK: i32 = 15_000;

/// The rise over the air that full power would come to, K, from two readings of one warm-up `elapsed_ms` apart, both
/// before the target was reached: P/G = ((T₂−Tₐ) − (T₁−Tₐ)·e) / (1 − e) with e = e^(−t/τ).
fn rise_k(
    body: Body,
    air: MilliCelsius,
    first: MilliCelsius,
    second: MilliCelsius,
    elapsed_ms: u32,
) -> Option<u32> {
    if elapsed_ms < LEAST_WARMING_MS || second.0.saturating_sub(first.0) < LEAST_GAIN_MK {
        return None;
    }
    let left_q30 = i64::from(body.decay().after_q30(elapsed_ms));
    let over = |t: MilliCelsius| i64::from(t.0) - i64::from(air.0);
    let full_mk =
        (over(second) << 30).saturating_sub(over(first) * left_q30).checked_div((1 << 30) - left_q30)?;
    u32::try_from(full_mk / 1000).ok()
}

/// A warm-up tells from this much above where it began: heater and probe are then under way (judgement).
const UNDER_WAY_MK: i32 = 5_000;
/// And up to this much below the target: nearer, a controller no longer gives full power (common practice, no source).
const FULL_POWER_MK: i32 = 5_000;

/// What one job's readings teach of one part.
///
/// It follows the warm-up from 5 K above its beginning to 5 K below its target, and the cooling from the turn at its
/// end until the plate may be lifted: a plate that somebody lifts cools by another law.
#[derive(Clone, Copy, Debug, Default)]
pub struct Lesson {
    began: Option<MilliCelsius>,
    first: Option<MilliCelsius>,
    arrived: bool,
    second: MilliCelsius,
    since_first_ms: u32,
    between_ms: u32,
    cooling: Option<CoolingFit>,
    air: MilliCelsius,
}

impl Lesson {
    /// A step of the part's model, as it was given to it and as it came out.
    pub fn step(
        &mut self,
        elapsed_ms: u32,
        verdict: &HeatVerdict,
        target: Option<MilliCelsius>,
        air: MilliCelsius,
    ) {
        self.since_first_ms = self.since_first_ms.saturating_add(elapsed_ms);
        if verdict.turn == Some(Turn::Cooling) {
            self.cooling = Some(CoolingFit::default());
        }
        if verdict.evidence != Evidence::Measured {
            return;
        }
        let now = verdict.temperature;
        if let Some(cooling) = &mut self.cooling {
            if now > BARE_HANDS {
                cooling.push(elapsed_ms, now, air);
            }
        } else if let Some(target) = target {
            self.warm(now, target, air);
        }
    }

    fn warm(&mut self, now: MilliCelsius, target: MilliCelsius, air: MilliCelsius) {
        let began = *self.began.get_or_insert(now);
        if self.first.is_none() {
            if now.0.saturating_sub(began.0) >= UNDER_WAY_MK {
                (self.first, self.since_first_ms) = (Some(now), 0);
            }
            return;
        }
        self.arrived |= target.0.saturating_sub(now.0) < FULL_POWER_MK;
        if !self.arrived {
            (self.second, self.between_ms, self.air) = (now, self.since_first_ms, air);
        }
    }

    /// Hands over what the job taught, once it is closed out. A job that warmed or cooled too little teaches nothing.
    pub fn hand_over(&self, learned: &mut Learned, sheet: Body) {
        let tau_s = self.cooling.and_then(|cooling| cooling.tau_s());
        // The strength belongs to the time constant of the same run, where it is known.
        let body = tau_s.map_or(learned.over(sheet), |tau_s| Body::new(tau_s, 1));
        if let Some(rise_k) =
            self.first.and_then(|first| rise_k(body, self.air, first, self.second, self.between_ms))
        {
            learned.rise_k.offer(rise_k, around(sheet.rise_mk().cast_unsigned() / 1000));
        }
        if let Some(tau_s) = tau_s {
            learned.tau_s.offer(tau_s, around(sheet.tau_ms() / 1000));
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const AIR: MilliCelsius = MilliCelsius(22_000);

    fn degrees(t: f64) -> MilliCelsius {
        MilliCelsius((t * 1000.0).round() as i32)
    }

    #[test]
    fn one_run_proves_nothing_and_two_that_agree_do() {
        let mut proven = Proven::default();
        proven.offer(600, (100, 3000));
        assert_eq!(proven.get(), None);
        // 15 % of 706 is 105.9: 600 agrees with it, and with 600 in 707 it does not.
        let mut other = proven;
        other.offer(707, (100, 3000));
        assert_eq!(other.get(), None);
        proven.offer(705, (100, 3000));
        assert_eq!(proven.get(), Some(652));
        // One odd run leaves it, and so does what cannot be.
        proven.offer(1200, (100, 3000));
        proven.offer(5000, (100, 3000));
        proven.offer(0, (0, 3000));
        assert_eq!(proven.get(), Some(652));
        proven.offer(1250, (100, 3000));
        assert_eq!(proven.get(), Some(1225));
    }

    #[test]
    fn learned_values_stand_in_for_the_sheet_s() {
        let sheet = Body::new(600, 200);
        let mut learned = Learned::default();
        assert_eq!(learned.over(sheet), sheet);
        for tau in [900, 930, 5000] {
            learned.tau_s.offer(tau, around(600));
        }
        assert_eq!(learned.over(sheet), Body::new(915, 200));
        learned.rise_k.offer(150, around(200));
        learned.rise_k.offer(150, around(200));
        assert_eq!(learned.over(sheet), Body::new(915, 150));
        let text = serde_json::to_string(&learned).unwrap();
        assert_eq!(serde_json::from_str::<Learned>(&text).unwrap(), learned);
    }

    /// Readings of T = 22 + 38·e^(−t/600), to a tenth of a degree as a plain probe gives them.
    #[test]
    fn a_cooling_gives_its_time_constant_back() {
        for tau in [120.0_f64, 364.5, 600.0, 1800.0] {
            let mut fit = CoolingFit::default();
            let mut told = None;
            for step in 0..700 {
                let t = f64::from(step) * 5.0;
                let reading = ((22.0 + 38.0 * (-t / tau).exp()) * 10.0).round() / 10.0;
                fit.push(5_000, degrees(reading), AIR);
                told = told.or(fit.tau_s());
            }
            let at_the_end = f64::from(fit.tau_s().unwrap());
            assert!((at_the_end / tau - 1.0).abs() < 0.01, "{tau}: {at_the_end}");
            assert!((f64::from(told.unwrap()) / tau - 1.0).abs() < 0.02, "{tau}: {told:?} first");
        }
    }

    #[test]
    fn a_plate_that_is_held_or_near_the_air_tells_no_time_constant() {
        for degrees_c in [60.0, 28.0, 10.0] {
            let mut fit = CoolingFit::default();
            (0..200).for_each(|_| fit.push(5_000, degrees(degrees_c), AIR));
            assert_eq!(fit.tau_s(), None);
        }
    }

    /// The worked bed: 22 °C to 60 °C in 77.2 s at τ 364.5 s comes from a rise of 199.2 K (220 W over 1.1045 W/K).
    #[test]
    fn a_warm_up_gives_the_heater_s_strength_back() {
        let bed = Body::new(365, 100);
        let got = rise_k(bed, AIR, AIR, degrees(60.0), 77_200).unwrap();
        assert!(got.abs_diff(199) <= 1, "{got}");
        assert_eq!(rise_k(bed, AIR, AIR, degrees(60.0), 19_999), None);
        assert_eq!(rise_k(bed, AIR, degrees(50.0), degrees(60.0), 60_000), None);
    }

    proptest! {
        #[test]
        fn no_numbers_panic(
            readings in prop::collection::vec((any::<u32>(), any::<i32>(), any::<i32>()), 0..40),
            tau: u32, rise: u32, t: [i32; 3], ms: u32, offers: [u32; 4],
        ) {
            let mut fit = CoolingFit::default();
            for (ms, now, air) in readings {
                fit.push(ms, MilliCelsius(now), MilliCelsius(air));
                let _ = fit.tau_s();
            }
            let body = Body::new(tau, rise);
            let [a, b, d] = t.map(MilliCelsius);
            let _ = rise_k(body, a, b, d, ms);
            let mut proven = Proven::default();
            offers.into_iter().for_each(|offer| proven.offer(offer, (tau, rise)));
            prop_assert!(proven.get().is_none_or(|value| (tau..=rise).contains(&value)));
        }

        /// Whatever a run gives, what is learned stays within a factor of three of the sheet.
        #[test]
        fn learning_is_bounded(
            steps in prop::collection::vec((any::<u32>(), 0..130_000, prop::option::of(0..130_000), any::<u8>()), 0..200),
            airs: [i32; 2],
        ) {
            let sheet = Body::new(600, 200);
            let mut learned = Learned::default();
            let mut lesson = Lesson::default();
            for (ms, now, target, kind) in steps {
                let verdict = HeatVerdict {
                    temperature: MilliCelsius(now),
                    evidence: if kind < 200 { Evidence::Measured } else { Evidence::Estimated },
                    alarm: None,
                    turn: (kind % 32 == 0).then_some(Turn::Cooling),
                };
                lesson.step(ms % 60_000, &verdict, target.map(MilliCelsius), MilliCelsius(airs[usize::from(kind % 2)]));
                lesson.hand_over(&mut learned, sheet);
            }
            let body = learned.over(sheet);
            prop_assert!((200_000..=1_800_000).contains(&body.tau_ms()));
            prop_assert!((66_000..=600_000).contains(&body.rise_mk()));
        }
    }
}
