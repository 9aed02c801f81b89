//! A simulated machine: hot end, bed and air as they would warm, sag, cool and fail, with the probes that a
//! board would read.
//!
//! It is the world and not the device's idea of it: it shares no line with the core's heat model. Energy is balanced
//! in small steps (C dT/dt = P − G (T − T∞)), a controller like a printer's switches the power, and a probe has a lag,
//! noise and a converter of its own. The same seed gives the same run.

/// How a heated part is built.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartMake {
    /// Heater, W.
    pub power_w: f64,
    /// Heat capacity, J/K.
    pub capacity_j_k: f64,
    /// Loss to the air round it, W/K.
    pub loss_w_k: f64,
    /// Lag of the probe behind the part, s.
    pub probe_lag_s: f64,
}

/// How the machine and its room are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlantMake {
    /// Hot end.
    pub nozzle: PartMake,
    /// Bed with its plate.
    pub bed: PartMake,
    /// Air of the room, °C.
    pub room_c: f64,
    /// Loss of the housing to the room, W/K; `None` = an open frame, its air is the room's.
    pub housing_w_k: Option<f64>,
    /// Noise of a probe, standard deviation, K.
    pub noise_k: f64,
}

/// A common desktop machine: an aluminium bed of 235 x 235 x 3 mm and a small hot end, worked from handbook data with
/// an assumed 10 W/m²K.
impl Default for PlantMake {
    fn default() -> Self {
        Self {
            nozzle: PartMake { power_w: 40.0, capacity_j_k: 10.0, loss_w_k: 0.03, probe_lag_s: 1.0 },
            bed: PartMake { power_w: 220.0, capacity_j_k: 402.6, loss_w_k: 1.1045, probe_lag_s: 4.0 },
            room_c: 22.0,
            housing_w_k: None,
            noise_k: 0.05,
        }
    }
}

/// Heat capacity of a housing's air and walls, J/K (assumed).
const HOUSING_J_K: f64 = 6_000.0;

/// One of the two heated parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Hot end.
    Nozzle,
    /// Bed.
    Bed,
}

/// What goes wrong with a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlantFault {
    /// The heater gives nothing any more.
    HeaterDead,
    /// The heater gives only this share of its power.
    HeaterWeak(f64),
    /// The heater stays on, whatever the controller wants.
    HeaterStuck,
    /// The probe's lead breaks.
    ProbeOpen,
    /// The probe's leads touch.
    ProbeShorted,
    /// The probe falls off and reads the air.
    ProbeOff,
    /// The probe goes on saying what it said last.
    ProbeFrozen,
    /// The probe says so much more, K, from now on.
    ProbeShifted(f64),
}

/// Longest step of the sums, s.
const STEP_S: f64 = 0.05;
/// Power that melting takes for each mm³/s and K over the air, W: 4.13 W for 10 mm³/s of PLA heated by 185 K.
const MELT_W: f64 = 4.13 / 10.0 / 185.0;
/// Below this distance from the target the controller gives less than full power, K.
const BAND_K: f64 = 4.0;
/// Time in which the controller takes a lasting distance away, s.
const INTEGRAL_S: f64 = 40.0;

/// A thermistor of 100 kΩ, B 3950 K, with 4.7 kΩ on a converter of 12 bits.
const R25_OHM: f64 = 100_000.0;
const BETA_K: f64 = 3950.0;
/// The reference resistor, Ω.
pub const PULL_UP_OHM: u32 = 4_700;
/// The converter's highest count.
pub const FULL_SCALE: u16 = 4_095;

#[derive(Clone, Debug)]
struct Heated {
    make: PartMake,
    celsius: f64,
    probe_c: f64,
    target_c: Option<f64>,
    integral: f64,
    fault: Option<(u64, PlantFault)>,
}

impl Heated {
    fn at(make: PartMake, celsius: f64) -> Self {
        Self { make, celsius, probe_c: celsius, target_c: None, integral: 0.0, fault: None }
    }

    fn fault(&self, now_ms: u64) -> Option<PlantFault> {
        self.fault.and_then(|(from_ms, fault)| (now_ms >= from_ms).then_some(fault))
    }

