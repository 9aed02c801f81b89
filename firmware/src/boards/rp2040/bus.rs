//! The I2C bus of display and clock chip: transfers that end in any case.
//!
//! rp2040-hal 0.12 sets the controller up. The transfers are our own, because the library's wait without end for a bus that
//! hangs, give a write that nobody took as done, and let a read's stop mark cut the next write short.

use embedded_hal::delay::DelayNs as _;
use embedded_hal::i2c::{ErrorKind, ErrorType, I2c, NoAcknowledgeSource, Operation};
use embedded_hal_bus::i2c::RefCellDevice;
use rp2040_hal::fugit::{HertzU32, RateExtU32 as _};
use rp2040_hal::gpio::{AnyPin, InOutPin};
use rp2040_hal::timer::Timer;
use rp2040_hal::{I2C, pac};

use super::wiring::{I2C_HZ, Scl, Sda};

/// The longest that a transfer may take, µs: three times a page of the display, 129 bytes of nine clocks at 400 kHz.
/// Neither chip stretches the clock (data sheets of SSD1306, SH1106 and DS3231).
const LONGEST_US: u64 = 10_000;

/// What the controller's reason of an abort says of nobody answering: to the address, to a byte (RP2040 data sheet,
/// "IC_TX_ABRT_SOURCE").
const NO_ANSWER_TO_ADDRESS: u32 = 1 << 0;
const NO_ANSWER_TO_BYTE: u32 = 1 << 3;

/// One of the two on the bus.
pub type OnBus = RefCellDevice<'static, Bus>;

/// Why a transfer failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, defmt::Format)]
pub enum BusFault {
    /// Nobody takes the address.
    NoAnswerToAddress,
    /// A byte was not taken.
    NoAnswerToByte,
    /// Somebody else pulls the lines.
    Disturbed,
    /// It did not end: a line hangs. The bus was freed as far as that can be done.
    TimedOut,
}

impl embedded_hal::i2c::Error for BusFault {
    fn kind(&self) -> ErrorKind {
        match self {
            Self::NoAnswerToAddress => ErrorKind::NoAcknowledge(NoAcknowledgeSource::Address),
            Self::NoAnswerToByte => ErrorKind::NoAcknowledge(NoAcknowledgeSource::Data),
            Self::Disturbed => ErrorKind::ArbitrationLoss,
            Self::TimedOut => ErrorKind::Bus,
        }
    }
}

type Controller = I2C<pac::I2C0, (Sda, Scl)>;

/// The bus.
pub struct Bus {
    /// Away only while it is set up anew.
    controller: Option<Controller>,
    resets: pac::RESETS,
    timer: Timer,
    system_clock: HertzU32,
}

impl Bus {
    /// Frees the lines and sets the controller up.
    pub(super) fn new(
        block: pac::I2C0,
        lines: (Sda, Scl),
        resets: pac::RESETS,
        timer: Timer,
        system_clock: HertzU32,
    ) -> Self {
        let mut bus = Self { controller: None, resets, timer, system_clock };
        bus.set_up(block, lines);
        bus
    }

    fn set_up(&mut self, block: pac::I2C0, lines: (Sda, Scl)) {
        let (sda, scl) = freed(lines, self.timer);
        self.controller = Some(I2C::i2c0(block, sda, scl, I2C_HZ.Hz(), &mut self.resets, self.system_clock));
    }

    /// After a transfer that did not end: the controller begins anew, and whoever holds the data line lets go.
    fn begin_anew(&mut self) {
        if let Some(controller) = self.controller.take() {
            let (block, lines) = controller.free(&mut self.resets);
            self.set_up(block, lines);
        }
    }

