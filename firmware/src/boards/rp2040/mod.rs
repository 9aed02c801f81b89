//! Board two: a module with an RP2040 and 2 MiB of flash, with what hangs on it wired as `wiring` and the README say.
//!
//! One Cortex-M0+ at 125 MHz with 264 KiB of RAM; the second core is never started. Card slot on SPI, one-bit OLED and
//! clock chip on I2C, rotary knob, beeper, thermistors, the gate's contact. Never run on hardware.

mod bus;
mod card;
mod flash;
mod outputs;
mod probes;
mod restart;
mod tick;
mod wiring;

use core::cell::RefCell;

use defmt_rtt as _;
use embedded_hal::digital::{InputPin as _, PinState};
use holdpoint_shared::app::Event;
use holdpoint_shared::time::Instant;
use rp2040_hal::adc::{Adc, AdcPin};
use rp2040_hal::clocks::{Clock as _, init_clocks_and_plls};
use rp2040_hal::fugit::ExtU32 as _;
use rp2040_hal::gpio::{DynPinId, FunctionSioInput, Pin, PullUp};
use rp2040_hal::pwm::Slices;
use rp2040_hal::timer::Timer;
use rp2040_hal::watchdog::Watchdog;
use rp2040_hal::{Sio, pac};

pub use bus::{Bus, BusFault, OnBus};
pub use card::CardDevice;
pub use flash::LedgerFlash;
pub(crate) use outputs::to_rest as outputs_to_rest;
pub use outputs::{GateContact, Tone};
pub use probes::Probes;
pub(crate) use restart::stop;

use crate::drivers::knob::Knob;
use crate::drivers::page_oled::{PageOled, Panel};
use crate::drivers::wall_clock::WallClockChip;
use crate::fault::Fault;

/// What the boot ROM loads first: it sets up fast reading from the flash chip, for the family that most modules have.
// SAFETY: the linker's script puts it at the flash's start, where the boot ROM looks for it.
#[unsafe(link_section = ".boot2")]
#[used]
static BOOT2: [u8; 256] = rp2040_boot2::BOOT_LOADER_W25Q080;

/// How long the loop may take for a round before the watchdog starts the chip anew: the longest that the counter
/// holds. A row for a card and a flash page at their slowest take two seconds.
const WATCHDOG_MS: u32 = 8_000;

/// A contact to ground, with the pull-up of its pin.
type Contact = Pin<DynPinId, FunctionSioInput, PullUp>;

/// All that this board has.
pub struct Parts {
    /// Time since power-up, and waits.
    pub timer: Timer,
    /// The line to the card slot; an unselected card has had its waking clocks.
    pub card: CardDevice,
    /// The display.
    pub display: PageOled<OnBus>,
    /// The clock that runs on its own battery.
    pub clock: WallClockChip<OnBus>,
    /// The knob.
    pub knob: KnobContacts,
    /// The thermistors.
    pub probes: Probes,
    /// The gate's contact, shut.
    pub gate: GateContact,
    /// The beeper, quiet.
    pub tone: Tone,
    /// The watchdog, not started.
    pub watchdog: Feeder,
    /// The ledger's flash.
    pub flash: LedgerFlash,
    /// Why the chip started anew, if the program failed.
    pub fault: Option<Fault>,
}

