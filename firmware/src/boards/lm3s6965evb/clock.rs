//! Time since power-up from the processor's own tick.

use core::sync::atomic::{AtomicU32, Ordering};

use cortex_m::peripheral::SYST;
use cortex_m::peripheral::syst::SystClkSource;
use cortex_m_rt::exception;
use embedded_hal::delay::DelayNs;

use super::register::Register;

/// Ticks a second: the 200 MHz of the phase-locked loop divided by four.
pub const TICKS_PER_SECOND: u32 = 50_000_000;

/// Ticks of one turn of the tick counter: 10 ms, which also wakes the loop often enough to read the buttons.
const TURN: u32 = TICKS_PER_SECOND / 100;

// LM3S6965 data sheet, System Control.
const SYSTEM_CONTROL: usize = 0x400F_E000;
const RUN_MODE_CLOCK: Register = Register::at(SYSTEM_CONTROL, 0x60);
const RAW_INTERRUPT_STATUS: Register = Register::at(SYSTEM_CONTROL, 0x50);
const CLOCK_GATE_1: Register = Register::at(SYSTEM_CONTROL, 0x104);
const CLOCK_GATE_2: Register = Register::at(SYSTEM_CONTROL, 0x108);

static TURNS: AtomicU32 = AtomicU32::new(0);

#[exception]
fn SysTick() {
    // No read-modify-write is needed: nobody else writes.
    TURNS.store(TURNS.load(Ordering::Relaxed).wrapping_add(1), Ordering::Relaxed);
}

/// The clock that was started: time and delays.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    _started: (),
}

impl Clock {
    /// Runs the chip at 50 MHz, gives SSI0 and all ports their clocks, and starts the tick.
    pub(super) fn start(mut tick: SYST) -> Self {
        // Data sheet, "Initialization and Configuration": bypass the loop, power it for the 8 MHz crystal of this
        // board, wait for lock, divide by four, end the bypass.
        const BYPASS: u32 = 1 << 11;
        const POWER_DOWN: u32 = 1 << 13;
        const USE_DIVIDER: u32 = 1 << 22;
        const DIVIDE_BY_FOUR: u32 = 3 << 23;
        const CRYSTAL_8_MHZ: u32 = 0xE << 6;
        const LOCKED: u32 = 1 << 6;
        /// Looks at the lock flag before giving up on it; the loop locks within 0.5 ms.
        const LOCK_LOOKS: u32 = 20_000;
        RUN_MODE_CLOCK.write(BYPASS | POWER_DOWN | DIVIDE_BY_FOUR | CRYSTAL_8_MHZ);
        RUN_MODE_CLOCK.write(BYPASS | DIVIDE_BY_FOUR | CRYSTAL_8_MHZ | USE_DIVIDER);
        for _ in 0..LOCK_LOOKS {
            if RAW_INTERRUPT_STATUS.read() & LOCKED != 0 {
                break;
            }
        }
        RUN_MODE_CLOCK.write(DIVIDE_BY_FOUR | CRYSTAL_8_MHZ | USE_DIVIDER);
        CLOCK_GATE_1.set_bits(1 << 4); // SSI0
        CLOCK_GATE_2.write(0x7F); // ports A to G
        // The data sheet asks for three cycles before a block that was just clocked is touched; the read gives them.
        let _ = CLOCK_GATE_2.read();

        tick.set_clock_source(SystClkSource::Core);
        tick.set_reload(TURN - 1);
        tick.clear_current();
        tick.enable_counter();
        tick.enable_interrupt();
        Self { _started: () }
    }

    /// Ticks since the start.
    #[must_use]
    pub fn ticks(self) -> u64 {
        ticks()
    }

    /// Milliseconds since the start.
    #[must_use]
    pub fn milliseconds(self) -> u64 {
        ticks() / u64::from(TICKS_PER_SECOND / 1000)
    }
}

/// Microseconds since the clock was started, for the log's time stamps.
pub(super) fn microseconds() -> u64 {
    ticks() / u64::from(TICKS_PER_SECOND / 1_000_000)
}

fn ticks() -> u64 {
    loop {
        let turns = TURNS.load(Ordering::Relaxed);
        let left = SYST::get_current();
        // The counter may have turned between the two: only a pair from within one turn counts.
        if TURNS.load(Ordering::Relaxed) == turns {
            return u64::from(turns) * u64::from(TURN) + u64::from((TURN - 1).saturating_sub(left));
        }
    }
}

impl DelayNs for Clock {
    fn delay_ns(&mut self, ns: u32) {
        const NS_PER_TICK: u32 = 1_000_000_000 / TICKS_PER_SECOND;
        let end = self.ticks() + u64::from(ns.div_ceil(NS_PER_TICK));
        while self.ticks() < end {}
    }
}
