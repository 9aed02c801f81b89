//! What a panic does: outputs off first, then the report, then stop. The core has no panics on any input; this is for
//! what nobody thought of.

#[cfg(all(feature = "lm3s6965evb", target_os = "none"))]
#[panic_handler]
fn panicked(info: &core::panic::PanicInfo<'_>) -> ! {
    use crate::boards::lm3s6965evb as board;
    board::outputs_off();
    defmt::error!("panic: {}", defmt::Display2Format(info));
    board::exit(cortex_m_semihosting::debug::EXIT_FAILURE)
}
