//! Logarithm and exponential in whole numbers: cooling, heating, thermistors and touch times all follow them. Ours
//! because a float library costs the board kilobytes for these two curves.

/// ln 2 in Q32.
const LN_2_Q32: i64 = 2_977_044_472;

/// Taylor's coefficients of 2^−x = Σ (−x ln 2)ⁿ/n! in Q30, highest power first. Over half a unit either side of 0 the
/// first term left out is below 1.2e-7.
const POWERS_Q30: [i64; 7] =
    [165_394, -1_431_680, 10_327_387, -59_597_083, 257_941_248, -744_261_118, 1 << 30];

/// Binary logarithm in Q32, by repeated squaring; 0 for 0.
pub(super) const fn log2_q32(value: u32) -> i64 {
    let Some(whole) = value.checked_ilog2() else { return 0 };
    // Mantissa in [1, 2) as Q31.
    let mut mantissa = (value as u64) << (31 - whole);
    let mut fraction = 0_i64;
    let mut bit = 31;
    while bit >= 8 {
        mantissa = (mantissa * mantissa) >> 31;
        if mantissa >= 1 << 32 {
            mantissa >>= 1;
            fraction |= 1 << bit;
        }
        bit -= 1;
    }
    ((whole as i64) << 32) | fraction
}

/// Natural logarithm of a / b in Q24; a zero counts as one.
pub(super) const fn ln_ratio_q24(a: u32, b: u32) -> i64 {
    // At most 32 · 2^28 before the factor.
    (((log2_q32(a) - log2_q32(b)) >> 4) * (LN_2_Q32 >> 4)) >> 32
}

/// 2^−x in Q30 for x in Q30, rounded.
pub(super) fn half_to_q30(x_q30: u64) -> u32 {
    // To the nearest whole power, so that the rest stays within half a unit either side.
    let whole = x_q30.saturating_add(1 << 29) >> 30;
    if whole > 31 {
        return 0;
    }
    let rest = x_q30.wrapping_sub(whole << 30).cast_signed();
    let [mut sum, lower @ ..] = POWERS_Q30;
    for power in lower {
        sum = ((sum * rest) >> 30) + power;
    }
    (((sum << 1 >> whole) + 1) >> 1) as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn logarithms_agree_with_the_library_of_floats() {
        for (a, b) in
            [(1_u32, 1_u32), (38_000, 18_000), (78_000, 18_000), (175, 1), (1, u32::MAX), (u32::MAX, 1)]
        {
            let got = ln_ratio_q24(a, b) as f64 / f64::from(1 << 24);
            assert!((got - (f64::from(a) / f64::from(b)).ln()).abs() < 4e-7, "{a} / {b}: {got}");
        }
        assert_eq!(log2_q32(0), 0);
        assert_eq!(log2_q32(1 << 31), 31 << 32);
    }

    #[test]
    fn powers_agree_with_the_library_of_floats() {
        assert_eq!(half_to_q30(0), 1 << 30);
        assert_eq!(half_to_q30(u64::MAX >> 1), 0);
        for step in 0..40_000_u64 {
            let x = step as f64 / 1000.0;
            let got = f64::from(half_to_q30((x * f64::from(1 << 30)).round() as u64)) / f64::from(1 << 30);
            assert!((got - (-x).exp2()).abs() < 2e-7, "2^-{x}: {got}");
        }
    }

    /// e⁻¹ = 0.36788, e⁻³ = 0.04979; 1 % is left after 4.605 time constants.
    #[test]
    fn the_handbook_s_round_numbers() {
        for (constants, left) in [(1.0, 0.36788), (3.0, 0.04979), (4.605, 0.0100)] {
            let x = constants * core::f64::consts::LOG2_E * f64::from(1 << 30);
            let got = f64::from(half_to_q30(x as u64)) / f64::from(1 << 30);
            assert!((got - left).abs() < 1e-5, "{constants}: {got}");
        }
    }
}
