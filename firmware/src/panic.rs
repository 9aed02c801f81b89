//! What a panic does: outputs off first, then the report, then stop. The core has no panics on any input; this is for
//! what nobody thought of.

/// Calls that are reported, the latest first.
#[cfg(all(feature = "lm3s6965evb", target_os = "none"))]
const CALLS: usize = 12;

/// The report is the chain of calls, as addresses that `addr2line` turns into functions and lines of the ELF file:
/// the panic's own text and place would take 13 KB of flash.
#[cfg(all(feature = "lm3s6965evb", target_os = "none"))]
#[panic_handler]
fn panicked(_: &core::panic::PanicInfo<'_>) -> ! {
    use crate::boards::lm3s6965evb as board;
    board::outputs_off();
    for call in board::calls().take(CALLS) {
        defmt::error!("panic, called at {=u32:#010x}", call);
    }
    board::exit(cortex_m_semihosting::debug::EXIT_FAILURE)
}
