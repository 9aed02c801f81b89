//! Board one: the LM3S6965 evaluation board, as QEMU emulates it (`-M lm3s6965evb`).
//!
//! A Cortex-M3 at 50 MHz with 256 KiB flash and 64 KiB RAM; SD card and a 128x64 grey OLED on one SPI line; five
//! buttons. It has no clock that keeps time without power, so there are durations and no o'clock times.
//! Never run on the real board.

mod clock;
mod gpio;
mod host;
mod host_flash;
mod line;
mod register;
mod ssi;

use core::cell::RefCell;

use cortex_m::peripheral::Peripherals;
use cortex_m_rt::{ExceptionFrame, exception};
use defmt_semihosting as _;
use embedded_hal::spi::SpiBus;

pub use clock::{Clock, TICKS_PER_SECOND};
pub use gpio::{Input, Output};
pub use host::command_line;
pub use host_flash::HostFlash;
pub use line::OnLine;
pub use ssi::Ssi;

use crate::drivers::buttons::Buttons;
use crate::drivers::grey_oled::{GreyOled, NotShown};
use crate::fault::{Cause, Fault};
use line::Line;

/// Bytes of clocks that an unselected card is given before its first command: 80 clocks, of which it asks 74 (SD
/// Physical Layer Specification, 6.4.1).
const WAKING_CLOCKS: [u8; 10] = [0xFF; 10];

/// All that this board has.
#[derive(Debug)]
pub struct Parts {
    /// Time since power-up.
    pub clock: Clock,
    /// The line to the card slot; an unselected card has had its waking clocks.
    pub card_line: OnLine,
    /// The display.
    pub display: GreyOled<OnLine, Output>,
    /// The five buttons.
    pub buttons: Buttons<Input>,
}

impl Parts {
    /// Sets the board up. `None` when it was set up before.
    ///
    /// The inner result tells whether the display took its first frame.
    pub fn take() -> Option<Result<Self, NotShown>> {
        let peripherals = Peripherals::take()?;
        let clock = Clock::start(peripherals.SYST);
        // Low while no pixels go out: the waking clocks below must not look like any.
        let is_data = gpio::PORT_C.output(7, false);
        let mut bus = Ssi::new(line::STARTING);
        let select = gpio::PORT_D.output(0, true);
        let Ok(()) = bus.write(&WAKING_CLOCKS);
        let Ok(()) = bus.flush();
        let line = Line { bus, select, divider: line::STARTING, clock };
        let line: &'static RefCell<Line> = cortex_m::singleton!(: RefCell<Line> = RefCell::new(line))?;
        let buttons = Buttons::new(
            gpio::PORT_E.input(0),
            gpio::PORT_E.input(1),
            gpio::PORT_E.input(2),
            gpio::PORT_E.input(3),
            gpio::PORT_F.input(1),
        );
        let display = GreyOled::new(OnLine::display(line), is_data);
        Some(display.map(|display| Self { clock, card_line: OnLine::card(line), display, buttons }))
    }
}

/// Sleeps until the next interrupt: at most the 10 ms of the tick.
pub fn sleep() {
    cortex_m::asm::wfi();
}

/// Ends the emulation, or tells a debugger; on a board that hangs on neither, it stops here.
pub fn exit(status: cortex_m_semihosting::debug::ExitStatus) -> ! {
    cortex_m_semihosting::debug::exit(status);
    loop {
        cortex_m::asm::wfi();
    }
}

defmt::timestamp!("{=u64:us}", clock::microseconds());

/// This board drives nothing that could be left on: no gate, no beeper.
pub(crate) fn outputs_to_rest() {}

/// After a fault: ends the bench, which fails then. The log says what it was.
pub(crate) fn stop(_: Fault) -> ! {
    exit(cortex_m_semihosting::debug::EXIT_FAILURE)
}

/// How many interrupts the chip has (data sheet of the part, "Interrupts"). With the instructions of the chip that ships, to
/// count them here, the start-up code takes 32; none of the others is switched on either.
const INTERRUPTS: usize = if cfg!(armv6m) { 32 } else { 44 };

unsafe extern "C" {
    fn DefaultHandler();
}

/// The vectors of the chip's interrupts, none of which is switched on. The start-up code's own table has room for 240.
// SAFETY: the linker's script looks for it by this name, behind the vectors of the processor's own exceptions.
#[unsafe(link_section = ".vector_table.interrupts")]
#[unsafe(no_mangle)]
static __INTERRUPTS: [unsafe extern "C" fn(); INTERRUPTS] = [DefaultHandler; INTERRUPTS];

#[exception]
unsafe fn HardFault(frame: &ExceptionFrame) -> ! {
    defmt::error!("hard fault at {=u32:#010x}, called from {=u32:#010x}", frame.pc(), frame.lr());
    stop(Fault { cause: Cause::HardFault, address: frame.pc() })
}
