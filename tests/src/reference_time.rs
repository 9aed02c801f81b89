//! The time model of the survey once more, slow and plain in `f64`, to hold the device's whole numbers against.
//!
//! It shares nothing with the core but the types of its input. Units are mm and s.

use holdpoint_shared::records::Corner;
use holdpoint_shared::survey::{Class, ClockLimits, Stretch};

/// One move: what is known of it without limits.
#[derive(Clone, Copy, Debug)]
pub struct Leg {
    /// mm along the path, or of filament where nothing else moves.
    pub length: f64,
    /// Change of X Y Z E a mm of path at the start.
    pub enter: [f64; 4],
    /// The same at the end.
    pub exit: [f64; 4],
    /// The greatest share of each axis along the way.
    pub share: [f64; 4],
    /// mm/s.
    pub feed: f64,
    /// Which acceleration it takes.
    pub class: Class,
    /// mm, of an arc.
    pub radius: Option<f64>,
    /// Whether the machine stands still before it.
    pub after_stop: bool,
}

impl Leg {
    /// A straight move by `delta` mm of X Y Z E.
    #[must_use]
    pub fn line(delta: [f64; 4], feed: f64) -> Self {
        let [x, y, z, e] = delta;
        let in_space = (x * x + y * y + z * z).sqrt();
        let (length, class) = if in_space == 0.0 {
            (e.abs(), Class::Retract)
        } else if e > 0.0 {
            (in_space, Class::Print)
        } else {
            (in_space, Class::Travel)
        };
        let direction = delta.map(|axis| axis / length);
        let share = direction.map(f64::abs);
        Self {
            length,
            enter: direction,
            exit: direction,
            share,
            feed,
            class,
            radius: None,
            after_stop: false,
        }
    }

    /// A counter-clockwise arc in the XY plane from the angle `from` over `sweep` radians.
    #[must_use]
    pub fn arc(radius: f64, from: f64, sweep: f64, extrusion: f64, feed: f64) -> Self {
        let length = radius * sweep;
        let tangent = |angle: f64| [-angle.sin(), angle.cos(), 0.0, extrusion / length];
        Self {
            length,
            enter: tangent(from),
            exit: tangent(from + sweep),
            share: [1.0, 1.0, 0.0, (extrusion / length).abs()],
            feed,
            class: if extrusion > 0.0 { Class::Print } else { Class::Travel },
            radius: Some(radius),
            after_stop: false,
        }
    }

    /// The move as the core takes it.
    #[must_use]
    pub fn stretch(&self) -> Stretch {
        let fixed = |[x, y, z, e]: [f64; 4]| {
            let q = |part: f64, places: u32| (part * f64::from(1 << places)).round() as i32;
            [q(x, 30), q(y, 30), q(z, 30), q(e, 24)]
        };
        Stretch {
            length_nm: (self.length * 1e6).round() as u64,
            enter: fixed(self.enter),
            exit: fixed(self.exit),
            share: fixed(self.share),
            feed_nm_s: (self.feed * 1e6).round() as u32,
            class: self.class,
            radius_nm: self.radius.map(|radius| (radius * 1e6).round() as u64),
        }
    }
}

/// A leg with its limits applied. Squares of speeds are (mm/s)².
#[derive(Clone, Copy, Debug)]
struct Bounded {
    length: f64,
    accel: f64,
    cap_square: f64,
    /// Square of the corner speed at its start.
    corner_square: f64,
}

fn milli(micro: u32) -> f64 {
    f64::from(micro) * 1e-3
}

fn bounded(legs: &[Leg], limits: &ClockLimits) -> Vec<Bounded> {
    let mut list: Vec<Bounded> = Vec::new();
    for (i, leg) in legs.iter().enumerate() {
        let mut accel = milli(match leg.class {
            Class::Print => limits.print_accel_um_s2,
            Class::Travel => limits.travel_accel_um_s2,
            Class::Retract => limits.retract_accel_um_s2,
        });
        let mut cap = leg.feed;
        for axis in 0..4 {
            if leg.share[axis] > 0.0 {
                accel = accel.min(milli(limits.max_accel_um_s2[axis]) / leg.share[axis]);
                cap = cap.min(milli(limits.max_speed_um_s[axis]) / leg.share[axis]);
            }
        }
        if let Some(radius) = leg.radius {
            cap = cap.min((accel * radius).sqrt());
        }
        let corner_square = match list.last() {
            Some(before) if !leg.after_stop => {
                corner_square(&legs[i - 1], leg, before.accel.min(accel), limits)
                    .min(before.cap_square)
                    .min(cap * cap)
            }
            _ => 0.0,
        };
        list.push(Bounded { length: leg.length, accel, cap_square: cap * cap, corner_square });
    }
    list
}

