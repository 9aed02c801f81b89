//! The synchronous serial interface as an embedded-hal SPI bus.

use core::cell::Cell;
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

    /// Sends what `next` gives for each of `count` places and hands every answer to `took`, with the FIFO kept full.
    #[inline(always)]
    fn exchange(&mut self, count: usize, next: impl Fn(usize) -> u8, mut took: impl FnMut(usize, u8)) {
        let ahead = count.min(FIFO);
        for index in 0..ahead {
            DATA.write(u32::from(next(index)));
        }
        for index in 0..count {
            while STATUS.read() & RECEIVE_NOT_EMPTY == 0 {}
            took(index, DATA.read() as u8);
            let following = index + ahead;
            if following < count {
                DATA.write(u32::from(next(following)));
            }
        }
    }

    /// Exchanges the first bytes of a long run in place, half a FIFO a turn, and gives how many. The FIFO still holds
    /// answers to the next eight, which were sent.
    ///
    /// The card's blocks pass here: five instructions a byte, where one look at the status for each byte costs ten.
    fn exchange_halves(words: &[Cell<u8>]) -> usize {
        for word in words.iter().take(FIFO) {
            DATA.write(u32::from(word.get()));
        }
        let to_receive = words.as_chunks::<HALF>().0;
        let to_send = words.get(FIFO..).unwrap_or_default().as_chunks::<HALF>().0;
        for ([r0, r1, r2, r3], [s0, s1, s2, s3]) in to_receive.iter().zip(to_send) {
            while RAW_INTERRUPT_STATUS.read() & RECEIVE_HALF_FULL == 0 {}
            // Written out: at the size-saving level of the firmware's build the compiler keeps a loop as a loop.
            r0.set(DATA.read() as u8);
            DATA.write(u32::from(s0.get()));
            r1.set(DATA.read() as u8);
            DATA.write(u32::from(s1.get()));
            r2.set(DATA.read() as u8);
            DATA.write(u32::from(s2.get()));
            r3.set(DATA.read() as u8);
            DATA.write(u32::from(s3.get()));
        }
        to_send.len() * HALF
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
        let words = Cell::from_mut(words).as_slice_of_cells();
        if words.len() < FIFO {
            self.exchange(words.len(), |index| words[index].get(), |index, byte| words[index].set(byte));
            return Ok(());
        }
        let rest = &words[Self::exchange_halves(words)..];
        for (index, word) in rest.iter().enumerate() {
            while STATUS.read() & RECEIVE_NOT_EMPTY == 0 {}
            word.set(DATA.read() as u8);
            if let Some(word) = rest.get(index + FIFO) {
                DATA.write(u32::from(word.get()));
            }
        }
        Ok(())
    }

    fn flush(&mut self) -> Result<(), Infallible> {
        while STATUS.read() & BUSY != 0 {}
        Ok(())
    }
}
