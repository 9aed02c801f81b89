//! A slow, obvious survey of a whole file in exact decimals, to hold the real one against.
//!
//! Understands what the generator writes: words parted by blanks, comments behind `;`.

use std::collections::BTreeSet;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::reference_time::Leg;

/// What the reference finds. Lengths in mm.
#[derive(Clone, Debug, Default)]
pub struct Found {
    pub net: Decimal,
    pub highest_net: Decimal,
    pub forward: Decimal,
    /// Lowest and highest of all ends of moves and of the starts of beads, X Y Z.
    pub reached: Option<[[Decimal; 2]; 3]>,
    /// The same of beads, their starts too; arcs by their ends and, where they pass it, centre ± radius.
    pub printed: Option<[[Decimal; 2]; 3]>,
    /// Heights of level beads.
    pub planes: BTreeSet<Decimal>,
    pub moves: u32,
    pub arcs: u32,
    /// Path of all beads, mm, in binary floats.
    pub bead_path: f64,
    /// All moves in order, as the reference of the time model takes them; dwells, homing and waits are stops.
    pub legs: Vec<Leg>,
    /// Which of them begin a layer: the first level bead on another plane than the bead before.
    pub layers: Vec<usize>,
    /// Which of them are behind so much standing still, s.
    pub stills: Vec<(usize, f64)>,
}

impl Found {
    /// When each leg ends, s, from how long each takes and how long a homing does.
    #[must_use]
    pub fn ends(&self, leg_s: &[f64]) -> Vec<f64> {
        let mut stills = self.stills.iter().peekable();
        let mut now = 0.0;
        let mut ends = Vec::new();
        for (index, leg) in leg_s.iter().enumerate() {
            while let Some((_, still)) = stills.next_if(|(before, _)| *before <= index) {
                now += still;
            }
            now += leg;
            ends.push(now);
        }
        ends
    }
}

fn grow(bounds: &mut Option<[[Decimal; 2]; 3]>, point: [Decimal; 3]) {
    let bounds = bounds.get_or_insert(point.map(|value| [value, value]));
    for (axis, value) in bounds.iter_mut().zip(point) {
        axis[0] = axis[0].min(value);
        axis[1] = axis[1].max(value);
    }
}

fn float(value: Decimal) -> f64 {
    value.to_f64().expect("a length")
}

/// Nanometres of a decimal in mm, which must be whole.
#[must_use]
pub fn nm(mm: Decimal) -> i64 {
    let nm = mm * Decimal::from(1_000_000);
    nm.round_dp(0).to_i64().expect("a length")
}

