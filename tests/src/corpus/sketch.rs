//! Jobs drawn bead by bead, each bead with its place in the job, so that the drawing itself says what a survey of it
//! must find: layers, first layer, purge strip.

use std::f64::consts::PI;
use std::fmt::Write;

use super::cases::PLA;
use super::rooms::bench;
use super::{Job, Outcome};

/// Where a bead belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    Strip,
    First,
    Second,
    Above,
}

/// What the beads of one place add up to, in the file's own decimals: µm, and filament in 10⁻⁵ mm.
#[derive(Clone, Copy, Debug)]
pub struct Laid {
    pub min_um: [i64; 3],
    pub max_um: [i64; 3],
    /// Line of the first bead, from 1.
    pub line: u32,
    pub filament: i64,
    pub path_mm: f64,
}

/// What must be found.
#[derive(Clone, Debug)]
pub struct Expected {
    pub layers: u32,
    pub first_um: i32,
    pub first: Laid,
    pub strip: Option<Laid>,
    /// Line of the second layer's first bead.
    pub second_line: Option<u32>,
    /// By how much the first layer may be off, where it goes over into the second within a bead.
    pub blur: Option<Blur>,
}

/// What one bead more or less makes of a first layer.
#[derive(Clone, Copy, Debug)]
pub struct Blur {
    /// Share of the layer that its longest bead is, percent.
    pub percent: i64,
    /// How much higher that bead ends than it begins, µm.
    pub rise_um: i64,
    /// How far the next turn lies from this one, µm.
    pub apart_um: i64,
}

/// A job, what it is checked against, and what must be found in it.
#[derive(Clone, Debug)]
pub struct Sketched {
    pub job: Job,
    pub expected: Expected,
}

impl Sketched {
    /// The text of the job.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        self.job.files.first().map_or(&[], |(_, bytes, _)| bytes)
    }

    #[must_use]
    pub fn vet(&self) -> Outcome {
        self.job.vet()
    }
}

/// Speed of beads on the first layer, mm/s.
pub const FIRST_MM_S: f64 = 20.0;
/// Speed of beads above, mm/s.
pub const ABOVE_MM_S: f64 = 40.0;
/// Line width, mm.
pub const WIDTH: f64 = 0.45;

/// A pen for beads of PLA on the bench's plate of 220 mm.
#[derive(Debug)]
pub struct Sketch {
    text: String,
    lines: u32,
    at: [f64; 3],
    place: Place,
    laid: [Option<Laid>; 4],
    fan: bool,
    /// Layer height, mm.
    pub height: f64,
}

pub(super) fn um(mm: f64) -> i64 {
    (mm * 1000.0).round() as i64
}

impl Sketch {
    /// Heats, homes, and stands 5 mm over the plate.
    #[must_use]
    pub fn new(height: f64) -> Self {
        let mut sketch = Self {
            text: String::new(),
            lines: 0,
            at: [0.0, 0.0, 5.0],
            place: Place::First,
            laid: [None; 4],
            fan: false,
            height,
        };
        for line in
            ["; material: PLA", "G21", "G90", "M83", "M140 S60", "M190 S60", "M104 S210", "G28", "M109 S210"]
        {
            sketch.line(line);
        }
        sketch.line("G1 Z5 F600");
        sketch.line("G1 E3 F300");
        sketch
    }

