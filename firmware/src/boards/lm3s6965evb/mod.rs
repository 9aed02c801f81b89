//! Board one: the LM3S6965 evaluation board, as QEMU emulates it (`-M lm3s6965evb`).
//!
//! A Cortex-M3 at 50 MHz with 256 KiB flash and 64 KiB RAM; SD card and a 128x64 grey OLED on one SPI line; five
//! buttons. It has no clock that keeps time without power, so there are durations and no o'clock times.
//! Never run on the real board.

mod clock;
mod gpio;
mod line;
mod register;
mod ssi;

use core::arch::asm;
use core::cell::RefCell;
use core::ops::Range;

use cortex_m::peripheral::Peripherals;
use cortex_m_rt::{ExceptionFrame, exception};
use defmt_semihosting as _;
use embedded_hal::spi::SpiBus;

pub use clock::{Clock, TICKS_PER_SECOND};
pub use gpio::{Input, Output};
pub use line::OnLine;
pub use ssi::Ssi;

use crate::drivers::buttons::Buttons;
use crate::drivers::grey_oled::{GreyOled, NotShown};
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

/// The most stack that was used since the start, in bytes: how far down the start-up code's paint is gone.
#[must_use]
pub fn stack_used_bytes() -> usize {
    /// What cortex-m-rt's `paint-stack` leaves in unused stack.
    const PAINT: u32 = 0xCCCC_CCCC;
    let stack = stack();
    let mut address = stack.start;
    while stack_word(address) == Some(PAINT) {
        address += 4;
    }
    stack.end - address
}

/// Where the calls stand that led here, the latest first: by the chain of frames that the compiler keeps in R7 on
/// this target (rustc's targets for Thumb keep frame pointers always).
pub(crate) fn calls() -> impl Iterator<Item = u32> {
    let frame: usize;
    // SAFETY: it copies a register and touches nothing else.
    unsafe { asm!("mov {}, r7", out(reg) frame, options(nomem, nostack, preserves_flags)) };
    let outer = |frame: &usize| {
        let outer = stack_word(*frame)? as usize;
        // A frame lies above all that it called: whatever else stands there, this ends.
        (outer > *frame).then_some(outer)
    };
    // The word above is the return address with the Thumb bit; two bytes before it lie within the call itself.
    let call = |frame: usize| Some((stack_word(frame + 4)? & !1).wrapping_sub(2));
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
fn stack_word(address: usize) -> Option<u32> {
    if !stack().contains(&address) || !address.is_multiple_of(4) {
        return None;
    }
    // SAFETY: the linker puts `_stack_end` and `_stack_start` around the stack's RAM, word-aligned; what stands there
    // is read as plain memory, whatever it means.
    Some(unsafe { (address as *const u32).read_volatile() })
}

defmt::timestamp!("{=u64:us}", clock::microseconds());

/// This board drives nothing that could be left on: no gate, no beeper.
pub(crate) fn outputs_off() {}

/// How many interrupts the chip has (data sheet of the part, "Interrupts").
const INTERRUPTS: usize = 44;

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
    outputs_off();
    defmt::error!("hard fault at {=u32:#010x}, called from {=u32:#010x}", frame.pc(), frame.lr());
    exit(cortex_m_semihosting::debug::EXIT_FAILURE)
}
