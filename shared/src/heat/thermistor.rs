//! What a thermistor (NTC) probe reads: counts of a converter to a temperature, and a broken lead told from a cold
//! plate.

use super::MilliCelsius;
use super::exponential::ln_ratio_q24;

/// What a probe says at one moment. Everything but a temperature is *no reading*, never "cool" or "hot".
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum ProbeReading {
    /// A temperature within the curve's range.
    At(MilliCelsius),
    /// No current flows: a lead is off or broken (it would read as very cold).
    Open,
    /// No voltage stands across it: the leads touch (it would read as very hot).
    Shorted,
    /// Colder than the curve was fitted for.
    TooCold,
    /// Hotter than the curve was fitted for.
    TooHot,
}

/// A thermistor's curve: 1/T = a + b·l + c·l² + d·l³ with l = ln(R / reference), T in kelvin.
///
/// The three forms in use are all of this shape: the beta equation (c = d = 0), Steinhart and Hart's (reference 1 Ω,
/// c = 0), and the four terms that makers publish for the ratio to R₂₅. Make one as a `const`: it costs a board nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Curve {
    reference_ohm: u32,
    /// d, c, b, a in 2⁻⁴⁸/K.
    terms_q48: [i64; 4],
    range: (MilliCelsius, MilliCelsius),
}

/// 0 °C, mK.
const ZERO_MK: i64 = 273_150;

/// 25 °C, mK: where R₂₅ is stated.
const T25_MK: i64 = 298_150;

impl Curve {
    /// A curve by the beta equation R = R₂₅·exp(B(1/T − 1/T₂₅)), believed from `range.0` to `range.1`. Beta is held to
    /// 1000 to 10,000 K, in which every NTC lies.
    ///
    /// One beta fits only near the two temperatures that it was taken at: B 3950 reads a common 100 kΩ bead about 2 K
    /// too high at 125 °C, and several kelvins off at 250 °C.
    #[must_use]
    pub const fn beta(r25_ohm: u32, beta_k: u16, range: (MilliCelsius, MilliCelsius)) -> Self {
        let beta = if beta_k < 1_000 {
            1_000
        } else if beta_k > 10_000 {
            10_000
        } else {
            beta_k as i64
        };
        let terms_q48 = [0, 0, (1 << 48) / beta, (1000 << 48) / T25_MK];
        Self { reference_ohm: r25_ohm, terms_q48, range }
    }

    /// A curve by its four terms a, b, c, d in 10⁻¹⁵/K over l = ln(R / `reference_ohm`), such as a maker's table states
    /// them for the ratio to R₂₅; with a reference of 1 Ω and c = 0, Steinhart and Hart's equation. Terms that no NTC
    /// has give numbers without meaning.
    #[must_use]
    pub const fn terms(reference_ohm: u32, terms: [i64; 4], range: (MilliCelsius, MilliCelsius)) -> Self {
        let [a, b, c, d] = terms;
        Self { reference_ohm, terms_q48: [q48(d), q48(c), q48(b), q48(a)], range }
    }

    /// The reading at l = ln(R / reference) in Q24.
    fn at(&self, ln_q24: i64) -> ProbeReading {
        // Q20, so that every product of a real thermistor's terms fits; a nonsense curve wraps, and does not panic.
        let ln_q20 = ln_q24 >> 4;
        let [mut inverse_q48, lower @ ..] = self.terms_q48;
        for term in lower {
            inverse_q48 = (inverse_q48.wrapping_mul(ln_q20) >> 20).wrapping_add(term);
        }
        // 1/T at or below zero lies beyond any heat.
        let kelvin_mk = (1000_i64 << 48).checked_div(inverse_q48).filter(|mk| *mk > 0).unwrap_or(i64::MAX);
        let celsius = MilliCelsius(i32::try_from(kelvin_mk - ZERO_MK).unwrap_or(i32::MAX));
        if celsius < self.range.0 {
            ProbeReading::TooCold
        } else if celsius > self.range.1 {
            ProbeReading::TooHot
        } else {
            ProbeReading::At(celsius)
        }
    }
}

/// 10⁻¹⁵ to 2⁻⁴⁸: times 2³³ / 5¹⁵, in two parts so that no product leaves 64 bits.
const fn q48(femto: i64) -> i64 {
    const DIVISOR: i64 = 30_517_578_125;
    ((femto / DIVISOR) << 33) + ((((femto % DIVISOR) << 28) / DIVISOR) << 5)
}

