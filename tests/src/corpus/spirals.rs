//! Vases: outlines with sharp corners, turned any way, that rise evenly or not, from the plate or from layers below.

use std::f64::consts::TAU;

use super::sketch::{Blur, Dice, Place, Sketch, Sketched, um};

/// An outline round the plate's middle.
#[derive(Clone, Copy, Debug)]
pub enum Outline {
    /// Corners, all outward: a triangle and more.
    Corners(u32),
    /// Points of a star, and the inner radius as a share of the outer one.
    Star(u32, f64),
    /// Pleats: a circle whose wall goes in and out so many times, by so many mm.
    Pleats(u32, f64),
    /// A rectangle with a narrow slit from one side to its middle, so wide, mm: the two sides of a rib.
    Rib(f64),
}

impl Outline {
    /// Its corners counter-clockwise, with an outer radius in mm.
    fn corners(self, radius: f64) -> Vec<[f64; 2]> {
        let at = |r: f64, angle: f64| [r * angle.cos(), r * angle.sin()];
        let step = |n: u32, k: u32| TAU * f64::from(k) / f64::from(n);
        match self {
            Self::Corners(n) => (0..n).map(|k| at(radius, step(n, k))).collect(),
            Self::Star(n, inner) => {
                let r = |k: u32| if k.is_multiple_of(2) { radius } else { radius * inner };
                (0..2 * n).map(|k| at(r(k), step(2 * n, k))).collect()
            }
            Self::Pleats(n, depth) => {
                let r = |k: u32| if k % 4 < 2 { radius } else { radius - depth };
                (0..4 * n).map(|k| at(r(k), step(4 * n, k))).collect()
            }
            Self::Rib(width) => {
                let (x, y, half) = (radius, radius * 0.6, width / 2.0);
                vec![[-x, -y], [x, -y], [x, y], [half, y], [half, 0.0], [-half, 0.0], [-half, y], [-x, y]]
            }
        }
    }
}

/// A vase.
#[derive(Clone, Copy, Debug)]
pub struct Vase {
    pub outline: Outline,
    pub radius: f64,
    /// Degrees by which the outline is turned.
    pub turned: f64,
    pub clockwise: bool,
    /// Level layers below the spiral.
    pub base: u32,
    pub turns: u32,
    pub height: f64,
    /// Longest bead, mm: 0 = from corner to corner.
    pub bead: f64,
    /// Share of the perimeter at which the spiral begins.
    pub begins: f64,
    /// Growth and turn of the outline with each turn: permille, and degrees.
    pub grows: f64,
    pub twists: f64,
    /// How uneven the rise is: 0 = even, 1 = level for half of each side.
    pub uneven: f64,
    /// A level turn on top.
    pub level_end: bool,
}

impl Vase {
    /// The outline from its begin once round, the first point again at the end, each with its share of the way.
    fn round(&self) -> Vec<([f64; 2], f64)> {
        let mut corners = self.outline.corners(self.radius);
        if self.clockwise {
            corners.reverse();
        }
        let n = corners.len();
        let (sin, cos) = self.turned.to_radians().sin_cos();
        let corners: Vec<_> =
            corners.into_iter().map(|[x, y]| [x * cos - y * sin, x * sin + y * cos]).collect();
        let side = |k: usize| (corners[k % n], corners[(k + 1) % n]);
        let length = |([x0, y0], [x1, y1]): ([f64; 2], [f64; 2])| (x1 - x0).hypot(y1 - y0);
        let whole: f64 = (0..n).map(|k| length(side(k))).sum();
        // To the side on which it begins.
        let (mut first, mut rest) = (0, whole * self.begins);
        while rest >= length(side(first)) {
            rest -= length(side(first));
            first = (first + 1) % n;
        }
        let along = |k: usize, way: f64| {
            let ([x0, y0], [x1, y1]) = side(k);
            let t = way / length(side(k));
            [x0 + (x1 - x0) * t, y0 + (y1 - y0) * t]
        };
        let mut points = vec![(along(first, rest), 0.0)];
        let mut gone = 0.0;
        for k in first..=first + n {
            let from = if k == first { rest } else { 0.0 };
            let to = if k == first + n { rest } else { length(side(k)) };
            let pieces = if self.bead > 0.0 { ((to - from) / self.bead).ceil().max(1.0) } else { 1.0 };
            for piece in 1..=pieces as u32 {
                if to - from < 1e-9 {
                    break;
                }
                let way = from + (to - from) * f64::from(piece) / pieces;
                points.push((along(k, way), (gone + way - from) / whole));
            }
            gone += to - from;
        }
        points
    }

    /// How much of a turn's rise is done at a share of its way.
    fn risen(&self, share: f64) -> f64 {
        // Faster and slower five times a turn, never falling.
        share - self.uneven * (TAU * 5.0 * share).sin() / (TAU * 5.0)
    }