    /// A line as it is.
    pub fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
        self.lines += 1;
    }

    /// What comes next belongs there.
    pub fn place(&mut self, place: Place) {
        self.place = place;
        if place == Place::Second {
            self.fan();
        }
    }

    /// The fan full on, once.
    pub fn fan(&mut self) {
        if !std::mem::replace(&mut self.fan, true) {
            self.line("M106 S255");
        }
    }

    /// To a place without filament: pulled back, lifted when far.
    pub fn go(&mut self, [x, y]: [f64; 2], z: f64) {
        let far = (x - self.at[0]).hypot(y - self.at[1]) > 2.0;
        let lifted = self.at[2].max(z) + 0.4;
        if far {
            self.line("G1 E-0.8 F2100");
            self.line(&format!("G0 Z{lifted:.3} F600"));
        }
        self.line(&format!("G0 X{x:.3} Y{y:.3} F7200"));
        if far || z != self.at[2] {
            self.line(&format!("G0 Z{z:.3} F600"));
        }
        if far {
            self.line("G1 E0.8 F2100");
        }
        self.at = [x, y, z];
    }

    /// A bead to a place, at the height or rising to it.
    pub fn bead(&mut self, [x, y]: [f64; 2], z: f64) {
        let from = self.at.map(um);
        let to = [x, y, z].map(um);
        let length = (x - self.at[0]).hypot(y - self.at[1]);
        if from[..2] == to[..2] {
            return;
        }
        let area = (WIDTH - self.height) * self.height + PI * self.height * self.height / 4.0;
        let filament = (length * area / (PI * 1.75 * 1.75 / 4.0) * 1e5).round() as i64;
        let speed =
            if matches!(self.place, Place::First | Place::Strip) { FIRST_MM_S } else { ABOVE_MM_S } * 60.0;
        let written = to.map(|um| um as f64 / 1000.0);
        let mut line = format!("G1 X{:.3} Y{:.3}", written[0], written[1]);
        if from[2] != to[2] {
            let _ = write!(line, " Z{:.3}", written[2]);
        }
        let _ = write!(line, " E{:.5} F{speed:.0}", filament as f64 / 1e5);
        self.line(&line);
        let laid = self.laid[self.place as usize].get_or_insert(Laid {
            min_um: from,
            max_um: from,
            line: self.lines,
            filament: 0,
            path_mm: 0.0,
        });
        for point in [from, to] {
            for (axis, value) in point.into_iter().enumerate() {
                laid.min_um[axis] = laid.min_um[axis].min(value);
                laid.max_um[axis] = laid.max_um[axis].max(value);
            }
        }
        laid.filament += filament;
        laid.path_mm += length;
        self.at = [x, y, z];
    }

    /// A travel to the first point and beads along the others.
    pub fn trace(&mut self, points: &[[f64; 2]], z: f64) {
        let Some((first, rest)) = points.split_first() else { return };
        self.go(*first, z);
        for point in rest {
            self.bead(*point, z);
        }
    }

    /// A travel to the first point, and once round.
    pub fn ring(&mut self, points: &[[f64; 2]], z: f64) {
        let closed: Vec<_> = points.iter().chain(points.first()).copied().collect();
        self.trace(&closed, z);
    }

    /// The job, ended and parked.
    #[must_use]
    pub fn done(mut self, what: String, layers: u32, first_um: i32) -> Sketched {
        let top = self.at[2] + 10.0;
        for line in ["M104 S0", "M140 S0", "M107", "G1 E-2 F1800"] {
            self.line(line);
        }
        self.line(&format!("G0 Z{top:.3} F600"));
        for line in ["G0 X10 Y200 F7200", "M84"] {
            self.line(line);
        }
        let [strip, first, second, _] = self.laid;
        let expected = Expected {
            layers,
            first_um,
            first: first.unwrap_or_else(|| panic!("{what}: no first layer")),
            strip,
            second_line: second.map(|second| second.line),
            blur: None,
        };
        Sketched { job: Job::new(what, self.text.into_bytes(), PLA.on(bench())), expected }
    }
}

/// Numbers by a seed: Knuth's linear congruential generator (MMIX), its high bits.
#[derive(Debug)]
pub struct Dice(u64);

impl Dice {
    #[must_use]
    pub fn new(seed: u64) -> Self {
        let mut dice = Self(seed ^ 0x9E37_79B9_7F4A_7C15);
        dice.roll(2);
        dice
    }

    /// From 0 to below a number.
    pub fn roll(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % below
    }

    /// Between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.roll(1 << 20) as f64 / f64::from(1 << 20)
    }
}
