//! Quantities with their units in the type. Whole numbers only: a total never drifts.

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident($inner:ty), $unit:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[serde(transparent)]
        pub struct $name(pub $inner);

        impl $name {
            /// The sum, held at the type's end when it would not fit.
            #[must_use]
            pub const fn saturating_add(self, other: Self) -> Self {
                Self(self.0.saturating_add(other.0))
            }

            /// The difference, held at the type's end when it would not fit.
            #[must_use]
            pub const fn saturating_sub(self, other: Self) -> Self {
                Self(self.0.saturating_sub(other.0))
            }
        }

        impl core::fmt::Display for $name {
            fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
                write!(f, concat!("{} ", $unit), self.0)
            }
        }
    };
}

quantity!(
    /// A length in micrometres. `i64` because a spool holds hundreds of metres.
    Micrometres(i64), "µm"
);
quantity!(
    /// A mass in milligrams.
    Milligrams(i64), "mg"
);
quantity!(
    /// A temperature in whole degrees Celsius.
    Celsius(i16), "°C"
);
quantity!(
    /// A span of time in whole seconds.
    Seconds(u32), "s"
);

impl Micrometres {
    /// Millimetres to micrometres.
    #[must_use]
    pub const fn from_mm(mm: i64) -> Self {
        Self(mm.saturating_mul(1000))
    }
}

/// Mass of `length` of round filament of `diameter_um` and `density_mg_cm3` (milligrams a cubic centimetre),
/// rounded to the nearest milligram: m = L · π d²/4 · ρ.
///
/// π is the fraction 355/113 (Zu Chongzhi), 8.5e-8 too large: 0.1 mg on a kilogram.
///
/// ```
/// use holdpoint_shared::units::{Micrometres, filament_mass};
/// // 1000 mm of 1.75 mm PLA (1.24 g/cm³) weigh 2.9825 g.
/// assert_eq!(filament_mass(Micrometres::from_mm(1000), 1750, 1240).0, 2983);
/// ```
#[must_use]
pub const fn filament_mass(length: Micrometres, diameter_um: u32, density_mg_cm3: u32) -> Milligrams {
    // µm · µm² = 1e-12 cm³.
    let divisor = 113 * 4 * 1_000_000_000_000;
    let volume = times(length.0.unsigned_abs() as u128, diameter_um as u64 * diameter_um as u64);
    let scaled = times(volume, 355 * density_mg_cm3 as u64);
    let mass = wide_div(scaled.saturating_add(divisor / 2), divisor) as i64;
    Milligrams(if length.0 < 0 { -mass } else { mass })
}

/// A thousandth, rounded down. By multiplication: a board that has to call a routine for a division takes a quarter of the
/// instructions so. 274,877,907 is 2³⁸ / 1000 rounded up, near enough for all 32 bits (Granlund and Montgomery 1994).
#[inline]
#[must_use]
pub(crate) const fn thousandth(value: u32) -> u32 {
    ((value as u64 * 274_877_907) >> 38) as u32
}

/// The product, in which the totals of whole jobs fit.
///
/// Out of line: written out at every place, a product this wide is hundreds of bytes of a 32-bit processor's code.
#[inline(never)]
#[must_use]
pub(crate) const fn times(a: u128, b: u64) -> u128 {
    a.saturating_mul(b as u128)
}

/// The product of signed numbers, exact. Out of line for the same reason.
#[inline(never)]
#[must_use]
pub(crate) const fn product(a: i64, b: i64) -> i128 {
    a as i128 * b as i128
}

/// The quotient, rounded down; by 0 it is 0. Out of line for the same reason.
#[inline(never)]
#[must_use]
pub(crate) const fn wide_div(a: u128, b: u128) -> u128 {
    if (a | b) >> 64 == 0 && b != 0 {
        // A board's division of 128 bits takes thousands of instructions, this one hundreds.
        return (a as u64 / b as u64) as u128;
    }
    match a.checked_div(b) {
        Some(quotient) => quotient,
        None => 0,
    }
}

/// a · b ÷ c of a signed a, rounded towards zero and held at the type's end; 0 when `c` is 0.
#[inline(never)]
#[must_use]
pub(crate) fn signed_mul_div(a: i64, b: u64, c: u64) -> i64 {
    let share = i64::try_from(mul_div(a.unsigned_abs(), b, c).unwrap_or(0)).unwrap_or(i64::MAX);
    if a < 0 { -share } else { share }
}

/// a · b ÷ c, rounded down, exact in between and held at the type's end; `None` when `c` is 0.
#[inline(never)]
#[must_use]
pub(crate) const fn mul_div(a: u64, b: u64, c: u64) -> Option<u64> {
    if c == 0 {
        return None;
    }
    let share = wide_div(times(a as u128, b), c as u128);
    Some(if share > u64::MAX as u128 { u64::MAX } else { share as u64 })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thousandth_is_the_quotient() {
        for whole in (0..u32::MAX / 1000).step_by(977) {
            for value in [whole * 1000, (whole * 1000).saturating_sub(1), whole * 1000 + 999] {
                assert_eq!(thousandth(value), value / 1000, "{value}");
            }
        }
        assert_eq!(thousandth(u32::MAX), u32::MAX / 1000);
    }
}
