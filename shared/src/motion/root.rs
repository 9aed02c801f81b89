//! Lengths of whole-numbered vectors, with their inverse.

/// √(x² + y²), to the nearest.
#[must_use]
pub fn hypot2(x: i64, y: i64) -> u64 {
    hypot3([x, y, 0])
}

/// √(x² + y² + z²), to the nearest. Beyond 2 m a component the last digits go: better than 10⁻⁹ of the length.
#[must_use]
pub fn hypot3(vector: [i64; 3]) -> u64 {
    length(vector).0
}

/// √(x² + y² + z²) as [`hypot3`], and 2⁶³ over it, the length shifted left until it has 32 bits: good to 2⁻²⁸.
/// The inverse is 0 where it is not a by-product of the root (a vector along an axis, or longer than 2 m).
#[inline]
#[must_use]
pub fn length(vector: [i64; 3]) -> (u64, u32) {
    let [x, y, z] = vector;
    let (x, y, z) = (x.unsigned_abs(), y.unsigned_abs(), z.unsigned_abs());
    // Along an axis: no root needed.
    if z == 0 {
        if y == 0 {
            return (x, 0);
        }
        if x == 0 {
            return (y, 0);
        }
    } else if x | y == 0 {
        return (z, 0);
    }
    let all = x | y | z;
    if all >> 31 == 0 {
        // Products of 32 bits, which the board multiplies in one instruction.
        let square = |part: u64| u64::from(part as u32) * u64::from(part as u32);
        nearest(square(x) + square(y) + square(z))
    } else {
        large([x, y, z], 64 - all.leading_zeros())
    }
}

#[cold]
fn large(vector: [u64; 3], bits: u32) -> (u64, u32) {
    let shift = bits - 31;
    let [x, y, z] = vector.map(|component| component >> shift);
    (nearest(x * x + y * y + z * z).0 << shift, 0)
}

/// Entries of [`STARTS`]: the upper eight bits of a number that has its 31st or 32nd bit set, from 64 on.
const ENTRIES: usize = 192;

/// 1/√X in Q15 for X = (k + 64.5)/256, k from 0: right to 2⁻⁸ for all numbers of the entry.
const STARTS: [u16; ENTRIES] = starts();

#[expect(clippy::indexing_slicing, reason = "evaluated when compiled: out of bounds would not build")]
const fn starts() -> [u16; ENTRIES] {
    let mut table = [0; ENTRIES];
    let mut k = 0;
    while k < ENTRIES {
        // 1/√(n/512) = √(512/n); in Q15: √(512 · 2³⁰ / n). Just below 2, so that 16 bits hold it.
        let n = 2 * (k as u64 + 64) + 1;
        table[k] = ((512_u64 << 30) / n).isqrt() as u16;
        k += 1;
    }
    table
}

/// Root of a sum from 1 to below 3·2⁶², to the nearest, and its inverse.
///
/// Newton's iteration for 1/√X needs multiplications only, where the root of the core library divides; the board's
/// multiplier takes 64 bits in a few cycles, its 64-bit division two hundred. And the inverse falls out.
#[inline]
pub(crate) fn nearest(square: u64) -> (u64, u32) {
    let inverse = InverseRoot::of_root(square);
    let root = corrected(square, inverse.root(square));
    let fits = root.leading_zeros() == inverse.zeros / 2;
    (u64::from(root), if fits { inverse.y.saturating_mul(2) } else { 0 })
}

/// 1/√X of a number shifted left by so many places: X = x / 2³², from 1/4 to 1.
struct InverseRoot {
    /// An even number of places.
    zeros: u32,
    /// The upper 32 bits once shifted.
    x: u32,
    /// 1/√X in Q30, never too great.
    y: u32,
}

