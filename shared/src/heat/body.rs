//! A heated part as one lump: the closed forms of warming and cooling.
//!
//! C dT/dt = P − G (T − T∞), so that T = T∞ + (T₀ − T∞)·e^(−t/τ) with τ = C/G, and under full power T goes the same way
//! towards T∞ + P/G (lumped capacity, as in Incropera and DeWitt, chapter 5; it holds where Bi = hL/k < 0.1, which a
//! metal bed and a heater block meet by far).

use super::MilliCelsius;
use super::exponential::{half_to_q30, ln_ratio_q24};
use crate::records::Heaters;

/// A heated part's two numbers. All else follows from them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Body {
    tau_ms: u32,
    rise_mk: i32,
}

/// How long until a temperature is reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum TimeLeft {
    /// It is reached.
    Now,
    /// In so many milliseconds, rounded up.
    In(u32),
    /// Not by this way: the air is too warm, or the heater too weak.
    Never,
}

/// log₂ e in Q40.
const LOG2_E_Q40: u64 = 1_586_259_972_792;

/// Time constants that a hot end or a bed can have, s: a bare block has some minutes, a thick bed in a box an hour.
const TAU_S: (u32, u32) = (1, 24 * 3600);

/// Rise over the air under full power, K: no heater of the trade goes beyond what melts its own block.
const RISE_K: (u32, u32) = (1, 1_500);

/// Temperatures that the model holds, m°C.
const HELD_MC: (i32, i32) = (-273_150, 2_000_000);

impl Body {
    /// A bed on which the sheet says nothing: the slowest of the time constants a room lead meets (15 min), so that
    /// cooling is rather said too long; 60 °C in 4 min, the middle of common practice (no source).
    pub const UNKNOWN_BED: Self = Self::new(900, 162);

    /// A hot end on which the sheet says nothing: 333 s (worked from 10 J/K and 0.03 W/K, assumed); 210 °C in 1:45,
    /// the middle of common practice (no source).
    pub const UNKNOWN_NOZZLE: Self = Self::new(333, 695);

    /// A part with a time constant of `tau_s` that full power would bring `rise_k` above the air; each held to what a
    /// machine can have.
    #[must_use]
    pub const fn new(tau_s: u32, rise_k: u32) -> Self {
        Self { tau_ms: held(tau_s, TAU_S) * 1000, rise_mk: (held(rise_k, RISE_K) * 1000).cast_signed() }
    }

    /// The sheet's hot end.
    #[must_use]
    pub const fn nozzle(heaters: &Heaters) -> Self {
        Self::of(heaters.nozzle_w, heaters.nozzle_j_per_k, heaters.nozzle_mw_per_k)
    }

    /// The sheet's bed.
    #[must_use]
    pub const fn bed(heaters: &Heaters) -> Self {
        Self::of(heaters.bed_w, heaters.bed_j_per_k, heaters.bed_mw_per_k)
    }

    const fn of(watts: u16, j_per_k: u16, mw_per_k: u16) -> Self {
        let loss = if mw_per_k == 0 { 1 } else { mw_per_k as u64 };
        let tau_ms = j_per_k as u64 * 1_000_000 / loss;
        let rise_mk = watts as u64 * 1_000_000 / loss;
        // The least of both lies far below 2³² and is what `held` gives back for more.
        let cut = u32::MAX as u64;
        Self {
            tau_ms: held(
                if tau_ms > cut { u32::MAX } else { tau_ms as u32 },
                (TAU_S.0 * 1000, TAU_S.1 * 1000),
            ),
            rise_mk: held(
                if rise_mk > cut { u32::MAX } else { rise_mk as u32 },
                (RISE_K.0 * 1000, RISE_K.1 * 1000),
            )
            .cast_signed(),
        }
    }

    /// Time constant, ms.
    #[must_use]
    pub const fn tau_ms(self) -> u32 {
        self.tau_ms
    }

    /// Rise over the air under full power, mK.
    #[must_use]
    pub const fn rise_mk(self) -> i32 {
        self.rise_mk
    }

    /// The same part that cools more slowly by three tenths: without a probe a time is taken 1.3 times as long
    /// (judgement of the room's lead).
    #[must_use]
    pub(super) const fn careful(self) -> Self {
        Self { tau_ms: self.tau_ms + self.tau_ms / 10 * 3, rise_mk: self.rise_mk }
    }

    /// The share of a distance that is left after a time.
    pub(super) const fn decay(self) -> Decay {
        // Held above 0 where it is made.
        let tau_ms = if self.tau_ms == 0 { 1 } else { self.tau_ms as u64 };
        Decay { per_ms_q40: LOG2_E_Q40.div_ceil(tau_ms) as u32 }
    }