    /// Watts that the heater gives.
    fn power(&mut self, seconds: f64, now_ms: u64) -> f64 {
        let wanted = match self.target_c {
            None => {
                self.integral = 0.0;
                0.0
            }
            Some(target) => {
                let short = target - self.celsius;
                let inside = short.abs() < BAND_K;
                self.integral = if inside {
                    (self.integral + short / BAND_K * seconds / INTEGRAL_S).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                (short / BAND_K + self.integral).clamp(0.0, 1.0)
            }
        };
        let share = match self.fault(now_ms) {
            Some(PlantFault::HeaterDead) => 0.0,
            Some(PlantFault::HeaterWeak(share)) => wanted * share,
            Some(PlantFault::HeaterStuck) => 1.0,
            _ => wanted,
        };
        share * self.make.power_w
    }

    /// One short step; gives the heat that left for the air, J.
    fn step(&mut self, seconds: f64, air_c: f64, extra_loss_w: f64, now_ms: u64) -> f64 {
        let lost_w = self.make.loss_w_k * (self.celsius - air_c);
        let gained_w = self.power(seconds, now_ms) - lost_w - extra_loss_w;
        self.celsius += gained_w / self.make.capacity_j_k * seconds;
        let touches = match self.fault(now_ms) {
            Some(PlantFault::ProbeOff) => air_c,
            Some(PlantFault::ProbeFrozen) => self.probe_c,
            _ => self.celsius,
        };
        self.probe_c += (touches - self.probe_c) * (seconds / self.make.probe_lag_s.max(seconds));
        lost_w * seconds
    }

    fn counts(&self, noise_k: f64, now_ms: u64) -> u16 {
        match self.fault(now_ms) {
            Some(PlantFault::ProbeOpen) => FULL_SCALE,
            Some(PlantFault::ProbeShorted) => 0,
            Some(PlantFault::ProbeFrozen) => counts(self.probe_c),
            Some(PlantFault::ProbeShifted(kelvin)) => counts(self.probe_c + noise_k + kelvin),
            _ => counts(self.probe_c + noise_k),
        }
    }
}

/// Converter counts of the thermistor at a temperature: R = R₂₅ exp(B(1/T − 1/T₂₅)) against the reference resistor.
fn counts(celsius: f64) -> u16 {
    let ohm = R25_OHM * (BETA_K * (1.0 / (celsius + 273.15) - 1.0 / 298.15)).exp();
    let counts = f64::from(FULL_SCALE) * ohm / (ohm + f64::from(PULL_UP_OHM));
    counts.round() as u16
}

/// The machine over time.
#[derive(Clone, Debug)]
pub struct Plant {
    make: PlantMake,
    nozzle: Heated,
    bed: Heated,
    air_c: f64,
    flow_mm3_s: f64,
    now_ms: u64,
    seed: u64,
}

impl Plant {
    /// A machine at rest in its room. The seed gives the noise.
    #[must_use]
    pub fn new(make: PlantMake, seed: u64) -> Self {
        Self {
            make,
            nozzle: Heated::at(make.nozzle, make.room_c),
            bed: Heated::at(make.bed, make.room_c),
            air_c: make.room_c,
            flow_mm3_s: 0.0,
            now_ms: 0,
            seed,
        }
    }

    /// A part begins to fail after so many milliseconds from the plant's beginning.
    #[must_use]
    pub fn with_fault(mut self, part: Part, from_ms: u64, fault: PlantFault) -> Self {
        self.part_mut(part).fault = Some((from_ms, fault));
        self
    }

    fn part_mut(&mut self, part: Part) -> &mut Heated {
        match part {
            Part::Nozzle => &mut self.nozzle,
            Part::Bed => &mut self.bed,
        }
    }

    const fn part(&self, part: Part) -> &Heated {
        match part {
            Part::Nozzle => &self.nozzle,
            Part::Bed => &self.bed,
        }
    }

    /// What the printer's own controller holds a part at; `None` = off.
    pub fn set_target(&mut self, part: Part, celsius: Option<f64>) {
        self.part_mut(part).target_c = celsius;
    }

    /// Plastic that is melted from now on, mm³/s.
    pub const fn set_flow(&mut self, mm3_s: f64) {
        self.flow_mm3_s = mm3_s;
    }

    /// Lets time pass.
    pub fn advance(&mut self, ms: u64) {
        let end_ms = self.now_ms.saturating_add(ms);
        while self.now_ms < end_ms {
            let step_ms = (end_ms - self.now_ms).min((STEP_S * 1000.0) as u64);
            self.step(step_ms as f64 / 1000.0);
            self.now_ms += step_ms;
        }
    }