impl InverseRoot {
    #[inline(always)]
    fn of_root(square: u64) -> Self {
        let (upper, lower) = ((square >> 32) as u32, square as u32);
        let (zeros, x) = if usize::BITS > 32 {
            let zeros = square.leading_zeros() & !1;
            (zeros, ((square << (zeros & 63)) >> 32) as u32)
        } else if upper == 0 {
            let zeros = lower.leading_zeros() & !1;
            (32 + zeros, lower << (zeros & 31))
        } else {
            let zeros = upper.leading_zeros() & !1;
            (zeros, upper << zeros | lower.unbounded_shr(32 - zeros))
        };
        let index = ((x >> 24) as usize).wrapping_sub(64);
        let start = STARTS.get(index).copied().unwrap_or(1 << 15);
        // y ← y (3 − X y²) / 2, twice: 2⁻⁸, 2⁻¹⁵, 2⁻³⁰. It stays below 2, 3 − X y² between 1 and 3.
        let y = newton(x, u32::from(start) << 15);
        Self { zeros, x, y: newton(x, y) }
    }

    /// The root, a few units off at most: a host's own instruction for it is quicker than what a board does.
    #[inline(always)]
    fn root(&self, square: u64) -> u32 {
        #[cfg(not(target_os = "none"))]
        if square >> 63 == 0 {
            // By way of signed numbers, which processors convert in one go.
            return (libm::sqrt(square as i64 as f64) + 0.5) as i64 as u32;
        }
        let _ = square;
        self.times_number()
    }

    /// The root by multiplication: X · 1/√X.
    const fn times_number(&self) -> u32 {
        ((self.x as u64 * self.y as u64) >> 30) as u32 >> (self.zeros / 2)
    }
}

/// A root that is a few units off at most, to the nearest: so a host ends with the same whole number as a board.
#[inline(always)]
const fn corrected(square: u64, root: u32) -> u32 {
    let mut root = root;
    let mut rest = square.wrapping_sub(root as u64 * root as u64) as i64;
    while rest > root as i64 {
        rest -= 2 * root as i64 + 1;
        root = root.wrapping_add(1);
    }
    while rest < 1 - root as i64 {
        root = root.wrapping_sub(1);
        rest += 2 * root as i64 + 1;
    }
    root
}

/// A step of Newton's iteration: x in Q32, y in Q30.
#[inline(always)]
const fn newton(x: u32, y: u32) -> u32 {
    let yy = upper(y, y);
    ((y as u64 * (3_u32 << 28).wrapping_sub(upper(yy, x)) as u64) >> 29) as u32
}

/// The upper half of a product.
#[inline(always)]
const fn upper(a: u32, b: u32) -> u32 {
    ((a as u64 * b as u64) >> 32) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn pythagorean() {
        assert_eq!(hypot2(3, -4), 5);
        assert_eq!(hypot3([1, 2, -2]), 3);
        assert_eq!(hypot3([0, 0, -7]), 7);
        assert_eq!(hypot3([0; 3]), 0);
        // √2 = 1.414213562…, √3 = 1.732050807…
        assert_eq!(hypot2(1_000_000_000, 1_000_000_000), 1_414_213_562);
        assert_eq!(hypot3([1_000_000_000; 3]), 1_732_050_808);
        assert_eq!(hypot3([2_000_000_000; 3]), 3_464_101_615);
        // 30 m: 42,426,406,871.19 nm.
        assert!(hypot2(30_000_000_000, 30_000_000_000).abs_diff(42_426_406_871) < 42);
        assert_eq!(hypot3([i64::MIN, 0, 0]), 1 << 63);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 20_000, ..ProptestConfig::default() })]

        /// (r − 1/2)² ≤ s ≤ (r + 1/2)², by the core library's wide integers.
        #[test]
        fn nearest_root(square in 1_u64..3 << 62, shift in 0_u32..62) {
            let square = (square >> shift).max(1);
            let (root, inverse) = nearest(square);
            // As a board reckons it.
            let found = InverseRoot::of_root(square).times_number();
            prop_assert!(square >> 63 != 0 || u64::from(found).abs_diff(root) <= 8, "{square}: {found}");
            prop_assert_eq!(u64::from(corrected(square, found)), root);
            let root = u128::from(root);
            let square = u128::from(square);
            prop_assert!(root * root <= square + root, "{square}: {root}");
            prop_assert!(square <= root * root + root, "{square}: {root}");
            if inverse != 0 {
                let normal = root << (root.leading_zeros() - 96);
                let exact = (1_u128 << 63) / normal;
                let error = exact.abs_diff(u128::from(inverse));
                // A short root is rounded itself; its inverse is that of the true one.
                prop_assert!(error <= 16 + exact / root, "{square}: {inverse}, not {exact}");
            }
        }
    }
}