    /// Until it has cooled from `from` to `limit` in `air`: t = τ·ln((T−Tₐ)/(T_limit−Tₐ)).
    ///
    /// ```
    /// use holdpoint_shared::heat::{Body, MilliCelsius, TimeLeft};
    /// let plate = Body::new(600, 162);
    /// let air = MilliCelsius(22_000);
    /// // 10 min · ln(38/18) = 7.5 min.
    /// let TimeLeft::In(ms) = plate.cool(MilliCelsius(60_000), air, MilliCelsius(40_000)) else { panic!() };
    /// assert_eq!(ms / 6_000, 74);
    /// assert_eq!(plate.cool(MilliCelsius(60_000), MilliCelsius(40_000), MilliCelsius(40_000)), TimeLeft::Never);
    /// ```
    #[must_use]
    pub fn cool(self, from: MilliCelsius, air: MilliCelsius, limit: MilliCelsius) -> TimeLeft {
        if from <= limit { TimeLeft::Now } else { self.approach(over(from, air), over(limit, air)) }
    }

    /// Until full power has brought it from `from` to `target`: t = τ·ln((T∞−T)/(T∞−T_target)).
    #[must_use]
    pub fn warm(self, from: MilliCelsius, air: MilliCelsius, target: MilliCelsius) -> TimeLeft {
        if from >= target {
            return TimeLeft::Now;
        }
        let limit = MilliCelsius(air.0.saturating_add(self.rise_mk));
        self.approach(over(limit, from), over(limit, target))
    }

    /// Until a distance has shrunk to another.
    fn approach(self, from: u32, to: u32) -> TimeLeft {
        if to == 0 {
            return TimeLeft::Never;
        }
        // 22 · 2²⁴ · 1.1e8 ms stay below 2⁶³.
        let ms = ((ln_ratio_q24(from, to) * i64::from(self.tau_ms)) >> 24) + 1;
        TimeLeft::In(u32::try_from(ms).unwrap_or(u32::MAX))
    }
}

/// A value held to a range.
const fn held(value: u32, range: (u32, u32)) -> u32 {
    if value < range.0 {
        range.0
    } else if value > range.1 {
        range.1
    } else {
        value
    }
}

/// How far `a` lies above `b`, mK; 0 where it does not.
const fn over(a: MilliCelsius, b: MilliCelsius) -> u32 {
    let span = a.0.saturating_sub(b.0);
    if span > 0 { span.cast_unsigned() } else { 0 }
}

/// e^(−t/τ) ready to be taken: the division is done once.
#[derive(Clone, Copy, Debug)]
pub(super) struct Decay {
    per_ms_q40: u32,
}

impl Decay {
    /// e^(−t/τ) in Q30.
    pub(super) fn after_q30(self, elapsed_ms: u32) -> u32 {
        half_to_q30((u64::from(elapsed_ms) * u64::from(self.per_ms_q40)) >> 10)
    }

    /// Where `from_uc` (µ°C) is after a time on its way to `to`.
    pub(super) fn towards(self, from_uc: i64, to: MilliCelsius, elapsed_ms: u32) -> i64 {
        let to_uc = held_uc(to);
        let left = (from_uc - to_uc) * i64::from(self.after_q30(elapsed_ms));
        to_uc + ((left + (1 << 29)) >> 30)
    }
}

/// A temperature held to what the model holds: no difference of two then leaves 32 bits.
pub(super) fn held_mc(temperature: MilliCelsius) -> MilliCelsius {
    MilliCelsius(temperature.0.clamp(HELD_MC.0, HELD_MC.1))
}