/// Surveys the text, on a machine whose homing takes `home_s`.
#[must_use]
pub fn survey(text: &str, home_s: f64) -> Found {
    let mut found = Found::default();
    // mm/s
    let mut feed = 0.0;
    let mut stopped = true;
    let mut plane = None;
    let mut at = [Decimal::ZERO; 3];
    let mut offset = [Decimal::ZERO; 3];
    let mut e = Decimal::ZERO;
    let (mut relative, mut relative_feed, mut unit) = (false, false, Decimal::ONE);
    for line in text.lines() {
        let line = line.split(';').next().expect("a first part");
        let words: Vec<(char, Option<Decimal>)> = line
            .split_whitespace()
            .map(|word| (word.chars().next().expect("a letter"), word[1..].parse().ok()))
            .collect();
        let Some((letter, Some(number))) = words.first() else { continue };
        let code = number.to_u32().expect("a code");
        let of = |name: char| words.iter().skip(1).find(|(l, _)| *l == name).and_then(|(_, v)| *v);
        if let (Some(value), 'G') = (of('F'), letter) {
            feed = float(value * unit) / 60.0;
        }
        match (letter, code) {
            ('G', 0..=3) => {
                let mut to = at;
                for (axis, name) in ['X', 'Y', 'Z'].into_iter().enumerate() {
                    if let Some(value) = of(name) {
                        to[axis] =
                            if relative { at[axis] + value * unit } else { value * unit + offset[axis] };
                    }
                }
                let mut fed = Decimal::ZERO;
                if let Some(value) = of('E') {
                    fed = if relative_feed { value * unit } else { value * unit - e };
                    e = if relative_feed { e + fed } else { value * unit };
                }
                found.net += fed;
                found.highest_net = found.highest_net.max(found.net);
                found.forward += fed.max(Decimal::ZERO);
                let moved = to != at || code > 1;
                if moved || fed != Decimal::ZERO {
                    found.moves += 1;
                }
                if !moved && fed != Decimal::ZERO {
                    let leg = Leg { after_stop: stopped, ..Leg::line([0.0, 0.0, 0.0, float(fed)], feed) };
                    found.legs.push(leg);
                    stopped = false;
                }
                if moved {
                    let [x, y, z] = [0, 1, 2].map(|axis| float(to[axis] - at[axis]));
                    let mut leg = Leg::line([x, y, z, float(fed)], feed);
                    if fed > Decimal::ZERO && at[2] == to[2] && plane != Some(to[2]) {
                        plane = Some(to[2]);
                        found.layers.push(found.legs.len());
                    }
                    grow(&mut found.reached, to);
                    let mut length = (0..3).map(|k| float(to[k] - at[k]).powi(2)).sum::<f64>().sqrt();
                    let mut turns = Vec::new();
                    if code > 1 {
                        found.arcs += 1;
                        let centre = [
                            at[0] + of('I').unwrap_or_default() * unit,
                            at[1] + of('J').unwrap_or_default() * unit,
                        ];
                        let (sweep, passed) = arc(at, to, centre, code == 3);
                        let r = float(centre[0] - at[0]).hypot(float(centre[1] - at[1]));
                        length = (r * sweep).hypot(float(to[2] - at[2]));
                        // The generator writes level arcs counter-clockwise only.
                        assert!(
                            code == 3 && at[2] == to[2],
                            "an arc that the reference does not know: {line}"
                        );
                        let from = float(at[1] - centre[1]).atan2(float(at[0] - centre[0]));
                        leg = Leg::arc(r, from, sweep, float(fed), feed);
                        let r = Decimal::from_f64_retain(r).expect("a radius");
                        turns.extend(passed.into_iter().map(|k| match k {
                            0 => [centre[0] + r, centre[1], to[2]],
                            1 => [centre[0], centre[1] + r, to[2]],
                            2 => [centre[0] - r, centre[1], to[2]],
                            _ => [centre[0], centre[1] - r, to[2]],
                        }));
                    }
                    found.legs.push(Leg { after_stop: stopped, ..leg });
                    stopped = false;
                    turns.iter().for_each(|point| grow(&mut found.reached, *point));
                    if fed > Decimal::ZERO {
                        grow(&mut found.reached, at);
                        for point in turns.iter().chain([&at, &to]) {
                            grow(&mut found.printed, *point);
                        }
                        let in_plane = to[..2] != at[..2] || code > 1;
                        if in_plane {
                            found.bead_path += length;
                            if to[2] == at[2] {
                                found.planes.insert(to[2]);
                            }
                        }
                    }
                }
                at = to;
            }
            ('G', 20) => unit = Decimal::new(254, 1),
            ('G', 21) => unit = Decimal::ONE,
            ('G', 4) => {
                let still = of('P').map_or(0.0, float) / 1000.0 + of('S').map_or(0.0, float);
                found.stills.push((found.legs.len(), still));
                stopped = true;
            }
            // Waits take no time on a sheet without heaters.
            ('M', 109 | 190) => stopped = true,
            ('G', 28) => {
                found.stills.push((found.legs.len(), home_s));
                stopped = true;
                at = [Decimal::ZERO; 3];
                offset = at;
            }
            ('G', 90) => relative = false,
            ('G', 91) => relative = true,
            ('G', 92) => {
                for (axis, name) in ['X', 'Y', 'Z'].into_iter().enumerate() {
                    if let Some(value) = of(name) {
                        offset[axis] = at[axis] - value * unit;
                    }
                }
                if let Some(value) = of('E') {
                    e = value * unit;
                }
            }
            ('M', 82) => relative_feed = false,
            ('M', 83) => relative_feed = true,
            _ => {}
        }
    }
    found
}

/// Angle swept and the directions passed (0 = +X, 1 = +Y, 2 = −X, 3 = −Y), by angles in binary floats.
fn arc(from: [Decimal; 3], to: [Decimal; 3], centre: [Decimal; 2], counter: bool) -> (f64, Vec<usize>) {
    use std::f64::consts::{FRAC_PI_2, TAU};
    let angle = |p: [Decimal; 3]| float(p[1] - centre[1]).atan2(float(p[0] - centre[0]));
    let (first, last) = if counter { (angle(from), angle(to)) } else { (angle(to), angle(from)) };
    let mut sweep = (last - first).rem_euclid(TAU);
    if from[..2] == to[..2] {
        sweep = TAU;
    }
    let passed = (0..4).filter(|k| (*k as f64 * FRAC_PI_2 - first).rem_euclid(TAU) < sweep).collect();
    (sweep, passed)
}
