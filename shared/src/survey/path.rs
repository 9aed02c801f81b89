//! A move as the time model takes it: its path's length and directions.

use crate::motion::{Arc, Move, hypot3};

use super::corner::FILAMENT_SHIFT;
use super::stretch::{Class, Stretch};

/// 1 in Q30.
const ONE: i32 = 1 << 30;

/// 1 in Q24, the time model's format of the filament's share.
const FEED_ONE: i32 = 1 << FILAMENT_SHIFT;

/// Division by a length: Δ / length in Q30, for |Δ| up to a little more than the length.
#[derive(Clone, Copy)]
struct Inverse {
    /// Left shift that gives the length its 32nd bit, or, negative, right shift that takes it below it.
    shift: i32,
    /// (2⁶³ − 1) / the shifted length.
    inverse: u32,
}

impl Inverse {
    /// For a length above 0.
    fn new(length: u64) -> Self {
        let shift = length.leading_zeros() as i32 - 32;
        let normal = shifted(length, shift).max(1 << 31);
        Self { shift, inverse: ((u64::MAX >> 1) / normal).min(u64::from(u32::MAX)) as u32 }
    }

    /// The share of `part` in the length, signed, Q30; held at the type's end.
    fn share(self, part: i64) -> i32 {
        let size = part.unsigned_abs();
        if size == 0 {
            return 0;
        }
        let fits = self.shift <= 0 || size.leading_zeros() as i32 >= self.shift;
        let normal = if fits { shifted(size, self.shift) } else { u64::MAX };
        let share = if normal >> 32 == 0 {
            (normal * u64::from(self.inverse)) >> 33
        } else if normal >> 33 == 0 {
            ((normal >> 2) * u64::from(self.inverse)) >> 31
        } else {
            i32::MAX as u64
        };
        let share = share.min(i32::MAX as u64) as i32;
        if part < 0 { -share } else { share }
    }

    /// The share of fed filament in the length, signed, Q24; held at the type's end.
    fn feed(self, part: i64) -> i32 {
        // As `share`, but 6 bits less and with room for many times the length. The shift is at most 32, so the
        // product, below 2⁹⁶, only ever moves right.
        let product = u128::from(part.unsigned_abs()) * u128::from(self.inverse);
        let share = (product >> (33 + 30 - FILAMENT_SHIFT as i32 - self.shift)).min(i32::MAX as u128) as i32;
        if part < 0 { -share } else { share }
    }
}

fn shifted(value: u64, shift: i32) -> u64 {
    if shift >= 0 { value << shift } else { value >> -shift }
}

/// A move's path.
pub(super) struct Path {
    pub(super) stretch: Stretch,
    /// Filament a path length, Q30, 0 unless it feeds forward while X, Y or Z moves.
    pub(super) ratio: u32,
    /// Whether X or Y moves.
    pub(super) in_plane: bool,
    /// Length in X and Y, nm (of an arc along it; of a rising line its own length, which is as good there).
    pub(super) plane_nm: u64,
}

/// The path of a move; `None` = nothing moves.
#[inline(always)]
pub(super) fn of(step: &Move) -> Option<Path> {
    if step.arc.is_some() { arc_path(step) } else { line_path(step) }
}

/// Directions of a line: its parts and its filament over its length, Q30.
#[inline(always)]
fn directions(delta: [i64; 3], feed_nm: i64, length_nm: u64) -> [i32; 4] {
    let inverse = Inverse::new(length_nm);
    let [dx, dy, dz] = delta;
    if length_nm >> 32 == 0 && feed_nm.unsigned_abs() < length_nm {
        // Up to 4 m, and less filament than path: all fit 32 bits once shifted.
        let short = |part: i64| {
            let share = (((part.unsigned_abs() << inverse.shift) * u64::from(inverse.inverse)) >> 33) as i32;
            if part < 0 { -share } else { share }
        };
        // On one axis alone it is 1, which the inverse misses by one unit.
        let along = |part: i64| match part.unsigned_abs() {
            0 => 0,
            size if size == length_nm => ONE * part.signum() as i32,
            _ => short(part),
        };
        return [along(dx), along(dy), along(dz), short(feed_nm)];
    }
    [dx, dy, dz, feed_nm].map(|part| inverse.share(part))
}