impl Parts {
    /// Sets the board up. `None` when it was set up before, or the crystal does not swing.
    pub fn take() -> Option<Self> {
        let core = pac::CorePeripherals::take()?;
        let mut chip = pac::Peripherals::take()?;
        let sio = Sio::new(chip.SIO);
        let pins = wiring::Pins::new(chip.IO_BANK0, chip.PADS_BANK0, sio.gpio_bank0, &mut chip.RESETS);
        // First of all: at its level before anything can fail.
        let gate = GateContact::shut(pins.gate.reconfigure());

        let by_timer = chip.WATCHDOG.reason().read().timer().bit_is_set();
        let mut watchdog = Watchdog::new(chip.WATCHDOG);
        let fault = restart::take(&mut watchdog, by_timer);
        let clocks = init_clocks_and_plls(
            wiring::CRYSTAL_HZ,
            chip.XOSC,
            chip.CLOCKS,
            chip.PLL_SYS,
            chip.PLL_USB,
            &mut chip.RESETS,
            &mut watchdog,
        );
        let clocks = clocks.ok()?;
        let timer = Timer::new(chip.TIMER, &mut chip.RESETS, &clocks);

        let contacts = tick::TurnContacts {
            a: pins.knob_a.into_pull_up_input().into_dyn_pin(),
            b: pins.knob_b.into_pull_up_input().into_dyn_pin(),
        };
        tick::start(core.SYST, clocks.system_clock.freq().to_Hz(), contacts);
        let knob =
            KnobContacts { push: pins.knob_push.into_pull_up_input().into_dyn_pin(), knob: Knob::default() };

        let mut is_sh1106 = pins.is_sh1106.into_pull_up_input();
        let mut has_nozzle = pins.has_nozzle.into_pull_up_input();
        let Ok(is_sh1106) = is_sh1106.is_low();
        let panel = if is_sh1106 { Panel::Sh1106 } else { Panel::Ssd1306 };

        let Ok(has_nozzle) = has_nozzle.is_low();
        let probes = Probes {
            converter: Adc::new(chip.ADC, &mut chip.RESETS),
            plate: AdcPin::new(pins.plate.reconfigure()).ok()?,
            air: AdcPin::new(pins.air.reconfigure()).ok()?,
            nozzle: if has_nozzle { Some(AdcPin::new(pins.nozzle.reconfigure()).ok()?) } else { None },
        };
        let slices = Slices::new(chip.PWM, &mut chip.RESETS);
        let tone = Tone::new(slices.pwm7, pins.beeper.reconfigure(), clocks.system_clock.freq().to_Hz());
        let card_pins =
            (pins.card_in.reconfigure(), pins.card_out.reconfigure(), pins.card_clock.reconfigure());
        // High before the clock runs: an unselected card wants some clocks first.
        let select = pins.card_select.into_push_pull_output_in_state(PinState::High);
        let frequency = clocks.peripheral_clock.freq();
        let card = CardDevice::new(chip.SPI0, card_pins, select, frequency, &mut chip.RESETS, timer)?;
        // Last of all: it keeps the resets, to begin anew where a line hung.
        let lines = (pins.sda.reconfigure(), pins.scl.reconfigure());
        let bus = Bus::new(chip.I2C0, lines, chip.RESETS, timer, clocks.system_clock.freq());
        let bus: &'static RefCell<Bus> = cortex_m::singleton!(: RefCell<Bus> = RefCell::new(bus))?;
        Some(Self {
            timer,
            card,
            display: PageOled::new(OnBus::new(bus), panel),
            clock: WallClockChip::new(OnBus::new(bus)),
            knob,
            probes,
            gate,
            tone,
            watchdog: Feeder(watchdog),
            flash: LedgerFlash::new(),
            fault,
        })
    }
}

impl core::fmt::Debug for Parts {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Parts").field("fault", &self.fault).finish_non_exhaustive()
    }
}

/// Milliseconds since power-up.
#[must_use]
pub fn instant(timer: Timer) -> Instant {
    // A division of 64 bits, but only so often as the loop goes round.
    Instant(timer.get_counter().ticks() / 1000)
}

/// Sleeps until the next interrupt: at most the millisecond of the tick.
pub fn sleep() {
    cortex_m::asm::wfi();
}

/// The knob's contacts.
pub struct KnobContacts {
    push: Contact,
    knob: Knob,
}

impl KnobContacts {
    /// Reads the knob. To be called every 10 ms.
    pub fn sample(&mut self, event: impl FnMut(Event)) {
        // A pin that cannot be read counts as released: nothing happens by itself.
        let is_down = self.push.is_low().unwrap_or(false);
        self.knob.sample(tick::detents(), is_down, event);
    }
}

impl core::fmt::Debug for KnobContacts {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("KnobContacts").field("knob", &self.knob).finish_non_exhaustive()
    }
}

/// The watchdog.
pub struct Feeder(Watchdog);

impl Feeder {
    /// From now on the loop must go round.
    pub fn start(&mut self) {
        self.0.start(WATCHDOG_MS.millis());
    }

    /// It went round.
    pub fn feed(&self) {
        self.0.feed();
    }
}

impl core::fmt::Debug for Feeder {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("Feeder")
    }
}

defmt::timestamp!("{=u32:us}", microseconds());

/// For the log's time stamps; it turns over after 71 minutes.
fn microseconds() -> u32 {
    // SAFETY: it reads the running counter, and nothing else of the timer.
    unsafe { (*pac::TIMER::PTR).timerawl().read().bits() }
}
