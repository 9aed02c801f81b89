//! From a fault to the next start: a note in the watchdog's scratch registers, which a restart by the watchdog leaves
//! alone and the power coming clears.

use cortex_m_rt::{ExceptionFrame, exception};
use rp2040_hal::fugit::ExtU32 as _;
use rp2040_hal::pac;
use rp2040_hal::watchdog::{ScratchRegister, Watchdog};

use crate::fault::{Cause, Fault};

/// In the first register while the program runs; a fault adds its cause. Registers 0 and 1 are free for programs, 4 to
/// 7 the boot ROM reads (RP2040 data sheet, "Watchdog-supported reboots").
const RUNNING: u32 = 0x4850_5400;
const NOTE: ScratchRegister = ScratchRegister::Scratch0;
const PLACE: ScratchRegister = ScratchRegister::Scratch1;

/// Why the chip started anew, if a fault was why; and from now on a restart by the watchdog is one.
pub(super) fn take(watchdog: &mut Watchdog, by_timer: bool) -> Option<Fault> {
    let (note, address) = (watchdog.read_scratch(NOTE), watchdog.read_scratch(PLACE));
    watchdog.write_scratch(NOTE, RUNNING);
    watchdog.write_scratch(PLACE, 0);
    let cause = match note.wrapping_sub(RUNNING) {
        0 if by_timer => Cause::Hang,
        1 => Cause::Panic,
        2 => Cause::HardFault,
        3 => Cause::Hang,
        _ => return None,
    };
    Some(Fault { cause, address })
}

/// After a fault: notes it and lets the watchdog start the chip anew. The screen that tells of it is the next start's,
/// with a display and a bus that are known to work; the gate's contact stays as it is until then.
pub(crate) fn stop(fault: Fault) -> ! {
    // SAFETY: whoever owned the watchdog does not run again: nothing returns from here.
    let watchdog = unsafe { pac::Peripherals::steal() }.WATCHDOG;
    let mut watchdog = Watchdog::new(watchdog);
    watchdog.write_scratch(NOTE, RUNNING + fault.cause as u32);
    watchdog.write_scratch(PLACE, fault.address);
    // Long enough for a debugger to fetch the log.
    watchdog.start(100.millis());
    loop {
        cortex_m::asm::nop();
    }
}

#[exception]
unsafe fn HardFault(frame: &ExceptionFrame) -> ! {
    super::outputs_to_rest();
    defmt::error!("hard fault at {=u32:#010x}, called from {=u32:#010x}", frame.pc(), frame.lr());
    stop(Fault { cause: Cause::HardFault, address: frame.pc() })
}
