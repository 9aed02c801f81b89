//! The thermistors on the converter.

use holdpoint_shared::heat::{Probe, ProbeReading, Thermistor};
use rp2040_hal::adc::{Adc, AdcChannel, AdcPin};

use super::wiring::{AIR, AirPin, NOZZLE, NozzlePin, PLATE, PlatePin};

/// Conversions that one reading is the mean of: 2 µs each, against noise of some counts.
const CONVERSIONS: u32 = 16;

/// All probes.
pub struct Probes {
    pub(super) converter: Adc,
    pub(super) plate: AdcPin<PlatePin>,
    pub(super) air: AdcPin<AirPin>,
    /// Where it is fitted.
    pub(super) nozzle: Option<AdcPin<NozzlePin>>,
}

impl Probes {
    /// Reads each probe that is fitted: 0.1 ms. A broken lead is told as such.
    pub fn read(&mut self, mut told: impl FnMut(Probe, ProbeReading)) {
        let converter = &mut self.converter;
        told(Probe::Plate, one(converter, &mut self.plate, &PLATE));
        told(Probe::Air, one(converter, &mut self.air, &AIR));
        if let Some(nozzle) = &mut self.nozzle {
            told(Probe::Nozzle, one(converter, nozzle, &NOZZLE));
        }
    }
}

fn one(converter: &mut Adc, pin: &mut impl AdcChannel, probe: &Thermistor) -> ProbeReading {
    let mut sum = 0;
    for _ in 0..CONVERSIONS {
        match converter.read(pin) {
            Ok(counts) => sum += u32::from(counts),
            // The converter did not settle: no reading, as with a broken lead.
            Err(_) => return ProbeReading::Open,
        }
    }
    probe.read(((sum + CONVERSIONS / 2) / CONVERSIONS) as u16)
}

impl core::fmt::Debug for Probes {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Probes").field("nozzle", &self.nozzle.is_some()).finish_non_exhaustive()
    }
}
