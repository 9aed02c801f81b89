//! Burn thresholds by surface material and contact time.
//!
//! After ISO 13732-1:2006 (first EN 563): thresholds for smooth surfaces of high heat capacity, adults' skin, contact
//! of half a second or more. The lower edge of the published band is used: above it a burn is possible. Piecewise
//! linear over the logarithm of time, as the standard's figures are drawn.
//!
//! No skin-damage integral is used: fed with a surface's temperature it is wrong at short times, and the pairing of its
//! constants that is printed most (A = 3.1e98 with E = 6.28e5 J/mol) allows several times too long at long ones.
//!
//! Status of the numbers, honestly: bare metal at 1 s, 10 s and 8 h and plastic at 1 s agree with ECMA-287 as quoted
//! by a secondary page; every other cell is from memory. Buy the standard before printing a claim from them.

use super::exponential::log2_q32;

/// A temperature in thousandths of a degree Celsius.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct MilliCelsius(pub i32);

/// What is touched. Coated metal and polymer-faced spring steel count as bare metal: the coating's gain is small and
/// gone after a minute (ISO 13732-1, figure 3, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Surface {
    /// Bare or thinly coated metal.
    Metal,
    /// Ceramic, glass and stone.
    Ceramic,
    /// Plastic, such as the printed part itself.
    Plastic,
    /// Wood.
    Wood,
}

/// How long a surface may be touched before its temperature reaches the threshold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Contact {
    /// Above the threshold of the shortest contact in the standard's scope: do not touch.
    Never,
    /// At most this long, ms, rounded down.
    AtMost(u32),
    /// Below the threshold of the longest contact (8 h).
    NoLimitStated,
}

/// Contact times of the published columns, ms.
const TIMES_MS: [u32; 6] = [500, 1_000, 10_000, 60_000, 600_000, 28_800_000];

impl Surface {
    /// Lower edge of the threshold band at [`TIMES_MS`], °C. ISO 13732-1; see the module's note on what is from memory.
    const fn thresholds_c(self) -> [i32; 6] {
        match self {
            Self::Metal => [67, 65, 55, 51, 48, 43],
            Self::Ceramic => [84, 80, 66, 56, 48, 43],
            Self::Plastic => [91, 85, 71, 60, 48, 43],
            Self::Wood => [128, 115, 89, 60, 48, 43],
        }
    }
}

/// The temperature above which a burn is possible at a contact of `contact_ms`.
///
/// Shorter than 0.5 s is outside the standard's scope and takes the value of 0.5 s; longer than 8 h takes that of 8 h.
///
/// ```
/// use holdpoint_shared::heat::{Surface, burn_threshold};
/// assert_eq!(burn_threshold(Surface::Metal, 1_000).0, 65_000);
/// ```
#[must_use]
pub fn burn_threshold(surface: Surface, contact_ms: u32) -> MilliCelsius {
    let knots = TIMES_MS.iter().zip(surface.thresholds_c());
    let mut below: Option<(u32, i32)> = None;
    for (&time_ms, threshold_c) in knots {
        let threshold_mc = threshold_c * 1000;
        if contact_ms <= time_ms {
            let Some((from_ms, from_mc)) = below else { return MilliCelsius(threshold_mc) };
            let share = log2_q32(contact_ms).saturating_sub(log2_q32(from_ms));
            let whole = log2_q32(time_ms).saturating_sub(log2_q32(from_ms)).max(1);
            let drop = i64::from(from_mc - threshold_mc) * share / whole;
            // The drop is less than a hundred degrees; rounding towards the colder side warns earlier.
            return MilliCelsius(
                from_mc - i32::try_from(drop).unwrap_or(i32::MAX) - i32::from(share > 0 && share < whole),
            );
        }
        below = Some((time_ms, threshold_mc));
    }
    MilliCelsius(below.map_or(0, |(_, threshold_mc)| threshold_mc))
}

