//! The line to the card slot: SPI0, with a select of its own.

use embedded_hal::spi::{ErrorType, MODE_0, Operation, SpiBus as _, SpiDevice};
use embedded_hal_bus::spi::ExclusiveDevice;
use rp2040_hal::fugit::{HertzU32, RateExtU32 as _};
use rp2040_hal::pac;
use rp2040_hal::spi::{Enabled, Spi};
use rp2040_hal::timer::Timer;

use super::wiring::{CARD_RUNNING_HZ, CARD_STARTING_HZ, CardClock, CardIn, CardOut, CardSelect};
use crate::drivers::sd_card::CardSpeed;

type Bus = Spi<Enabled, pac::SPI0, (CardIn, CardOut, CardClock)>;

/// Bytes of clocks that an unselected card is given before its first command: 80 clocks, of which it asks 74 (SD
/// Physical Layer Specification, 6.4.1).
const WAKING_CLOCKS: [u8; 10] = [0xFF; 10];

/// The card slot's end of the line.
pub struct CardDevice {
    device: ExclusiveDevice<Bus, CardSelect, Timer>,
    /// What its clock is divided from.
    source: HertzU32,
}

impl CardDevice {
    /// The line, slow, with an unselected card awake.
    pub(super) fn new(
        chip: pac::SPI0,
        pins: (CardIn, CardOut, CardClock),
        select: CardSelect,
        source: HertzU32,
        resets: &mut pac::RESETS,
        timer: Timer,
    ) -> Option<Self> {
        let mut bus = Spi::new(chip, pins).init(resets, source, CARD_STARTING_HZ.Hz(), MODE_0);
        bus.write(&WAKING_CLOCKS).ok()?;
        bus.flush().ok()?;
        Some(Self { device: ExclusiveDevice::new(bus, select, timer).ok()?, source })
    }
}

impl CardSpeed for CardDevice {
    fn start_slowly(&mut self) {
        self.device.bus_mut().set_baudrate(self.source, CARD_STARTING_HZ.Hz());
    }

    fn run_fast(&mut self) {
        self.device.bus_mut().set_baudrate(self.source, CARD_RUNNING_HZ.Hz());
    }
}

impl ErrorType for CardDevice {
    type Error = <ExclusiveDevice<Bus, CardSelect, Timer> as ErrorType>::Error;
}

impl SpiDevice for CardDevice {
    fn transaction(&mut self, operations: &mut [Operation<'_, u8>]) -> Result<(), Self::Error> {
        self.device.transaction(operations)
    }
}

impl core::fmt::Debug for CardDevice {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("CardDevice")
    }
}
