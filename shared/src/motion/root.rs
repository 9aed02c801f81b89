//! Lengths of whole-numbered vectors.

/// √(x² + y²), to the nearest.
#[must_use]
pub fn hypot2(x: i64, y: i64) -> u64 {
    hypot3([x, y, 0])
}

/// √(x² + y² + z²), to the nearest. Beyond 2 m a component the last digits go: better than 10⁻⁹ of the length.
#[inline]
#[must_use]
pub fn hypot3(vector: [i64; 3]) -> u64 {
    let [x, y, z] = vector.map(i64::unsigned_abs);
    // Along an axis: no root needed.
    if y | z == 0 {
        return x;
    }
    if x | z == 0 {
        return y;
    }
    if x | y == 0 {
        return z;
    }
    let bits = 64 - (x | y | z).leading_zeros();
    if bits <= 31 { nearest(x * x + y * y + z * z) } else { large([x, y, z], bits) }
}

#[cold]
fn large(vector: [u64; 3], bits: u32) -> u64 {
    let shift = bits - 31;
    let [x, y, z] = vector.map(|component| component >> shift);
    nearest(x * x + y * y + z * z) << shift
}

/// Root of a sum below 3·2⁶².
#[inline]
fn nearest(square: u64) -> u64 {
    let floor = square.isqrt();
    floor + u64::from(square - floor * floor > floor)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pythagorean() {
        assert_eq!(hypot2(3, -4), 5);
        assert_eq!(hypot3([1, 2, -2]), 3);
        assert_eq!(hypot3([0, 0, -7]), 7);
        // √2 = 1.414213562…, √3 = 1.732050807…
        assert_eq!(hypot2(1_000_000_000, 1_000_000_000), 1_414_213_562);
        assert_eq!(hypot3([2_000_000_000; 3]), 3_464_101_615);
        // 30 m: 42,426,406,871.19 nm.
        assert!(hypot2(30_000_000_000, 30_000_000_000).abs_diff(42_426_406_871) < 42);
        assert_eq!(hypot3([i64::MIN, 0, 0]), 1 << 63);
    }
}
