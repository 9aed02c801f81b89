//! Whole numbers in small units, written as a reader wants them.

/// Thousandths (`places` 3) or millionths (6) and so on of a unit, as a decimal without needless zeros.
#[must_use]
pub fn decimals(value: i64, places: u32) -> String {
    let scale = 10_u64.pow(places);
    let (whole, rest) = (value.unsigned_abs() / scale, value.unsigned_abs() % scale);
    let sign = if value < 0 { "-" } else { "" };
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let digits = format!("{rest:0width$}", width = places as usize);
    format!("{sign}{whole}.{}", digits.trim_end_matches('0'))
}

/// Nanometres as millimetres, all decimals.
#[must_use]
pub fn mm(nm: i64) -> String {
    format!("{} mm", decimals(nm, 6))
}

/// Nanometres of a path as metres or millimetres, rounded to the micrometre.
#[must_use]
pub fn path(nm: u64) -> String {
    let um = i64::try_from(nm.saturating_add(500) / 1000).unwrap_or(i64::MAX);
    if um < 1_000_000 {
        format!("{} mm", decimals(um, 3))
    } else {
        format!("{} m", decimals((um + 500) / 1000, 3))
    }
}

/// Milligrams as grams, to the hundredth.
#[must_use]
pub fn grams(mg: i64) -> String {
    decimals((mg + 5).div_euclid(10), 2)
}

/// Seconds as hours, minutes and seconds: `1:02:03`.
#[must_use]
pub fn clock(seconds: u32) -> String {
    format!("{}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60)
}

/// Thousandths as percent.
#[must_use]
pub fn percent(permille: u16) -> String {
    format!("{} %", decimals(permille.into(), 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_exact_and_short() {
        assert_eq!(decimals(12_681_250, 3), "12681.25");
        assert_eq!(decimals(-5, 3), "-0.005");
        assert_eq!(decimals(-1_000, 3), "-1");
        assert_eq!(decimals(0, 6), "0");
        assert_eq!(decimals(i64::MIN, 6), "-9223372036854.775808");
        assert_eq!(mm(200_000), "0.2 mm");
    }

    #[test]
    fn amounts_are_rounded_where_a_reader_would() {
        assert_eq!(path(999_999_499), "999.999 mm");
        assert_eq!(path(999_999_500), "1 m");
        assert_eq!(path(1_234_567_891), "1.235 m");
        assert_eq!(grams(2_983), "2.98");
        assert_eq!(grams(4), "0");
        assert_eq!(clock(30_600), "8:30:00");
        assert_eq!(clock(59), "0:00:59");
        assert_eq!(percent(1_000), "100 %");
        assert_eq!(percent(305), "30.5 %");
    }
}