    fn step(&mut self, seconds: f64) {
        let melting_w = self.flow_mm3_s * MELT_W * (self.nozzle.celsius - self.air_c).max(0.0);
        let mut to_air_j = self.nozzle.step(seconds, self.air_c, melting_w, self.now_ms);
        to_air_j += self.bed.step(seconds, self.air_c, 0.0, self.now_ms);
        if let Some(housing_w_k) = self.make.housing_w_k {
            let to_room_j = housing_w_k * (self.air_c - self.make.room_c) * seconds;
            self.air_c += (to_air_j - to_room_j) / HOUSING_J_K;
        }
    }

    /// Milliseconds since its beginning.
    #[must_use]
    pub const fn now_ms(&self) -> u64 {
        self.now_ms
    }

    /// A part's true temperature, °C.
    #[must_use]
    pub const fn celsius(&self, part: Part) -> f64 {
        self.part(part).celsius
    }

    /// The air round the parts, °C: what an ideal probe there reads.
    #[must_use]
    pub const fn air_c(&self) -> f64 {
        self.air_c
    }

    /// What a part's probe gives at this moment, counts of the converter.
    pub fn counts(&mut self, part: Part) -> u16 {
        let noise_k = self.noise() * self.make.noise_k;
        self.part(part).counts(noise_k, self.now_ms)
    }

    /// About normally distributed, mean 0, deviation 1: twelve even draws added (Irwin and Hall).
    fn noise(&mut self) -> f64 {
        (0..12).map(|_| self.draw()).sum::<f64>() - 6.0
    }