/// A probe as it is wired: the thermistor from the converter's input to ground, a reference resistor from there to the
/// converter's own reference voltage, so that the supply cancels out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Thermistor {
    /// The reference resistor, Ω.
    pub pull_up_ohm: u32,
    /// The converter's count at the reference voltage, such as 4095.
    pub full_scale: u16,
    /// The thermistor.
    pub curve: Curve,
}

/// Counts within this share (1/256) of either end are a broken or a shorted lead. With a 100 kΩ bead and 4.7 kΩ it
/// lies at 1.3 MΩ (−23 °C) and at 17 Ω (far above any hot end): outside what a room or a machine can be (judgement).
const END_SHIFT: u32 = 8;

impl Thermistor {
    /// The reading at a converter's counts.
    ///
    /// ```
    /// use holdpoint_shared::heat::{Curve, MilliCelsius, Thermistor, ProbeReading};
    /// const BEAD: Curve = Curve::beta(100_000, 3950, (MilliCelsius(-20_000), MilliCelsius(155_000)));
    /// let probe = Thermistor { pull_up_ohm: 4_700, full_scale: 1023, curve: BEAD };
    /// assert_eq!(probe.read(1023), ProbeReading::Open);
    /// assert_eq!(probe.read(0), ProbeReading::Shorted);
    /// ```
    #[must_use]
    pub fn read(&self, counts: u16) -> ProbeReading {
        let margin = self.full_scale >> END_SHIFT;
        let across_pull_up = self.full_scale.saturating_sub(counts);
        if across_pull_up <= margin {
            return ProbeReading::Open;
        }
        if counts <= margin {
            return ProbeReading::Shorted;
        }
        self.curve.at(ln_ratio_q24(self.pull_up_ohm, self.curve.reference_ohm)
            + ln_ratio_q24(u32::from(counts), u32::from(across_pull_up)))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const WIDE: (MilliCelsius, MilliCelsius) = (MilliCelsius(-40_000), MilliCelsius(300_000));

    fn celsius(curve: Curve, ohm: u32) -> f64 {
        let ProbeReading::At(MilliCelsius(mc)) = curve.at(ln_ratio_q24(ohm, curve.reference_ohm)) else {
            panic!("{ohm} Ω: {:?}", curve.at(ln_ratio_q24(ohm, curve.reference_ohm)))
        };
        f64::from(mc) / 1000.0
    }

    /// R = R₂₅ exp(B(1/T − 1/T₂₅)) worked outside for 100 kΩ, B 3950, and three worked inverses.
    #[test]
    fn the_beta_equation_agrees_with_its_worked_table() {
        let curve = Curve::beta(100_000, 3950, WIDE);
        for (degrees, ohm) in [
            (-40.0, 4_018_597),
            (0.0, 336_206),
            (10.0, 201_746),
            (20.0, 125_353),
            (25.0, 100_000),
            (30.0, 80_371),
            (40.0, 53_015),
            (50.0, 35_882),
            (60.0, 24_862),
            (80.0, 12_703),
            (100.0, 6_975),
            (120.0, 4_071),
            (87.72, 10_000),
            (114.46, 4_700),
            (183.86, 1_000),
        ] {
            let got = celsius(curve, ohm);
            assert!((got - degrees).abs() < 0.008, "{ohm} Ω: {got} for {degrees}");
        }
    }

    /// A component maker's published ratios R/R₂₅ and four terms, −40 to 135 °C: the table to the digits it gives.
    #[test]
    fn a_maker_s_four_terms_agree_with_its_table() {
        let terms = [3_353_943_800_000, 256_460_950_000, 2_515_816_600, 105_030_690];
        let curve = Curve::terms(100_000, terms, WIDE);
        for (degrees, ratio) in [
            (-40.0, 33.36),
            (-20.0, 9.681),
            (0.0, 3.264),
            (10.0, 1.990),
            (20.0, 1.249),
            (25.0, 1.0000),
            (30.0, 0.8056),
            (40.0, 0.5325),
            (50.0, 0.3601),
            (60.0, 0.2487),
            (70.0, 0.1751),
            (80.0, 0.1256),
            (90.0, 0.09155),
            (100.0, 0.06781),
            (110.0, 0.05095),
            (120.0, 0.03881),
            (130.0, 0.02993),
            (135.0, 0.02640),
        ] {
            let got = celsius(curve, (ratio * 100_000.0_f64).round() as u32);
            // Half of the last digit printed is up to 0.014 K.
            assert!((got - degrees).abs() < 0.015, "{ratio}: {got} for {degrees}");
        }
    }

    /// Steinhart and Hart's equation solved at 0, 50 and 125 °C of the same table gives these four back.
    #[test]
    fn steinhart_and_hart_agrees_with_its_worked_fit() {
        let terms = [612_044_690_000, 229_007_310_000, 0, 69_145_368];
        let curve = Curve::terms(1, terms, WIDE);
        for (degrees, ohm) in [(24.992, 100_000), (80.006, 12_560), (100.013, 6_781), (134.996, 2_640)] {
            let got = celsius(curve, ohm);
            assert!((got - degrees).abs() < 0.003, "{ohm} Ω: {got} for {degrees}");
        }
        let small = Curve::terms(1, [1_400_000_000_000, 237_000_000_000, 0, 99_000_000], WIDE);
        assert!((celsius(small, 3_000) - 25.507).abs() < 0.003);
    }

    /// 4.7 kΩ and ten bits: 25, 60, 100, 200 and 250 °C stand at 977.1, 860.4, 611.2, 139.9 and 68.1 counts.
    #[test]
    fn counts_agree_with_the_worked_divider() {
        let probe =
            Thermistor { pull_up_ohm: 4_700, full_scale: 1023, curve: Curve::beta(100_000, 3950, WIDE) };
        for (degrees, counts) in [(25.0, 977.1), (60.0, 860.4), (100.0, 611.2), (200.0, 139.9), (250.0, 68.1)]
        {
            let (above, below) = (f64::ceil(counts) as u16, f64::floor(counts) as u16);
            let (ProbeReading::At(cold), ProbeReading::At(warm)) = (probe.read(above), probe.read(below))
            else {
                panic!("{degrees} °C")
            };
            let share = f64::ceil(counts) - counts;
            let got = f64::from(cold.0) + f64::from(warm.0 - cold.0) * share;
            assert!((got / 1000.0 - degrees).abs() < 0.15, "{counts} counts: {got} for {degrees}");
        }
    }

    #[test]
    fn a_broken_lead_is_not_cold_and_a_shorted_one_not_hot() {
        let range = (MilliCelsius(-20_000), MilliCelsius(155_000));
        let probe =
            Thermistor { pull_up_ohm: 4_700, full_scale: 4095, curve: Curve::beta(100_000, 3950, range) };
        assert_eq!(probe.read(4095), ProbeReading::Open);
        assert_eq!(probe.read(u16::MAX), ProbeReading::Open);
        assert_eq!(probe.read(0), ProbeReading::Shorted);
        // 1.06 MΩ is −20.2 °C and 627 Ω 210 °C by the equation.
        assert_eq!(probe.read(4077), ProbeReading::TooCold);
        assert_eq!(probe.read(482), ProbeReading::TooHot);
    }

    proptest! {
        #[test]
        fn no_counts_and_no_curve_panic(
            counts: u16, full_scale: u16, pull_up_ohm: u32, ohm: u32, beta: u16,
            terms: [i64; 4], least: i32, most: i32,
        ) {
            let range = (MilliCelsius(least), MilliCelsius(most));
            for curve in [Curve::beta(ohm, beta, range), Curve::terms(ohm, terms, range)] {
                let _ = Thermistor { pull_up_ohm, full_scale, curve }.read(counts);
            }
        }

        /// More counts are more ohms, and more ohms are colder.
        #[test]
        fn more_counts_are_never_warmer(counts in 16_u16..4078, beta in 3000_u16..4500) {
            let probe = Thermistor { pull_up_ohm: 4_700, full_scale: 4095, curve: Curve::beta(100_000, beta, WIDE) };
            if let (ProbeReading::At(a), ProbeReading::At(b)) = (probe.read(counts), probe.read(counts + 1)) {
                prop_assert!(b <= a, "{counts}: {a:?} {b:?}");
            }
        }
    }
}
