//! The one SPI line of this board and its two devices.
//!
//! Pin D0 selects between card (low) and display (high), so no level selects neither. The devices of a bus-sharing
//! library each own a select pin and release it after every transaction; here that would select the other device.

use core::cell::RefCell;
use core::convert::Infallible;

use embedded_hal::delay::DelayNs;
use embedded_hal::digital::{OutputPin, PinState};
use embedded_hal::spi::{ErrorType, Operation, SpiBus, SpiDevice};

use super::clock::Clock;
use super::gpio::Output;
use super::ssi::Ssi;
use crate::drivers::sd_card::CardSpeed;

/// The card's clock while it starts, as a divider of 50 MHz: 250 kHz (it allows 400 kHz there, SD Physical Layer
/// Specification, 4.4).
pub(super) const STARTING: u8 = 200;
/// The card's clock from then on: 12.5 MHz (every card takes 25 MHz, the same, 4.3.10).
const RUNNING: u8 = 4;
/// The display's clock: 3.6 MHz (it takes 4 MHz, SSD0323 data sheet, serial interface timing; from memory).
const DISPLAY: u8 = 14;

/// The bus, its select pin and the clock for waits between bytes.
#[derive(Debug)]
pub(super) struct Line {
    pub(super) bus: Ssi,
    pub(super) select: Output,
    pub(super) divider: u8,
    pub(super) clock: Clock,
}

/// One of the two at the line's end.
#[derive(Clone, Copy, Debug)]
pub struct OnLine {
    line: &'static RefCell<Line>,
    select: PinState,
    divider: u8,
}

impl OnLine {
    pub(super) const fn card(line: &'static RefCell<Line>) -> Self {
        Self { line, select: PinState::Low, divider: STARTING }
    }

    pub(super) const fn display(line: &'static RefCell<Line>) -> Self {
        Self { line, select: PinState::High, divider: DISPLAY }
    }
}

impl CardSpeed for OnLine {
    fn start_slowly(&mut self) {
        self.divider = STARTING;
    }

    fn run_fast(&mut self) {
        self.divider = RUNNING;
    }
}

impl ErrorType for OnLine {
    type Error = Infallible;
}

impl SpiDevice for OnLine {
    fn transaction(&mut self, operations: &mut [Operation<'_, u8>]) -> Result<(), Infallible> {
        // Never borrowed twice: the loop is the only user, and no interrupt touches the line.
        let mut line = self.line.borrow_mut();
        let Line { bus, select, divider, clock } = &mut *line;
        if *divider != self.divider {
            *divider = self.divider;
            bus.set_divider(self.divider);
        }
        select.set_state(self.select)?;
        for operation in operations {
            match operation {
                Operation::Read(words) => bus.read(words)?,
                Operation::Write(words) => bus.write(words)?,
                Operation::Transfer(read, write) => bus.transfer(read, write)?,
                Operation::TransferInPlace(words) => bus.transfer_in_place(words)?,
                Operation::DelayNs(ns) => clock.delay_ns(*ns),
            }
        }
        bus.flush()
    }
}