    /// An even draw from [0, 1), by SplitMix64 (Steele, Lea and Flood 2014).
    fn draw(&mut self) -> f64 {
        self.seed = self.seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut bits = self.seed;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (bits ^ (bits >> 31)) as f64 / 18_446_744_073_709_551_616.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plant() -> Plant {
        Plant::new(PlantMake::default(), 1)
    }

    /// Seconds until a part passes a temperature, counted in tenths.
    fn seconds_until(plant: &mut Plant, part: Part, celsius: f64) -> f64 {
        let upwards = plant.celsius(part) < celsius;
        let from_ms = plant.now_ms();
        while (plant.celsius(part) < celsius) == upwards {
            plant.advance(100);
            assert!(plant.now_ms() - from_ms < 24 * 3_600_000, "never");
        }
        (plant.now_ms() - from_ms) as f64 / 1000.0
    }

    /// The worked bed: 22 to 60 °C in 77 s at full power; 60 to 50, 48, 45, 43, 40 and 35 °C in so many minutes.
    #[test]
    fn the_bed_follows_the_worked_example() {
        let mut plant = plant();
        plant.set_target(Part::Bed, Some(200.0));
        assert!((seconds_until(&mut plant, Part::Bed, 60.0) - 1.29 * 60.0).abs() < 0.5);
        plant.set_target(Part::Bed, None);
        let mut cooled = 0.0;
        for (to, minutes) in [(50.0, 1.9), (48.0, 2.3), (45.0, 3.1), (43.0, 3.6), (40.0, 4.5), (35.0, 6.5)] {
            cooled += seconds_until(&mut plant, Part::Bed, to);
            assert!((cooled / 60.0 - minutes).abs() < 0.06, "{to} °C: {cooled} s");
        }
    }

    /// The worked hot end: 210 °C in 50.66 s (333.3 s · ln(1333.3 / 1145.3)), and 210 to 50 °C in 634.8 s
    /// (333.3 s · ln(188 / 28)).
    #[test]
    fn the_hot_end_follows_the_worked_example() {
        let mut plant = plant();
        plant.set_target(Part::Nozzle, Some(300.0));
        assert!((seconds_until(&mut plant, Part::Nozzle, 210.0) - 50.66).abs() < 0.2);
        plant.set_target(Part::Nozzle, None);
        let cooled = seconds_until(&mut plant, Part::Nozzle, 50.0);
        assert!((cooled - 634.8).abs() < 0.5, "{cooled}");
    }

    #[test]
    fn a_target_is_reached_and_held() {
        let mut plant = plant();
        plant.set_target(Part::Nozzle, Some(215.0));
        plant.set_target(Part::Bed, Some(60.0));
        plant.advance(10 * 60_000);
        for (part, target) in [(Part::Nozzle, 215.0), (Part::Bed, 60.0)] {
            for _ in 0..600 {
                plant.advance(1000);
                assert!((plant.celsius(part) - target).abs() < 0.5, "{part:?} {}", plant.celsius(part));
            }
        }
    }

    #[test]
    fn it_sags_when_plastic_flows_and_comes_back() {
        let mut plant = plant();
        plant.set_target(Part::Nozzle, Some(215.0));
        plant.advance(5 * 60_000);
        plant.set_flow(12.0);
        let mut lowest = f64::MAX;
        for _ in 0..300 {
            plant.advance(1000);
            lowest = lowest.min(plant.celsius(Part::Nozzle));
        }
        assert!((205.0..214.7).contains(&lowest), "{lowest}");
        assert!((plant.celsius(Part::Nozzle) - 215.0).abs() < 0.3, "{}", plant.celsius(Part::Nozzle));
    }

    #[test]
    fn the_same_seed_gives_the_same_run_in_any_steps() {
        let run = |seed, step_ms: u64| {
            let mut plant = Plant::new(PlantMake::default(), seed);
            plant.set_target(Part::Bed, Some(60.0));
            (0..60)
                .map(|_| {
                    (0..1000 / step_ms).for_each(|_| plant.advance(step_ms));
                    plant.counts(Part::Bed)
                })
                .collect::<Vec<u16>>()
        };
        assert_eq!(run(7, 1000), run(7, 1000));
        assert_eq!(run(7, 1000), run(7, 50));
        assert_ne!(run(7, 1000), run(8, 1000));
    }

    #[test]
    fn a_closed_housing_warms_and_the_plate_then_cools_more_slowly() {
        let cool = |housing_w_k| {
            let mut plant = Plant::new(PlantMake { housing_w_k, ..PlantMake::default() }, 1);
            plant.set_target(Part::Bed, Some(100.0));
            plant.advance(2 * 3_600_000);
            plant.set_target(Part::Bed, None);
            (plant.air_c(), seconds_until(&mut plant, Part::Bed, 45.0))
        };
        let (open_air, open_s) = cool(None);
        let (closed_air, closed_s) = cool(Some(4.0));
        assert!((open_air - 22.0).abs() < 1e-9);
        assert!((35.0..45.0).contains(&closed_air), "{closed_air}");
        assert!(closed_s > 1.2 * open_s, "{closed_s} for {open_s}");
    }

    /// Counts of the worked divider at 25, 60, 100 and 210 °C, four times the ten bits that the example has.
    #[test]
    fn probes_give_the_worked_counts() {
        for (celsius, ten_bits) in [(25.0, 977.1), (60.0, 860.4), (100.0, 611.2), (210.0, 120.3)] {
            let expected = ten_bits * 4095.0 / 1023.0;
            assert!((f64::from(counts(celsius)) - expected).abs() <= 0.75, "{celsius}: {}", counts(celsius));
        }
    }

    #[test]
    fn faults_come_when_told() {
        let heated = |fault| {
            let mut plant = plant().with_fault(Part::Bed, 60_000, fault);
            plant.set_target(Part::Bed, Some(60.0));
            plant.advance(59_000);
            let before = plant.counts(Part::Bed);
            assert!(before > 0 && before < FULL_SCALE);
            plant.advance(20 * 60_000);
            (plant.celsius(Part::Bed), plant.counts(Part::Bed), before)
        };
        assert!(heated(PlantFault::HeaterDead).0 < 30.0);
        assert!(heated(PlantFault::HeaterStuck).0 > 200.0);
        assert!((heated(PlantFault::HeaterWeak(0.1)).0 - (22.0 + 22.0 / 1.1045)).abs() < 3.0);
        assert_eq!(heated(PlantFault::ProbeOpen).1, FULL_SCALE);
        assert_eq!(heated(PlantFault::ProbeShorted).1, 0);
        let (true_c, off, _) = heated(PlantFault::ProbeOff);
        assert!((true_c - 60.0).abs() < 0.5 && off.abs_diff(counts(22.0)) < 5, "{true_c} {off}");
        let (_, frozen, before) = heated(PlantFault::ProbeFrozen);
        assert!(
            frozen.abs_diff(before) > 5,
            "it warmed until it froze, 1 s after the reading before, or 20 min"
        );
        let (_, shifted, _) = heated(PlantFault::ProbeShifted(15.0));
        assert!(shifted.abs_diff(counts(75.0)) < 10, "{shifted}");
    }
}
