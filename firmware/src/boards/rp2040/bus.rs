//! The I2C bus of display and clock chip, and whether they answer.
//!
//! rp2040-hal 0.12 gives a write that nobody took as done: it clears the controller's reason of the abort when it first sees
//! it, reads it again for its answer, and looks for it only when the FIFO is full. What nobody answers when it is read, it
//! tells. So each write is led by a read of one byte, which both chips allow at any time (SSD1306 data sheet, "Read
//! status"; DS3231 data sheet, "Data read", from wherever it stands) and which takes 50 µs.
//!
//! It also leaves the mark of a read's stop condition standing. The next write takes it for its own, is given as done while up to
//! sixteen bytes wait in the FIFO, and the one after it switches the controller off and on, which drops them (RP2040 data
//! sheet, 4.3, "IC_ENABLE"). So each transfer begins with a controller at rest and no mark.

use embedded_hal::i2c::{ErrorType, I2c, Operation};
use embedded_hal_bus::i2c::RefCellDevice;
use rp2040_hal::{I2C, pac};

use super::wiring::{Scl, Sda};

/// The bus.
pub(super) type Bus = I2C<pac::I2C0, (Sda, Scl)>;

/// One of the two on it.
pub struct OnBus {
    bus: RefCellDevice<'static, Bus>,
}

impl OnBus {
    pub(super) fn new(bus: &'static core::cell::RefCell<Bus>) -> Self {
        Self { bus: RefCellDevice::new(bus) }
    }
}

impl ErrorType for OnBus {
    type Error = <RefCellDevice<'static, Bus> as ErrorType>::Error;
}

impl I2c for OnBus {
    fn transaction(&mut self, address: u8, operations: &mut [Operation<'_>]) -> Result<(), Self::Error> {
        at_rest();
        if let [Operation::Write(_), ..] = operations {
            self.bus.read(address, &mut [0])?;
            at_rest();
        }
        self.bus.transaction(address, operations)
    }
}

/// Waits until the last transfer is over, and takes its marks back. A bus that hangs is the watchdog's.
fn at_rest() {
    // SAFETY: between two transfers; it reads the controller's state, and the reading clears the two marks.
    let controller = unsafe { &*pac::I2C0::PTR };
    while controller.ic_status().read().activity().bit_is_set() {}
    controller.ic_clr_stop_det().read();
    controller.ic_clr_tx_abrt().read();
}

impl core::fmt::Debug for OnBus {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("OnBus")
    }
}
