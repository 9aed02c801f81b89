//! The number formats of the time model, all whole numbers.
//!
//! | quantity | unit | type | why this one |
//! |---|---|---|---|
//! | speed | nm/s | `u32` | up to 4.29 m/s, more than any axis that lays down filament |
//! | square of a speed | 4096 (nm/s)² = (64 nm/s)² | `u64` below 2⁵² | a sum over 512 moves stays below 2⁶³ |
//! | acceleration | µm/s² | `u32` | held between 10 mm/s² and 130 m/s² |
//! | length | nm | `u64` | |
//! | time | ns | `u64` | |

use crate::motion::nearest;

/// Longest path of one move, nm (1.1 km); a longer one is held at this.
pub(super) const MOST_LENGTH_NM: u64 = 1 << 40;

/// Lowest acceleration, µm/s²; a lower one is held at this so that [`Acceleration`]'s inverse fits 32 bits.
pub(super) const LEAST_ACCEL_UM_S2: u32 = 10_000;

/// Highest acceleration, µm/s²; a higher one is held at this so that [`Acceleration`]'s reach fits 32 bits.
pub(super) const MOST_ACCEL_UM_S2: u32 = 130_000_000;

/// Places by which a square is shortened: 2¹² = 4096 (nm/s)².
const SQUARE_SHIFT: u32 = 12;

/// Places after the point of [`Acceleration::reach`].
const REACH_SHIFT: u32 = 6;

/// Places after the point of [`Acceleration::inverse`].
pub(super) const INVERSE_SHIFT: u32 = 25;

/// Square of a speed of `v` nm/s.
pub(super) const fn square(v: u32) -> u64 {
    (v as u64 * v as u64) >> SQUARE_SHIFT
}

/// nm/s to µm/s, to the nearest.
pub(super) const fn um_s(speed: u32) -> u32 {
    speed.saturating_add(500) / 1000
}

/// Speed in nm/s whose square is `x` (below 2⁵²), to the nearest.
#[inline]
pub(super) fn root(x: u64) -> u32 {
    let wide = x << SQUARE_SHIFT;
    // What the general root takes; 3 m/s and more are rare.
    if wide >> 63 == 0 && wide != 0 { nearest(wide).0 as u32 } else { wide_root(wide) }
}

#[cold]
fn wide_root(wide: u64) -> u32 {
    let floor = wide.isqrt();
    // (floor + 1/2)² = floor² + floor + 1/4
    let up = wide - floor * floor > floor;
    (floor as u32).saturating_add(u32::from(up))
}

/// `number` / `divisor`, for a quotient below 2³² (a greater one has no meaning; a divisor of 0 gives 0).
pub(super) const fn quotient(number: u64, divisor: u32) -> u32 {
    if divisor == 0 {
        0
    } else if usize::BITS > 32 {
        (number / divisor as u64) as u32
    } else {
        quotient_by_halves(number, divisor)
    }
}

/// The same in two digits of 16 bits, each from the 32-bit division that a Cortex-M3 has in hardware (Knuth, The Art of
/// Computer Programming, 4.3.1, algorithm D): there a quarter of the instructions of the general 64-bit division.
const fn quotient_by_halves(number: u64, divisor: u32) -> u32 {
    let zeros = divisor.leading_zeros();
    let divisor = divisor << zeros;
    let number = number << zeros;
    let (rest, high) = digit((number >> 32) as u32, (number >> 16) as u32 & 0xFFFF, divisor);
    let (_, low) = digit(rest, number as u32 & 0xFFFF, divisor);
    (high << 16) | low
}

/// One digit of 16 bits of (`high` · 2¹⁶ + `next`) / `divisor`, whose top bit is set; the rest, then the digit.
const fn digit(high: u32, next: u32, divisor: u32) -> (u32, u32) {
    let (top, bottom) = (divisor >> 16, divisor & 0xFFFF);
    // The divisor's upper half is never 0.
    let Some(mut digit) = high.checked_div(top) else { return (0, 0) };
    let mut rest = high - digit * top;
    // The guess is at most two too high.
    while digit > 0xFFFF || digit * bottom > (rest << 16 | next) {
        digit -= 1;
        rest += top;
        if rest > 0xFFFF {
            break;
        }
    }
    let rest = (high << 16 | next).wrapping_sub(digit.wrapping_mul(divisor));
    (rest, digit)
}

/// An acceleration with the two factors that take its place in sums.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Acceleration {
    /// The acceleration, µm/s².
    pub(super) accel_um_s2: u32,
    /// Square gained on 1 nm, 1/64 of a square: 2·a·1000/4096·64 = a·125/4.
    reach: u32,
    /// Time for 1 nm/s, 2⁻²⁵ ns: 10⁶/a.
    pub(super) inverse: u32,
}

impl Acceleration {
    /// The factors of an acceleration, held between the two ends.
    pub(super) const fn new(accel_um_s2: u32) -> Self {
        let held = if accel_um_s2 < LEAST_ACCEL_UM_S2 {
            LEAST_ACCEL_UM_S2
        } else if accel_um_s2 > MOST_ACCEL_UM_S2 {
            MOST_ACCEL_UM_S2
        } else {
            accel_um_s2
        };
        let reach = (held as u64 * 125) >> 2;
        let inverse = ((1_000_000 << INVERSE_SHIFT) + held as u64 / 2) / held as u64;
        Self { accel_um_s2: held, reach: reach as u32, inverse: inverse as u32 }
    }

