//! What this board drives: the gate's contact and the beeper.

use embedded_hal::digital::{OutputPin as _, PinState};
use embedded_hal::pwm::SetDutyCycle as _;
use holdpoint_shared::phase::Gate;
use rp2040_hal::pac;
use rp2040_hal::pwm::{A, Channel, FreeRunning, Pwm7, Slice};

use super::wiring::{BeeperPin, GatePin, TONE_HZ};

/// The gate's contact: driven = open; without power, in reset and while the boot ROM loads a program it is shut.
///
/// It may only inhibit a start: see the README for what it may be wired to.
pub struct GateContact {
    pin: GatePin,
}

impl GateContact {
    pub(super) fn shut(pin: GatePin) -> Self {
        let mut gate = Self { pin };
        gate.set(Gate::Shut);
        gate
    }

    /// Sets the contact.
    pub fn set(&mut self, gate: Gate) {
        let Ok(()) = self.pin.set_state(match gate {
            Gate::Shut => PinState::Low,
            Gate::Open => PinState::High,
        });
    }
}

impl core::fmt::Debug for GateContact {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("GateContact")
    }
}

/// The beeper's tone, which a timer makes.
pub struct Tone {
    channel: Channel<Slice<Pwm7, FreeRunning>, A>,
    /// Held: it is the timer's.
    _pin: BeeperPin,
}

impl Tone {
    pub(super) fn new(mut slice: Slice<Pwm7, FreeRunning>, pin: BeeperPin, ticks_per_second: u32) -> Self {
        const DIVIDER: u8 = 8;
        slice.set_div_int(DIVIDER);
        // 125 MHz through eight and 2.7 kHz: 5787, which 16 bits hold.
        slice.set_top((ticks_per_second / u32::from(DIVIDER) / TONE_HZ) as u16);
        slice.enable();
        let mut channel = slice.channel_a;
        let pin = channel.output_to(pin);
        let Ok(()) = channel.set_duty_cycle_fully_off();
        Self { channel, _pin: pin }
    }

    /// Sounds, or does not.
    pub fn set(&mut self, sounds: bool) {
        let Ok(()) = self.channel.set_duty_cycle_percent(if sounds { 50 } else { 0 });
    }
}

impl core::fmt::Debug for Tone {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("Tone")
    }
}

/// After a fault: the beeper is quiet. The gate stays as it is, for it may only inhibit a start, and a start that was
/// let through is under way.
pub(crate) fn to_rest() {
    // SAFETY: whoever owned the beeper does not run again: this is called by what ends in a restart.
    let timer = unsafe { pac::Peripherals::steal() }.PWM;
    timer.ch(7).cc().reset();
}