/// A temperature as the model holds it, in µ°C.
pub(super) fn held_uc(temperature: MilliCelsius) -> i64 {
    i64::from(held_mc(temperature).0) * 1000
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const AIR: MilliCelsius = MilliCelsius(22_000);

    fn c(degrees: i32) -> MilliCelsius {
        MilliCelsius(degrees * 1000)
    }

    fn minutes(left: TimeLeft) -> f64 {
        let TimeLeft::In(ms) = left else { panic!("{left:?}") };
        f64::from(ms) / 60_000.0
    }

    /// τ·ln(38/18) and τ·ln(78/18): a room of 22 °C, to 40 °C, with time constants of 6, 10 and 15 min.
    #[test]
    fn cooling_agrees_with_the_room_lead_s_examples() {
        for (from, worked) in [(60, [4.483, 7.472, 11.208]), (100, [8.798, 14.663, 21.995])] {
            for (tau_min, expected) in [6, 10, 15].into_iter().zip(worked) {
                let got = minutes(Body::new(tau_min * 60, 100).cool(c(from), AIR, c(40)));
                assert!((got - expected).abs() < 0.001, "{from} °C, {tau_min} min: {got} for {expected}");
            }
        }
    }

    /// An aluminium bed of 235 x 235 x 3 mm, 402.6 J/K, 1.1045 W/K, 220 W, worked outside.
    #[test]
    fn a_worked_bed() {
        let heaters = Heaters {
            nozzle_w: 40,
            bed_w: 220,
            nozzle_j_per_k: 10,
            bed_j_per_k: 403,
            nozzle_mw_per_k: 30,
            bed_mw_per_k: 1105,
        };
        let bed = Body::bed(&heaters);
        for (from, row) in [
            (60, [1.9, 2.3, 3.1, 3.6, 4.5, 6.5]),
            (100, [6.2, 6.7, 7.4, 8.0, 8.9, 10.9]),
            (110, [7.0, 7.4, 8.2, 8.7, 9.6, 11.6]),
        ] {
            for (to, expected) in [50, 48, 45, 43, 40, 35].into_iter().zip(row) {
                let got = minutes(bed.cool(c(from), AIR, c(to)));
                assert!((got - expected).abs() < 0.06, "{from} to {to} °C: {got} for {expected}");
            }
        }
        assert!((minutes(bed.warm(AIR, AIR, c(60))) - 1.29).abs() < 0.01);
        assert!((minutes(bed.warm(AIR, AIR, c(100))) - 3.02).abs() < 0.01);
        assert!((i64::from(AIR.0 + bed.rise_mk()) - 221_000).abs() < 200, "steady limit 221 °C");
        let nozzle = Body::nozzle(&heaters);
        // 333.3 s · ln(1333.3 / 1145.3).
        assert!((minutes(nozzle.warm(AIR, AIR, c(210))) * 60.0 - 50.66).abs() < 0.01);
        assert!((minutes(nozzle.cool(c(210), AIR, c(50))) - 10.5).abs() < 0.1);
        assert_eq!(AIR.0 + nozzle.rise_mk(), 1_355_333);
    }

    /// Incropera and DeWitt, example 5.1: τ = 1 s, 25 °C into gas of 200 °C; 199 °C after ln 175 = 5.1648 s.
    #[test]
    fn a_textbook_thermocouple() {
        let gas = Body::new(1, 175);
        let TimeLeft::In(ms) = gas.warm(c(25), c(25), c(199)) else { panic!() };
        assert!((i64::from(ms) - 5165).abs() <= 1, "{ms}");
        let left = gas.decay().towards(25_000_000, c(200), 5165);
        // 5165 ms are 0.2 ms more than ln 175, at 1 K/s there.
        assert!((left - 199_000_214).abs() < 100, "{left}");
    }

    #[test]
    fn never_and_now() {
        let bed = Body::UNKNOWN_BED;
        assert_eq!(bed.cool(c(60), c(41), c(40)), TimeLeft::Never);
        assert_eq!(bed.cool(c(40), c(45), c(40)), TimeLeft::Now);
        assert_eq!(bed.warm(c(22), c(22), c(184)), TimeLeft::Never);
        assert_eq!(bed.warm(c(60), c(22), c(60)), TimeLeft::Now);
        // The parts that a sheet says nothing on take what is common: 4 min to 60 °C, 1:45 to 210 °C.
        assert!((minutes(bed.warm(AIR, AIR, c(60))) - 4.0).abs() < 0.05);
        assert!((minutes(Body::UNKNOWN_NOZZLE.warm(AIR, AIR, c(210))) - 1.75).abs() < 0.02);
    }

    proptest! {
        #[test]
        fn no_numbers_panic(tau: u32, rise: u32, w: u16, j: u16, mw: u16, a: i32, b: i32, d: i32, ms: u32) {
            let heaters = Heaters {
                nozzle_w: w, bed_w: w, nozzle_j_per_k: j, bed_j_per_k: j, nozzle_mw_per_k: mw, bed_mw_per_k: mw,
            };
            for body in [Body::new(tau, rise), Body::bed(&heaters), Body::nozzle(&heaters)] {
                let (a, b, d) = (MilliCelsius(a), MilliCelsius(b), MilliCelsius(d));
                let _ = (body.cool(a, b, d), body.careful().cool(a, b, d), body.warm(a, b, d));
                let end = body.decay().towards(held_uc(a), b, ms);
                let (least, most) = (held_uc(a).min(held_uc(b)), held_uc(a).max(held_uc(b)));
                prop_assert!((least..=most).contains(&end));
            }
        }

        /// Hotter takes longer, a lower limit takes longer, warmer air takes longer.
        #[test]
        fn cooling_is_monotone(
            tau in 60_u32..3600, from in 45_000..120_000, air in 5_000..35_000, limit in 36_000..45_000, more in 1..5_000,
        ) {
            let body = Body::new(tau, 162);
            let base = body.cool(MilliCelsius(from), MilliCelsius(air), MilliCelsius(limit));
            prop_assert!(body.cool(MilliCelsius(from + more), MilliCelsius(air), MilliCelsius(limit)) >= base);
            prop_assert!(body.cool(MilliCelsius(from), MilliCelsius(air + more), MilliCelsius(limit)) >= base);
            prop_assert!(body.cool(MilliCelsius(from), MilliCelsius(air), MilliCelsius(limit - more)) >= base);
            prop_assert!(body.careful().cool(MilliCelsius(from), MilliCelsius(air), MilliCelsius(limit)) >= base);
        }
    }
}