/// How long `surface` at `temperature` may be touched before its threshold is reached, rounded down.
#[must_use]
pub fn longest_contact(surface: Surface, temperature: MilliCelsius) -> Contact {
    let [shortest, .., longest] = TIMES_MS;
    if temperature > burn_threshold(surface, shortest) {
        return Contact::Never;
    }
    if temperature <= burn_threshold(surface, longest) {
        return Contact::NoLimitStated;
    }
    // The threshold falls as time grows: halve the span until the last millisecond that still allows it.
    let (mut allowed, mut beyond) = (shortest, longest);
    while beyond - allowed > 1 {
        let middle = allowed + (beyond - allowed) / 2;
        if temperature <= burn_threshold(surface, middle) { allowed = middle } else { beyond = middle }
    }
    Contact::AtMost(allowed)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Interpolated values worked outside from T(t) = Ta + (Tb - Ta) ln(t/a) / ln(b/a), °C to two decimals.
    const WORKED: [(Surface, [f64; 8]); 4] = [
        (Surface::Metal, [61.99, 60.23, 58.98, 58.01, 52.55, 50.10, 48.90, 45.69]),
        (Surface::Ceramic, [75.79, 73.32, 71.57, 70.21, 59.87, 53.59, 50.41, 45.69]),
        (Surface::Plastic, [80.79, 78.32, 76.57, 75.21, 64.26, 56.39, 51.61, 45.69]),
        (Surface::Wood, [107.17, 102.59, 99.35, 96.83, 71.22, 56.39, 51.61, 45.69]),
    ];
    const WORKED_AT_S: [u32; 8] = [2, 3, 4, 5, 30, 120, 300, 3600];

    #[test]
    fn thresholds_agree_with_the_worked_table() {
        for (surface, row) in WORKED {
            for (seconds, expected) in WORKED_AT_S.into_iter().zip(row) {
                let got = f64::from(burn_threshold(surface, seconds * 1000).0) / 1000.0;
                assert!((got - expected).abs() <= 0.006, "{surface:?} {seconds} s: {got} for {expected}");
            }
        }
    }

    #[test]
    fn times_agree_with_the_worked_inverse() {
        for (surface, celsius, seconds, digits) in [
            (Surface::Metal, 60, 3.16, 0.005),
            (Surface::Metal, 50, 129.3, 0.06),
            (Surface::Metal, 45, 6122.0, 1.0),
            (Surface::Ceramic, 60, 29.3, 0.06),
            (Surface::Ceramic, 70, 5.18, 0.006),
            (Surface::Plastic, 60, 60.0, 0.06),
            (Surface::Plastic, 80, 2.28, 0.006),
        ] {
            let Contact::AtMost(ms) = longest_contact(surface, MilliCelsius(celsius * 1000)) else {
                panic!("{surface:?} {celsius}")
            };
            let got = f64::from(ms) / 1000.0;
            assert!((got - seconds).abs() <= digits, "{surface:?} {celsius} °C: {got} s for {seconds} s");
        }
    }

    #[test]
    fn ends_of_the_scope() {
        assert_eq!(burn_threshold(Surface::Metal, 0), burn_threshold(Surface::Metal, 500));
        assert_eq!(burn_threshold(Surface::Wood, u32::MAX).0, 43_000);
        assert_eq!(longest_contact(Surface::Metal, MilliCelsius(67_001)), Contact::Never);
        assert_ne!(longest_contact(Surface::Metal, MilliCelsius(67_000)), Contact::Never);
        assert_eq!(longest_contact(Surface::Metal, MilliCelsius(43_000)), Contact::NoLimitStated);
        assert_eq!(longest_contact(Surface::Metal, MilliCelsius(210_000)), Contact::Never);
    }

    /// ASTM C1055's fit for a reversible injury, T = 39.468 − 0.41352 L + 190.60 / L with L = ln(1000 t) (from memory;
    /// it gives the 1947 measurements back), comes from other work and agrees with the metal column to 1.4 K.
    #[test]
    fn another_standard_s_curve_supports_the_metal_column() {
        for seconds in [1.0_f64, 10.0, 60.0, 600.0, 28_800.0] {
            let l = (1000.0 * seconds).ln();
            let expected = 39.468 - 0.41352 * l + 190.60 / l;
            let got = f64::from(burn_threshold(Surface::Metal, (seconds * 1000.0) as u32).0) / 1000.0;
            assert!((got - expected).abs() <= 1.4, "{seconds} s: {got} for {expected}");
        }
    }

    /// EN 563 figure 2, as quoted: at 70 °C bare smooth metal a contact over 1 s is a burn; ours must warn of it too.
    #[test]
    fn hot_metal_at_seventy_degrees_is_not_to_be_touched() {
        assert_eq!(longest_contact(Surface::Metal, MilliCelsius(70_000)), Contact::Never);
    }
}
