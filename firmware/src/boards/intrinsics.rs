//! The processor's missing instructions, shorter than the compiler's own routines.
//!
//! The Cortex-M0+ multiplies 32 bits by 32 to 32; a product of 64 bits calls `__aeabi_lmul` (Run-time ABI for the Arm
//! architecture, 4.2), of which a survey makes one and a half a byte of job. No crate has a shorter one.

/// The product of two 32-bit numbers, from those of their halves.
#[inline(always)]
const fn product(a: u32, b: u32) -> (u32, u32) {
    let (a_low, a_high, b_low, b_high) = (a & 0xFFFF, a >> 16, b & 0xFFFF, b >> 16);
    let low = a_low * b_low;
    // The sums of both cross products and what the low one carries have 33 bits at most: each half is added on its own.
    let middle = a_high * b_low + (low >> 16);
    let other = a_low * b_high + (middle & 0xFFFF);
    (a_high * b_high + (middle >> 16) + (other >> 16), (other << 16) | (low & 0xFFFF))
}

/// The lower 64 bits of a product.
// SAFETY: the name is the run-time ABI's own, and this does what that says; the compiler's routine gives way to it.
#[cfg(armv6m)]
#[unsafe(no_mangle)]
extern "C" fn __aeabi_lmul(a_low: u32, a_high: u32, b_low: u32, b_high: u32) -> u64 {
    let (high, low) = product(a_low, b_low);
    let cross = a_low.wrapping_mul(b_high).wrapping_add(a_high.wrapping_mul(b_low));
    (high.wrapping_add(cross) as u64) << 32 | low as u64
}

/// Leading zeros of a number, by its halves and a table of four bits.
#[cfg(any(test, not(feature = "rp2040")))]
const fn leading_zeros(number: u32) -> u32 {
    const OF_FOUR: [u8; 16] = [4, 3, 2, 2, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0];
    let (mut number, mut zeros) = (number, 0);
    if number >> 16 == 0 {
        (number, zeros) = (number << 16, 16);
    }
    if number >> 24 == 0 {
        (number, zeros) = (number << 8, zeros + 8);
    }
    if number >> 28 == 0 {
        (number, zeros) = (number << 4, zeros + 4);
    }
    zeros + OF_FOUR[(number >> 28) as usize] as u32
}

/// Leading zeros. The chip that ships has them in its boot ROM, which its library puts behind this name.
// SAFETY: as above.
#[cfg(all(armv6m, not(feature = "rp2040")))]
#[unsafe(no_mangle)]
extern "C" fn __clzsi2(number: u32) -> u32 {
    leading_zeros(number)
}

#[cfg(test)]
mod tests {
    use super::{leading_zeros, product};

    #[test]
    fn a_product_is_that_of_64_bits() {
        let numbers = [0, 1, 2, 0xFFFF, 0x1_0000, 0x1_0001, 0x7FFF_FFFF, 0x8000_0000, 0xFFFF_0000, u32::MAX];
        for a in numbers {
            for b in numbers {
                let (high, low) = product(a, b);
                assert_eq!(u64::from(high) << 32 | u64::from(low), u64::from(a) * u64::from(b), "{a} {b}");
            }
        }
    }

    #[test]
    fn leading_zeros_are_those_of_the_library() {
        for place in 0..32 {
            for number in [1 << place, u32::MAX >> place, (1 << place) - 1] {
                assert_eq!(leading_zeros(number), number.leading_zeros(), "{number:#x}");
            }
        }
    }
}