fn corner_square(before: &Leg, leg: &Leg, accel: f64, limits: &ClockLimits) -> f64 {
    let (u, w) = (before.exit, leg.enter);
    match limits.corner {
        Corner::AxisStep(steps) => (0..4)
            .filter(|&axis| w[axis] != u[axis])
            .map(|axis| (milli(steps[axis]) / (w[axis] - u[axis]).abs()).powi(2))
            .fold(f64::INFINITY, f64::min),
        Corner::Deviation(deviation_um) => {
            let alone = |leg: &Leg| leg.class == Class::Retract;
            let axes = match (alone(before), alone(leg)) {
                (false, false) => 0..3,
                (true, true) => 3..4,
                _ => 0..0,
            };
            // Half the sum of two unit vectors is as long as the cosine of half the turn, which is sin(θ/2); half
            // their difference as the sine of half the turn, so that 1 − s = h²/(1 + s).
            let half = |sign: f64| {
                axes.clone().map(|axis| ((w[axis] + sign * u[axis]) / 2.0).powi(2)).sum::<f64>().sqrt()
            };
            let (s, h) =
                if axes.is_empty() { (0.5_f64.sqrt(), 0.5_f64.sqrt()) } else { (half(1.0), half(-1.0)) };
            if h == 0.0 { f64::INFINITY } else { accel * milli(deviation_um) * s * (1.0 + s) / (h * h) }
        }
    }
}

/// Squares of the speeds at the ends of `moves`, from `entry_square` to rest: backward pass, then forward pass.
fn plan(moves: &[Bounded], entry_square: f64) -> Vec<f64> {
    let mut squares: Vec<f64> = moves.iter().map(|each| each.corner_square).collect();
    squares.push(0.0);
    squares[0] = entry_square;
    for i in (1..moves.len()).rev() {
        squares[i] = squares[i].min(squares[i + 1] + 2.0 * moves[i].accel * moves[i].length);
    }
    for i in 0..moves.len() {
        squares[i + 1] = squares[i + 1].min(squares[i] + 2.0 * moves[i].accel * moves[i].length);
    }
    squares
}

fn seconds(each: &Bounded, from_square: f64, to_square: f64) -> f64 {
    let peak_square = each.cap_square.min((from_square + to_square) / 2.0 + each.accel * each.length);
    let (from, to, peak) = (from_square.sqrt(), to_square.sqrt(), peak_square.sqrt());
    let (up, down) =
        ((peak_square - from_square) / (2.0 * each.accel), (peak_square - to_square) / (2.0 * each.accel));
    // Each phase as length over mean speed, which does not cancel where the speed hardly changes.
    let cruise = (each.length - up - down).max(0.0);
    2.0 * up / (from + peak) + cruise / peak + 2.0 * down / (to + peak)
}

/// Part of a leg with an even acceleration: seconds, speed at its begin and at its end, mm/s.
pub type Phase = [f64; 3];

fn phases(each: &Bounded, from_square: f64, to_square: f64) -> [Phase; 3] {
    let peak_square = each.cap_square.min((from_square + to_square) / 2.0 + each.accel * each.length);
    let (from, to, peak) = (from_square.sqrt(), to_square.sqrt(), peak_square.sqrt());
    let (up, down) =
        ((peak_square - from_square) / (2.0 * each.accel), (peak_square - to_square) / (2.0 * each.accel));
    let cruise = (each.length - up - down).max(0.0);
    [
        [2.0 * up / (from + peak), from, peak],
        [cruise / peak, peak, peak],
        [2.0 * down / (to + peak), peak, to],
    ]
}

/// The phases of each leg when a buffer holds `look_ahead` moves.
#[must_use]
pub fn buffered_phases(legs: &[Leg], limits: &ClockLimits, look_ahead: usize) -> Vec<[Phase; 3]> {
    let moves = bounded(legs, limits);
    let mut entry_square = 0.0;
    (0..moves.len())
        .map(|i| {
            let squares = plan(&moves[i..moves.len().min(i + look_ahead)], entry_square);
            entry_square = squares[1];
            phases(&moves[i], squares[0], squares[1])
        })
        .collect()
}

/// Seconds of each leg when every later move is known.
#[must_use]
pub fn unbounded(legs: &[Leg], limits: &ClockLimits) -> Vec<f64> {
    let moves = bounded(legs, limits);
    let squares = plan(&moves, 0.0);
    moves.iter().enumerate().map(|(i, each)| seconds(each, squares[i], squares[i + 1])).collect()
}

/// Seconds of each leg when a buffer holds `look_ahead` moves: as a controller would, the whole buffer is planned
/// anew for each move that leaves it.
#[must_use]
pub fn buffered(legs: &[Leg], limits: &ClockLimits, look_ahead: usize) -> Vec<f64> {
    let moves = bounded(legs, limits);
    let mut entry_square = 0.0;
    (0..moves.len())
        .map(|i| {
            let squares = plan(&moves[i..moves.len().min(i + look_ahead)], entry_square);
            let time = seconds(&moves[i], squares[0], squares[1]);
            entry_square = squares[1];
            time
        })
        .collect()
}
