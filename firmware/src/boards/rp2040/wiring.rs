//! Which pin does what, and the numbers of what hangs on it. `firmware/README.md` has the same table for who wires it.

use holdpoint_shared::heat::{Curve, MilliCelsius, Thermistor};

rp2040_hal::bsp_pins!(
    /// I2C to display and clock chip: data.
    Gpio4 { name: sda, aliases: { FunctionI2C, PullUp: Sda } },
    /// I2C to display and clock chip: clock.
    Gpio5 { name: scl, aliases: { FunctionI2C, PullUp: Scl } },
    /// The knob's contacts, to ground: the two of turning, and the push.
    Gpio10 { name: knob_a },
    Gpio11 { name: knob_b },
    Gpio12 { name: knob_push },
    /// Through a transistor to a passive beeper.
    Gpio14 { name: beeper, aliases: { FunctionPwm, PullDown: BeeperPin } },
    /// Through a transistor to the gate's relay or opto-coupler.
    Gpio15 { name: gate, aliases: { FunctionSioOutput, PullDown: GatePin } },
    /// SPI to the card: from the card, select, clock, to the card.
    Gpio16 { name: card_out, aliases: { FunctionSpi, PullUp: CardOut } },
    Gpio17 { name: card_select, aliases: { FunctionSioOutput, PullDown: CardSelect } },
    Gpio18 { name: card_clock, aliases: { FunctionSpi, PullDown: CardClock } },
    Gpio19 { name: card_in, aliases: { FunctionSpi, PullDown: CardIn } },
    /// To ground where the display's controller is an SH1106.
    Gpio21 { name: is_sh1106 },
    /// To ground where a third probe is fitted.
    Gpio22 { name: has_nozzle },
    /// The probes, each with its pull-up to the converter's reference.
    Gpio26 { name: plate, aliases: { FunctionNull, PullNone: PlatePin } },
    Gpio27 { name: air, aliases: { FunctionNull, PullNone: AirPin } },
    Gpio28 { name: nozzle, aliases: { FunctionNull, PullNone: NozzlePin } },
);

/// The crystal's frequency, Hz: that of all common modules.
pub(super) const CRYSTAL_HZ: u32 = 12_000_000;
/// The card's clock while it starts (it allows 400 kHz there, SD Physical Layer Specification, 4.4), Hz.
pub(super) const CARD_STARTING_HZ: u32 = 250_000;
/// The card's clock from then on: half of what every card takes (the same, 4.3.10), for wires of a hand's breadth, Hz.
pub(super) const CARD_RUNNING_HZ: u32 = 12_500_000;
/// I2C's fast mode, which display and clock chip both take, Hz.
pub(super) const I2C_HZ: u32 = 400_000;
/// The tone: near the loudest of common passive beepers (from memory), Hz.
pub(super) const TONE_HZ: u32 = 2_700;

/// From the converter's own reference to each probe, Ω.
const PULL_UP_OHM: u32 = 4_700;
/// The converter's highest count: twelve bits.
const FULL_SCALE: u16 = 4_095;

/// A 100 kΩ bead with B 3950, as they are common around hot parts. The range is what its leads and its one beta stand.
const BEAD: Curve = Curve::beta(100_000, 3_950, (MilliCelsius(-20_000), MilliCelsius(155_000)));
/// The same in a screw-in housing for hot ends, whose leads stand more; one beta errs by several kelvins up there.
const HOT_BEAD: Curve = Curve::beta(100_000, 3_950, (MilliCelsius(-20_000), MilliCelsius(300_000)));

/// How each probe is wired.
pub(super) const PLATE: Thermistor = probe(BEAD);
pub(super) const AIR: Thermistor = probe(BEAD);
pub(super) const NOZZLE: Thermistor = probe(HOT_BEAD);

const fn probe(curve: Curve) -> Thermistor {
    Thermistor { pull_up_ohm: PULL_UP_OHM, full_scale: FULL_SCALE, curve }
}