fn speed(step: &Move) -> u32 {
    // Before any feed word the machine's own limits hold alone.
    if step.speed_nm_s == 0 { u32::MAX } else { step.speed_nm_s }
}

#[inline(always)]
fn line_path(step: &Move) -> Option<Path> {
    let [x0, y0, z0] = step.from;
    let [x1, y1, z1] = step.to;
    let delta = [x1.saturating_sub(x0), y1.saturating_sub(y0), z1.saturating_sub(z0)];
    let [dx, dy, _] = delta;
    let length_nm = hypot3(delta);
    if length_nm == 0 {
        return filament_alone(step);
    }
    let in_plane = (dx | dy) != 0;
    let enter = directions(delta, step.feed_nm, length_nm);
    let class = if step.feed_nm > 0 { Class::Print } else { Class::Travel };
    let [x, y, z, ratio] = enter;
    // Where filament is less than path its Q30 share holds the Q24 one.
    let e = if step.feed_nm.unsigned_abs() < length_nm {
        ratio >> (30 - FILAMENT_SHIFT)
    } else {
        Inverse::new(length_nm).feed(step.feed_nm)
    };
    let enter = [x, y, z, e];
    Some(Path {
        ratio: ratio.max(0) as u32,
        in_plane,
        plane_nm: length_nm,
        stretch: Stretch {
            length_nm,
            enter,
            exit: enter,
            share: enter.map(i32::saturating_abs),
            feed_nm_s: speed(step),
            class,
            radius_nm: None,
        },
    })
}

#[inline(never)]
fn filament_alone(step: &Move) -> Option<Path> {
    if step.feed_nm == 0 {
        return None;
    }
    let e = if step.feed_nm < 0 { -FEED_ONE } else { FEED_ONE };
    Some(Path {
        ratio: 0,
        in_plane: false,
        plane_nm: 0,
        stretch: Stretch {
            length_nm: step.feed_nm.unsigned_abs(),
            enter: [0, 0, 0, e],
            exit: [0, 0, 0, e],
            share: [0, 0, 0, FEED_ONE],
            feed_nm_s: speed(step),
            class: Class::Retract,
            radius_nm: None,
        },
    })
}

#[inline(never)]
fn arc_path(step: &Move) -> Option<Path> {
    let arc: &Arc = step.arc.as_ref()?;
    let [.., z0] = step.from;
    let [.., z1] = step.to;
    let dz = z1.saturating_sub(z0);
    let plane_nm = arc.length_nm();
    let length_nm = hypot3([plane_nm as i64, 0, dz]);
    if length_nm == 0 {
        return filament_alone(step);
    }
    let inverse = Inverse::new(length_nm);
    let flat = inverse.share(plane_nm as i64);
    let (z, e) = (inverse.share(dz), inverse.feed(step.feed_nm));
    let round = Inverse::new(arc.radius_nm);
    let heading = |at: [i64; 2]| {
        let [x, y] = arc.heading(at).map(|part| {
            // Start and end may lie off the radius by what the file's rounding left.
            let share = i64::from(round.share(part).clamp(-ONE, ONE));
            ((share * i64::from(flat)) >> 30) as i32
        });
        [x, y, z, e]
    };
    let (enter, exit) = (heading(arc.start), heading(arc.end));
    let mut share = [0; 4];
    for ((share, a), b) in share.iter_mut().zip(enter).zip(exit) {
        *share = a.saturating_abs().max(b.saturating_abs());
    }
    for (share, along) in share.iter_mut().zip(arc.runs_along()) {
        if along {
            *share = flat;
        }
    }
    Some(Path {
        ratio: inverse.share(step.feed_nm).max(0) as u32,
        in_plane: plane_nm != 0,
        plane_nm,
        stretch: Stretch {
            length_nm,
            enter,
            exit,
            share,
            feed_nm_s: speed(step),
            class: if step.feed_nm > 0 { Class::Print } else { Class::Travel },
            radius_nm: Some(arc.radius_nm),
        },
    })
}
