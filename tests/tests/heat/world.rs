//! A simulated part with the core watching it.

use holdpoint_desk::plant::{FULL_SCALE, PULL_UP_OHM, Part, PartMake, Plant, PlantFault, PlantMake};
use holdpoint_shared::heat::{
    Alarm, Body, Curve, Evidence, HeatModel, HeatVerdict, MilliCelsius, ProbeReading, Thermistor, Turn,
};

/// The plant's thermistor as a board would state it.
pub(crate) const PROBE: Thermistor = Thermistor {
    pull_up_ohm: PULL_UP_OHM,
    full_scale: FULL_SCALE,
    curve: Curve::beta(100_000, 3950, (MilliCelsius(-20_000), MilliCelsius(350_000))),
};

pub(crate) fn c(degrees: f64) -> MilliCelsius {
    MilliCelsius((degrees * 1000.0).round() as i32)
}

/// What the sheet would say of a part.
pub(crate) fn body(make: PartMake) -> Body {
    let tau_s = make.capacity_j_k / make.loss_w_k;
    Body::new(tau_s.round() as u32, (make.power_w / make.loss_w_k).round() as u32)
}

/// A bed with this time constant, min, that would come to 60 °C at full power in two minutes.
pub(crate) fn bed_of(tau_min: f64) -> PlantMake {
    let loss_w_k = 1.1045;
    let rise = 38.0 / (1.0 - (-2.0 / tau_min).exp());
    let bed = PartMake {
        power_w: rise * loss_w_k,
        capacity_j_k: tau_min * 60.0 * loss_w_k,
        loss_w_k,
        probe_lag_s: 6.0,
    };
    PlantMake { bed, ..PlantMake::default() }
}

/// Milliseconds between readings.
pub(crate) const EVERY_MS: u64 = 500;

/// A plant, the part that is watched, and what the core made of it.
pub(crate) struct World {
    pub(crate) plant: Plant,
    pub(crate) part: Part,
    pub(crate) model: HeatModel,
    pub(crate) target: Option<f64>,
    pub(crate) air_probe: bool,
    pub(crate) last: Option<HeatVerdict>,
    /// Every alarm that came up, with the plant's second.
    pub(crate) alarms: Vec<(u64, Alarm)>,
    /// Every turn that was said, with the plant's second.
    pub(crate) turns: Vec<(u64, Turn)>,
}

impl World {
    pub(crate) fn new(make: PlantMake, seed: u64, part: Part) -> Self {
        let built = if part == Part::Bed { make.bed } else { make.nozzle };
        Self {
            plant: Plant::new(make, seed),
            part,
            model: HeatModel::new(body(built), c(make.room_c), c(make.room_c)),
            target: None,
            air_probe: true,
            last: None,
            alarms: Vec::new(),
            turns: Vec::new(),
        }
    }

    pub(crate) fn with_fault(mut self, from_s: u64, fault: PlantFault) -> Self {
        self.plant = self.plant.with_fault(self.part, from_s * 1000, fault);
        self
    }

    /// The job asks for a target, and the printer's controller takes it.
    pub(crate) fn aim(&mut self, target: Option<f64>) {
        self.target = target;
        self.plant.set_target(self.part, target);
    }

    pub(crate) fn read(&mut self) -> ProbeReading {
        PROBE.read(self.plant.counts(self.part))
    }

    pub(crate) fn step(&mut self) {
        self.plant.advance(EVERY_MS);
        self.model.set_air(c(self.plant.air_c()), self.air_probe);
        let reading = self.read();
        let verdict = self.model.step(EVERY_MS as u32, Some(reading), self.target.map(c));
        let now_s = self.plant.now_ms() / 1000;
        if let Some(alarm) = verdict.alarm
            && self.alarms.last().is_none_or(|(_, last)| *last != alarm)
        {
            self.alarms.push((now_s, alarm));
        }
        self.turns.extend(verdict.turn.map(|turn| (now_s, turn)));
        self.last = Some(verdict);
    }

    pub(crate) fn run_s(&mut self, seconds: u64) {
        (0..seconds * 1000 / EVERY_MS).for_each(|_| self.step());
    }

    /// Runs until the part itself has passed a temperature; gives the seconds.
    pub(crate) fn run_until(&mut self, celsius: f64) -> u64 {
        let upwards = self.plant.celsius(self.part) < celsius;
        let from_ms = self.plant.now_ms();
        while (self.plant.celsius(self.part) < celsius) == upwards {
            self.step();
            assert!(self.plant.now_ms() - from_ms < 6 * 3_600_000, "never {celsius} °C");
        }
        (self.plant.now_ms() - from_ms) / 1000
    }

    pub(crate) fn evidence(&self) -> Evidence {
        self.last.expect("a step").evidence
    }
}