    fn transfer(&self, address: u8, operations: &mut [Operation<'_>]) -> Result<(), BusFault> {
        let mut left: usize = operations.iter().map(length).sum();
        if left == 0 {
            return Ok(());
        }
        let line = Line { timer: self.timer, until: self.timer.get_counter().ticks() + LONGEST_US };
        let registers = Line::registers();
        // The address can be set only while it is off; it is at rest, since each transfer's end was waited for.
        registers.ic_enable().write(|w| w.enable().disabled());
        // SAFETY: seven bits of an address, which any value is.
        registers.ic_tar().write(|w| unsafe { w.ic_tar().bits(u16::from(address & 0x7F)) });
        registers.ic_clr_intr().read();
        registers.ic_enable().write(|w| w.enable().enabled());
        let mut reads = None;
        for operation in operations.iter_mut().filter(|operation| length(operation) > 0) {
            let kind = matches!(operation, Operation::Read(_));
            let mut turns = reads.replace(kind).is_some_and(|before| before != kind);
            let mut next = |byte: Option<u8>| {
                left -= 1;
                line.put(byte, core::mem::take(&mut turns), left == 0)
            };
            match operation {
                Operation::Write(bytes) => bytes.iter().try_for_each(|byte| next(Some(*byte)))?,
                Operation::Read(places) => {
                    for place in places.iter_mut() {
                        next(None)?;
                        *place = line.take()?;
                    }
                }
            }
        }
        line.wait(|| registers.ic_raw_intr_stat().read().stop_det().is_active())
    }
}

fn length(operation: &Operation<'_>) -> usize {
    match operation {
        Operation::Write(bytes) => bytes.len(),
        Operation::Read(places) => places.len(),
    }
}

impl ErrorType for Bus {
    type Error = BusFault;
}

impl I2c for Bus {
    fn transaction(&mut self, address: u8, operations: &mut [Operation<'_>]) -> Result<(), BusFault> {
        let done = self.transfer(address, operations);
        if done == Err(BusFault::TimedOut) {
            self.begin_anew();
        }
        done
    }
}

/// A transfer under way.
struct Line {
    timer: Timer,
    until: u64,
}

impl Line {
    fn registers() -> &'static pac::i2c0::RegisterBlock {
        // SAFETY: only a [`Bus`] comes here, which owns the controller.
        unsafe { &*pac::I2C0::PTR }
    }

    /// A byte to be written, or one to be read.
    fn put(&self, byte: Option<u8>, turns: bool, is_last: bool) -> Result<(), BusFault> {
        let registers = Self::registers();
        self.wait(|| registers.ic_status().read().tfnf().bit_is_set())?;
        registers.ic_data_cmd().write(|w| {
            w.restart().bit(turns).stop().bit(is_last);
            match byte {
                // SAFETY: eight bits of data, which any value is.
                Some(byte) => unsafe { w.dat().bits(byte) },
                None => w.cmd().read(),
            }
        });
        Ok(())
    }

    /// The byte that was read.
    fn take(&self) -> Result<u8, BusFault> {
        let registers = Self::registers();
        self.wait(|| registers.ic_status().read().rfne().bit_is_set())?;
        Ok(registers.ic_data_cmd().read().dat().bits())
    }

    /// Waits until it is so, the transfer is broken off, or its time is over.
    fn wait(&self, is_so: impl Fn() -> bool) -> Result<(), BusFault> {
        let registers = Self::registers();
        loop {
            // An abort first: it ends with a stop too.
            if registers.ic_raw_intr_stat().read().tx_abrt().is_active() {
                return Err(self.broken_off());
            }
            if is_so() {
                return Ok(());
            }
            self.in_time()?;
        }
    }

    fn in_time(&self) -> Result<(), BusFault> {
        if self.timer.get_counter().ticks() < self.until { Ok(()) } else { Err(BusFault::TimedOut) }
    }

    /// The controller ends a transfer that it breaks off by itself; the reason is read before the mark is taken back, which
    /// clears it (RP2040 data sheet, "IC_CLR_TX_ABRT").
    fn broken_off(&self) -> BusFault {
        let registers = Self::registers();
        let reason = registers.ic_tx_abrt_source().read().bits();
        while registers.ic_status().read().activity().bit_is_set() {
            if let Err(fault) = self.in_time() {
                return fault;
            }
        }
        registers.ic_clr_tx_abrt().read();
        if reason & NO_ANSWER_TO_ADDRESS != 0 {
            BusFault::NoAnswerToAddress
        } else if reason & NO_ANSWER_TO_BYTE != 0 {
            BusFault::NoAnswerToByte
        } else {
            BusFault::Disturbed
        }
    }
}

impl core::fmt::Debug for Bus {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("Bus")
    }
}

/// Frees the bus: after a restart in the middle of a transfer the clock chip may still hold the data line for a byte that
/// nobody fetches. Nine clocks let it end (I2C-bus specification, 3.1.16).
fn freed((sda, scl): (Sda, Scl), mut timer: Timer) -> (Sda, Scl) {
    const HALF_CLOCK_US: u32 = 5;
    let (sda, mut scl) = (InOutPin::new(sda), InOutPin::new(scl));
    for _ in 0..9 {
        scl = clocked(scl, &mut timer, HALF_CLOCK_US);
    }
    (sda.release(), scl.release())
}

fn clocked<P: AnyPin>(mut pin: InOutPin<P>, timer: &mut Timer, half_us: u32) -> InOutPin<P>
where
    InOutPin<P>: embedded_hal::digital::OutputPin,
{
    use embedded_hal::digital::OutputPin as _;
    let _ = pin.set_low();
    timer.delay_us(half_us);
    let _ = pin.set_high();
    timer.delay_us(half_us);
    pin
}
