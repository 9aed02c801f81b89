//! The stack of a Cortex-M board: how deep it went, and the calls that stand on it.

use core::arch::asm;
use core::ops::Range;

/// The most stack that was used since the start, in bytes: how far down the start-up code's paint is gone.
#[must_use]
pub fn used_bytes() -> usize {
    /// What cortex-m-rt's `paint-stack` leaves in unused stack.
    const PAINT: u32 = 0xCCCC_CCCC;
    let stack = stack();
    let mut address = stack.start;
    while word(address) == Some(PAINT) {
        address += 4;
    }
    stack.end - address
}

/// Where the calls stand that led here, the latest first: by the chain of frames that the compiler keeps in R7 on
/// these targets (rustc's targets for Thumb keep frame pointers always).
pub(crate) fn calls() -> impl Iterator<Item = u32> {
    let frame: usize;
    // SAFETY: it copies a register and touches nothing else.
    unsafe { asm!("mov {}, r7", out(reg) frame, options(nomem, nostack, preserves_flags)) };
    let outer = |frame: &usize| {
        let outer = word(*frame)? as usize;
        // A frame lies above all that it called: whatever else stands there, this ends.
        (outer > *frame).then_some(outer)
    };
    // The word above is the return address with the Thumb bit; two bytes before it lie within the call itself.
    let call = |frame: usize| Some((word(frame + 4)? & !1).wrapping_sub(2));
    core::iter::successors(Some(frame), outer).map_while(call)
}

/// The stack's RAM.
fn stack() -> Range<usize> {
    unsafe extern "C" {
        static _stack_start: u32;
        static _stack_end: u32;
    }
    &raw const _stack_end as usize..&raw const _stack_start as usize
}

/// The word of the stack at this address; `None` outside it.
fn word(address: usize) -> Option<u32> {
    if !stack().contains(&address) || !address.is_multiple_of(4) {
        return None;
    }
    // SAFETY: the linker puts `_stack_end` and `_stack_start` around the stack's RAM, word-aligned; what stands there
    // is read as plain memory, whatever it means.
    Some(unsafe { (address as *const u32).read_volatile() })
}