    /// Draws it.
    #[must_use]
    pub fn sketched(&self, what: &str) -> Sketched {
        let mut sketch = Sketch::new(self.height);
        let round = self.round();
        let place = |layer: u32| match layer {
            0 => Place::First,
            1 => Place::Second,
            _ => Place::Above,
        };
        let at = |[x, y]: [f64; 2], turn: f64, scale: f64| {
            let scale = scale * (1.0 + self.grows * turn / 1000.0);
            let (sin, cos) = (self.twists * turn).to_radians().sin_cos();
            [110.0 + scale * (x * cos - y * sin), 110.0 + scale * (x * sin + y * cos)]
        };
        let mut z = 0.0;
        for layer in 0..self.base {
            z += self.height;
            sketch.place(place(layer));
            // From inside out, so that the outer wall leads on into the spiral.
            for ring in (0..5).rev() {
                let scale = 1.0 - 0.45 * f64::from(ring) / (self.radius * 0.5);
                let points: Vec<_> = round.iter().map(|(point, _)| at(*point, 0.0, scale)).collect();
                sketch.trace(&points, z);
            }
        }
        let begin = at(round[0].0, 0.0, 1.0);
        if self.base == 0 {
            // The first turn lies half a layer up in the mean.
            z = self.height / 2.0;
            sketch.go(begin, z);
        }
        for turn in 0..self.turns {
            if self.base + turn == 1 {
                sketch.fan();
            }
            for (point, share) in &round[1..] {
                let to = at(*point, f64::from(turn) + share, 1.0);
                let rises = z + self.height * self.risen(*share);
                // What the decimals make level at the spiral's begin still lies on the layer below.
                if um(rises) > um(z) || turn > 0 {
                    sketch.place(place(self.base + turn));
                }
                sketch.bead(to, rises);
            }
            z += self.height;
        }
        if self.level_end {
            for (point, share) in &round[1..] {
                sketch.bead(at(*point, f64::from(self.turns) + share, 1.0), z);
            }
        }
        let first_um = if self.base == 0 { self.height * 1500.0 } else { self.height * 1000.0 };
        let mut done =
            sketch.done(format!("{what}: {self:?}"), self.base + self.turns, first_um.round() as i32);
        if self.base == 0 {
            let shares = round.windows(2).map(|pair| pair[1].1 - pair[0].1);
            let rises = round.windows(2).map(|pair| self.risen(pair[1].1) - self.risen(pair[0].1));
            let most = |parts: &mut dyn Iterator<Item = f64>| parts.fold(0.0, f64::max);
            let apart = self.radius * (self.grows.abs() / 1000.0 + self.twists.abs().to_radians());
            done.expected.blur = Some(Blur {
                percent: (most(&mut shares.into_iter()) * 100.0).ceil() as i64,
                rise_um: um(most(&mut rises.into_iter()) * self.height),
                apart_um: um(apart),
            });
        }
        done
    }
}

/// A vase by the dice, at one of 36 orientations.
#[must_use]
pub fn vase(dice: &mut Dice, orientation: u32, clockwise: bool) -> Vase {
    let corners = 3 + dice.roll(38) as u32;
    let outline = match dice.roll(8) {
        0 | 1 => Outline::Corners(3 + dice.roll(4) as u32),
        2 => Outline::Corners(corners),
        3 | 4 => Outline::Star(3 + dice.roll(6) as u32, dice.between(0.3, 0.8)),
        5 => Outline::Star(corners.min(24), dice.between(0.75, 0.95)),
        6 => Outline::Pleats(corners, dice.between(1.0, 4.0)),
        _ => Outline::Rib(dice.between(0.5, 3.0)),
    };
    Vase {
        outline,
        // Pleats and points no nearer to each other than two lines are wide.
        radius: dice.between(22.0, 40.0),
        turned: f64::from(orientation) * 10.0,
        clockwise,
        base: [0, 1, 1, 1, 2, 3, 4][dice.roll(7)],
        turns: 4 + dice.roll(16) as u32,
        height: [0.15, 0.2, 0.2, 0.25][dice.roll(4)],
        bead: [0.0, 0.0, 0.7, 2.0, 5.0][dice.roll(5)],
        begins: [0.0, dice.between(0.0, 0.99)][dice.roll(2)],
        grows: [0.0, dice.between(-6.0, 6.0)][dice.roll(2)],
        twists: [0.0, 0.0, dice.between(-0.4, 0.4)][dice.roll(3)],
        uneven: [0.0, 0.0, dice.between(0.3, 0.9)][dice.roll(3)],
        level_end: dice.roll(4) == 0,
    }
}

/// One of each orientation, turning either way, `rounds` times.
#[must_use]
pub fn jobs(seed: u64, rounds: u32) -> Vec<Sketched> {
    let mut dice = Dice::new(seed);
    let mut jobs = Vec::new();
    for _ in 0..rounds {
        for orientation in 0..36 {
            for clockwise in [false, true] {
                jobs.push(vase(&mut dice, orientation, clockwise).sketched("vase"));
            }
        }
    }
    jobs
}
