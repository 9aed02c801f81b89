//! The synchronous serial interface as an embedded-hal SPI bus.

use core::convert::Infallible;

use embedded_hal::spi::{ErrorType, SpiBus};

use super::gpio;
use super::register::Register;

// LM3S6965 data sheet, Synchronous Serial Interface, SSI0 (an ARM PL022).
const SSI0: usize = 0x4000_8000;
const CONTROL_0: Register = Register::at(SSI0, 0x00);
const CONTROL_1: Register = Register::at(SSI0, 0x04);
const DATA: Register = Register::at(SSI0, 0x08);
const STATUS: Register = Register::at(SSI0, 0x0C);
const CLOCK_PRESCALE: Register = Register::at(SSI0, 0x10);
const RAW_INTERRUPT_STATUS: Register = Register::at(SSI0, 0x18);

/// Status: the receive FIFO holds something.
const RECEIVE_NOT_EMPTY: u32 = 1 << 2;
/// Status: bits are still on the line.
const BUSY: u32 = 1 << 4;
/// Raw interrupt status: the receive FIFO holds four values or more.
const RECEIVE_HALF_FULL: u32 = 1 << 2;

/// Depth of each FIFO.
const FIFO: usize = 8;
/// Values moved a turn: one half is on the line while the other is moved, so the clock never pauses.
const HALF: usize = FIFO / 2;

/// What is sent when only the answer matters: an SD card wants ones (SD Physical Layer Specification, 7.2).
const IDLE: u8 = 0xFF;

/// SSI0, clock idle low, sampled on the first edge (mode 0), eight bits a frame.
#[derive(Debug)]
pub struct Ssi {
    _taken: (),
}

impl Ssi {
    /// Sets the interface up; its clock is the system's 50 MHz divided by `divider` (even, 2 to 254).
    pub(super) fn new(divider: u8) -> Self {
        // A2 clock, A4 from, A5 to the peripherals. A3, the interface's own select, is not used.
        gpio::PORT_A.give_to_peripheral(1 << 2 | 1 << 4 | 1 << 5);
        let mut ssi = Self { _taken: () };
        ssi.set_divider(divider);
        ssi
    }

    /// Changes the clock's divider (even, 2 to 254).
    pub(super) fn set_divider(&mut self, divider: u8) {
        CONTROL_1.write(0);
        CLOCK_PRESCALE.write(u32::from(divider));
        CONTROL_0.write(7); // eight bits, mode 0
        CONTROL_1.write(2); // master, on
    }

    /// Sends what `next` gives and hands every answer to `took`, `count` times, with the FIFO kept full.
    #[inline(always)]
    fn exchange(&mut self, count: usize, mut next: impl FnMut(usize) -> u8, mut took: impl FnMut(usize, u8)) {
        let ahead = count.min(FIFO);
        for index in 0..ahead {
            DATA.write(u32::from(next(index)));
        }
        let mut sent = ahead;
        let mut received = 0;
        while sent + HALF <= count {
            while RAW_INTERRUPT_STATUS.read() & RECEIVE_HALF_FULL == 0 {}
            for step in 0..HALF {
                took(received + step, DATA.read() as u8);
                DATA.write(u32::from(next(sent + step)));
            }
            received += HALF;
            sent += HALF;
        }
        while received < count {
            while STATUS.read() & RECEIVE_NOT_EMPTY == 0 {}
            took(received, DATA.read() as u8);
            received += 1;
            if sent < count {
                DATA.write(u32::from(next(sent)));
                sent += 1;
            }
        }
    }
}

impl ErrorType for Ssi {
    type Error = Infallible;
}

impl SpiBus for Ssi {
    fn read(&mut self, words: &mut [u8]) -> Result<(), Infallible> {
        self.exchange(words.len(), |_| IDLE, |index, byte| words[index] = byte);
        Ok(())
    }

    fn write(&mut self, words: &[u8]) -> Result<(), Infallible> {
        self.exchange(words.len(), |index| words[index], |_, _| ());
        Ok(())
    }

    fn transfer(&mut self, read: &mut [u8], write: &[u8]) -> Result<(), Infallible> {
        self.exchange(
            read.len().max(write.len()),
            |index| write.get(index).copied().unwrap_or(IDLE),
            |index, byte| {
                if let Some(slot) = read.get_mut(index) {
                    *slot = byte;
                }
            },
        );
        Ok(())
    }

    fn transfer_in_place(&mut self, words: &mut [u8]) -> Result<(), Infallible> {
        let cells = core::cell::Cell::from_mut(words).as_slice_of_cells();
        self.exchange(cells.len(), |index| cells[index].get(), |index, byte| cells[index].set(byte));
        Ok(())
    }

    fn flush(&mut self) -> Result<(), Infallible> {
        while STATUS.read() & BUSY != 0 {}
        Ok(())
    }
}