    /// Square that can be gained or lost on `length_nm` (2·a·d), at most `most` (which is below 2⁵³).
    #[inline(always)]
    pub(super) const fn reach_over(&self, length_nm: u64, most: u64) -> u64 {
        let gained = if length_nm >> 32 == 0 {
            (length_nm * self.reach as u64) >> REACH_SHIFT
        } else {
            // 2⁻⁸ of the length keeps the product below 2⁶⁴ and loses less than 10⁻⁷ of it.
            let coarse = (length_nm >> 8).saturating_mul(self.reach as u64);
            if coarse >= 1 << 60 { most } else { coarse << (8 - REACH_SHIFT) }
        };
        if gained < most { gained } else { most }
    }
}

/// `value` / 2^places, for less than 64 places. In halves: a board has no instruction that shifts 64 bits.
#[inline(always)]
pub(super) const fn right(value: u64, places: u32) -> u64 {
    if usize::BITS > 32 {
        return value >> (places & 63);
    }
    let (high, low) = ((value >> 32) as u32, value as u32);
    if places < 32 {
        ((high >> places) as u64) << 32 | (low >> places | high.unbounded_shl(32 - places)) as u64
    } else {
        (high >> (places & 31)) as u64
    }
}

/// Division by a speed that is asked for again and again: multiplication by its inverse, 2⁻³¹ exact.
#[derive(Clone, Copy, Debug)]
pub(super) struct Divisor {
    speed: u32,
    inverse: u32,
    shift: u32,
    /// Half a unit, added before the cut.
    half: u32,
}

impl Divisor {
    /// Ready to divide by `speed`, which is taken as 1 where it is 0.
    pub(super) const fn new(speed: u32) -> Self {
        let speed = if speed == 0 { 1 } else { speed };
        let zeros = speed.leading_zeros();
        let normal = (speed << zeros) as u64;
        // The divisor's highest bit is set: it is not 0.
        let inverse = match ((1_u64 << 63) - 1).checked_div(normal) {
            Some(inverse) => inverse,
            None => 0,
        };
        let shift = 31 - zeros;
        Self { speed, inverse: inverse as u32, shift, half: (1 << shift) >> 1 }
    }

    /// The speed it divides by.
    pub(super) const fn speed(&self) -> u32 {
        self.speed
    }

    /// `number` / speed, to about 5·10⁻¹⁰.
    #[inline(always)]
    pub(super) const fn divide(&self, number: u64) -> u64 {
        let product = if usize::BITS > 32 {
            ((number as u128 * self.inverse as u128) >> 32) as u64
        } else {
            let high = (number >> 32) * self.inverse as u64;
            high + (((number & 0xFFFF_FFFF) * self.inverse as u64) >> 32)
        };
        right(product.saturating_add(self.half as u64), self.shift)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roots_are_nearest() {
        for v in [0_u32, 64, 1_000, 33_333, 1_000_000, 100_000_000, 300_000_000, u32::MAX - 1024] {
            let back = root(square(v));
            // A square is cut by less than one unit, 4096 (nm/s)²: 4096/2v nm/s.
            let cut = 1 + 4096 / (2 * u64::from(v).max(64));
            assert!(u64::from(back.abs_diff(v)) <= cut, "{v} came back as {back}");
        }
    }

    #[test]
    fn quotients_are_exact() {
        let wide = [
            1_u64,
            2,
            0xFFFF,
            0x1_0000,
            0x1_0001,
            0x7FFF_FFFF,
            0x8000_0000,
            0xFFFF_0000,
            0xFFFF_FFFE,
            0xFFFF_FFFF,
        ];
        for quotient_of in wide {
            for divisor in wide {
                for rest in [0, 1, divisor / 2, divisor - 1] {
                    let number = quotient_of * divisor + rest.min(divisor - 1);
                    assert_eq!(
                        u64::from(quotient(number, divisor as u32)),
                        quotient_of,
                        "{number} / {divisor}"
                    );
                }
            }
        }
        assert_eq!(quotient(7, 0), 0);
    }

    proptest::proptest! {
        #[test]
        fn quotients_are_those_of_general_division(number in proptest::num::u64::ANY, divisor in 1..=u32::MAX, few in 0_u32..64) {
            let number = number >> few;
            let exact = number / u64::from(divisor);
            // A quotient too wide is no error but has no meaning.
            let given = u64::from(quotient_by_halves(number, divisor));
            proptest::prop_assert!(exact > u64::from(u32::MAX) || given == exact);
        }
    }

    #[test]
    fn division_by_inverse() {
        for speed in [1_u32, 2, 3, 1_000, 16_666_667, 100_000_000, 1 << 31, u32::MAX] {
            let divisor = Divisor::new(speed);
            for number in [0_u64, 1, 1_000_000_007, 123_456_789_012_345, u64::MAX >> 1] {
                let exact = number / u64::from(speed);
                let error = divisor.divide(number).abs_diff(exact);
                assert!(error <= 1 + exact / 1_500_000_000, "{number}/{speed}: off by {error}");
            }
        }
    }

    #[test]
    fn long_moves_reach_as_far_as_short_ones_together() {
        let acceleration = Acceleration::new(1_000_000);
        let most = 1 << 53;
        // 2·1 m/s²·4 m = 8 m²/s² = 8e18 (nm/s)², in units of 4096.
        assert_eq!(acceleration.reach_over(4_000_000_000, most), 8_000_000_000_000_000_000 / 4096);
        let eight_metres = acceleration.reach_over(8_000_000_000, most);
        assert!(eight_metres.abs_diff(16_000_000_000_000_000_000 / 4096) < 16_000_000_000_000 / 4096);
        assert_eq!(acceleration.reach_over(MOST_LENGTH_NM, most), most);
    }
}
