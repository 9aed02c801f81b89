//! What a panic does: outputs to their level first, then the report and the board's own end: a restart, or a stop. The
//! core has no panics on any input; this is for what nobody thought of.

/// Calls that are reported, the latest first.
#[cfg(all(any(feature = "lm3s6965evb", feature = "rp2040"), target_os = "none"))]
const CALLS: usize = 12;

/// The report is the chain of calls, as addresses that `addr2line` turns into functions and lines of the ELF file:
/// the panic's own text and place would take 13 KB of flash.
#[cfg(all(any(feature = "lm3s6965evb", feature = "rp2040"), target_os = "none"))]
#[panic_handler]
fn panicked(_: &core::panic::PanicInfo<'_>) -> ! {
    #[cfg(feature = "lm3s6965evb")]
    use crate::boards::lm3s6965evb as board;
    #[cfg(feature = "rp2040")]
    use crate::boards::rp2040 as board;
    use crate::boards::stack;
    use crate::fault::{Cause, Fault};

    board::outputs_to_rest();
    for call in stack::calls().take(CALLS) {
        defmt::error!("panic, called at {=u32:#010x}", call);
    }
    // The latest call is often the panic's own; the one before it is then the one that did not hold.
    let address = stack::calls().nth(1).unwrap_or(0);
    board::stop(Fault { cause: Cause::Panic, address })
}
