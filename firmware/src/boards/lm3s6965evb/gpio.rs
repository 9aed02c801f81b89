//! General-purpose pins as embedded-hal pins.

use core::convert::Infallible;

use embedded_hal::digital::{ErrorType, InputPin, OutputPin};

use super::register::Register;

/// A port's register block.
#[derive(Clone, Copy, Debug)]
pub(super) struct Port(usize);

// Base addresses: LM3S6965 data sheet, memory map.
pub(super) const PORT_A: Port = Port(0x4000_4000);
pub(super) const PORT_C: Port = Port(0x4000_6000);
pub(super) const PORT_D: Port = Port(0x4000_7000);
pub(super) const PORT_E: Port = Port(0x4002_4000);
pub(super) const PORT_F: Port = Port(0x4002_5000);

const DIRECTION: usize = 0x400;
const ALTERNATE_FUNCTION: usize = 0x420;
const PULL_UP: usize = 0x510;
const DIGITAL_ENABLE: usize = 0x51C;

impl Port {
    /// The port's data register, seen through a mask: only the masked bits are read or written (data sheet,
    /// GPIODATA: address bits 9:2 are the mask).
    const fn data(self, mask: u8) -> Register {
        Register::at(self.0, (mask as usize) << 2)
    }

    /// Gives the masked pins to the peripheral wired to them.
    pub(super) fn give_to_peripheral(self, mask: u8) {
        Register::at(self.0, ALTERNATE_FUNCTION).set_bits(u32::from(mask));
        Register::at(self.0, DIGITAL_ENABLE).set_bits(u32::from(mask));
    }

    /// The pin as an output, at `high` from the first moment.
    pub(super) fn output(self, pin: u8, high: bool) -> Output {
        let mask = 1 << pin;
        let output = Output { data: self.data(mask), mask: u32::from(mask) };
        output.write(high);
        Register::at(self.0, DIRECTION).set_bits(u32::from(mask));
        Register::at(self.0, DIGITAL_ENABLE).set_bits(u32::from(mask));
        output
    }

    /// The pin as an input with its pull-up.
    pub(super) fn input(self, pin: u8) -> Input {
        let mask = 1 << pin;
        Register::at(self.0, DIRECTION).clear_bits(u32::from(mask));
        Register::at(self.0, PULL_UP).set_bits(u32::from(mask));
        Register::at(self.0, DIGITAL_ENABLE).set_bits(u32::from(mask));
        Input { data: self.data(mask) }
    }
}

/// A push-pull output.
#[derive(Debug)]
pub struct Output {
    data: Register,
    mask: u32,
}

impl Output {
    fn write(&self, high: bool) {
        self.data.write(if high { self.mask } else { 0 });
    }
}

impl ErrorType for Output {
    type Error = Infallible;
}

impl OutputPin for Output {
    fn set_low(&mut self) -> Result<(), Infallible> {
        self.write(false);
        Ok(())
    }

    fn set_high(&mut self) -> Result<(), Infallible> {
        self.write(true);
        Ok(())
    }
}

/// An input.
#[derive(Debug)]
pub struct Input {
    data: Register,
}

impl ErrorType for Input {
    type Error = Infallible;
}

impl InputPin for Input {
    fn is_high(&mut self) -> Result<bool, Infallible> {
        Ok(self.data.read() != 0)
    }

    fn is_low(&mut self) -> Result<bool, Infallible> {
        Ok(self.data.read() == 0)
    }
}
