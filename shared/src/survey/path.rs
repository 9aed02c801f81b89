//! A move as the time model takes it: its path's length and directions.

use crate::motion::{Arc, Move, hypot3, length};

use super::corner::FILAMENT_SHIFT;
use super::stretch::{Class, Stretch};
use crate::units::mul_div;

/// 1 in Q30.
const ONE: i32 = 1 << 30;

/// 1 in Q24, the time model's format of the filament's share.
const FEED_ONE: i32 = 1 << FILAMENT_SHIFT;

/// A ratio that Q30 does not hold: 2 and more.
pub(super) const STEEP_RATIO: u32 = i32::MAX as u32;

/// Filament over length from which on Q24 does not hold it.
const STEEPEST: u64 = 127;

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
        Self { shift, inverse: reciprocal(shifted(length, shift) as u32 | 1 << 31) }
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

    /// The share of fed filament in the length, signed, Q24; held at the type's end. For the rare move that feeds
    /// more than it travels: elsewhere the Q30 share is shifted.
    #[cold]
    fn feed(self, part: i64) -> i32 {
        // As `share`, but 6 bits less and with room for many times the length. The shift is at most 32, so the
        // product, below 2⁹⁶, only ever moves right.
        let product = u128::from(part.unsigned_abs()) * u128::from(self.inverse);
        let share = (product >> (33 + 30 - FILAMENT_SHIFT as i32 - self.shift)).min(i32::MAX as u128) as i32;
        if part < 0 { -share } else { share }
    }
}

/// The filament's share of a length in the time model's format, from the same in Q30.
#[inline(always)]
fn filament_share(share: i32, feed_nm: i64, length_nm: u64) -> i32 {
    if feed_nm.unsigned_abs() < length_nm {
        share >> (30 - FILAMENT_SHIFT)
    } else {
        Inverse::new(length_nm).feed(feed_nm)
    }
}

/// How far [`reciprocal`] is from the exact one at most.
const RECIPROCAL_ERROR: u32 = 32;

/// 2⁶³ over a number that has its 32nd bit set, good to 2⁻²⁷: a 32-bit division, which the board has an instruction
/// for, and one step of Newton's iteration y ← y (2 − n y).
fn reciprocal(number: u32) -> u32 {
    let start = (u32::MAX / (number >> 16)) << 15;
    let rest = (1_u64 << 63).wrapping_sub(u64::from(number) * u64::from(start)) as i64;
    let better = i64::from(start) + ((i64::from(start) * (rest >> 32)) >> 31);
    better.clamp(0, i64::from(u32::MAX)) as u32
}

fn shifted(value: u64, shift: i32) -> u64 {
    if shift >= 0 { value << shift } else { value >> -shift }
}

/// A move's path.
#[derive(Clone, Debug)]
pub(super) struct Path {
    pub(super) stretch: Stretch,
    /// Filament a path length, Q30, 0 unless it feeds forward while X, Y or Z moves.
    pub(super) ratio: u32,
    /// Whether X or Y moves.
    pub(super) in_plane: bool,
    /// Length in X and Y, nm (of an arc along it; of a rising line its own length, which is as good there).
    pub(super) plane_nm: u64,
}

impl Path {
    /// No path yet.
    pub(super) const fn empty() -> Self {
        Self {
            stretch: Stretch {
                length_nm: 0,
                enter: [0; 4],
                exit: [0; 4],
                share: [0; 4],
                feed_nm_s: 0,
                class: Class::Travel,
                radius_nm: None,
            },
            ratio: 0,
            in_plane: false,
            plane_nm: 0,
        }
    }

    /// Becomes the path of a move; gives whether anything moves. In place, since copying it costs more than making
    /// it.
    #[inline(always)]
    pub(super) fn become_of(&mut self, step: &Move) -> bool {
        match &step.arc {
            Some(arc) => self.arc(step, arc),
            None => self.line(step),
        }
    }

    #[inline(always)]
    fn line(&mut self, step: &Move) -> bool {
        let [x0, y0, z0] = step.from;
        let [x1, y1, z1] = step.to;
        // Positions stay below 2⁶², see the modal state: no difference overflows.
        let delta = [apart(x1, x0), apart(y1, y0), apart(z1, z0)];
        let [dx, dy, _] = delta;
        let (length_nm, inverse) = length(delta);
        if length_nm == 0 {
            return self.filament_alone(step);
        }
        if step.feed_nm.unsigned_abs() >= length_nm && step.feed_nm.unsigned_abs() / STEEPEST >= length_nm {
            return self.steep_line(step, (dx | dy) != 0, length_nm);
        }
        let ([x, y, z, e], ratio) = directions(delta, step.feed_nm, length_nm, inverse);
        let stretch = &mut self.stretch;
        stretch.length_nm = length_nm;
        stretch.enter = [x, y, z, e];
        stretch.exit = [x, y, z, e];
        stretch.share = [x, y, z, e];
        stretch.feed_nm_s = speed(step);
        stretch.class = if step.feed_nm > 0 { Class::Print } else { Class::Travel };
        stretch.radius_nm = None;
        self.ratio = ratio.max(0) as u32;
        self.in_plane = (dx | dy) != 0;
        self.plane_nm = length_nm;
        true
    }

    #[inline(never)]
    fn filament_alone(&mut self, step: &Move) -> bool {
        let e = if step.feed_nm < 0 { -FEED_ONE } else { FEED_ONE };
        self.stretch = Stretch {
            length_nm: step.feed_nm.unsigned_abs(),
            enter: [0, 0, 0, e],
            exit: [0, 0, 0, e],
            share: [0, 0, 0, FEED_ONE],
            feed_nm_s: speed(step),
            class: Class::Retract,
            radius_nm: None,
        };
        (self.ratio, self.in_plane, self.plane_nm) = (0, false, 0);
        step.feed_nm != 0
    }

    /// Filament over the length that is timed, in the time model's format.
    pub(super) const fn steep(&self) -> u32 {
        let [.., e] = self.stretch.enter;
        e.unsigned_abs()
    }

    /// A line that feeds more than the format of a direction holds: timed as a longer one that it does hold. What bounds
    /// such a move is the filament alone, which goes as far and as fast.
    #[cold]
    fn steep_line(&mut self, step: &Move, in_plane: bool, length_nm: u64) -> bool {
        self.filament_alone(step);
        let stretch = &mut self.stretch;
        stretch.length_nm /= STEEPEST;
        let along = mul_div(u64::from(stretch.feed_nm_s), stretch.length_nm, length_nm);
        stretch.feed_nm_s = along.and_then(|speed| u32::try_from(speed).ok()).unwrap_or(u32::MAX);
        for [.., e] in [&mut stretch.enter, &mut stretch.exit, &mut stretch.share] {
            *e *= STEEPEST as i32;
        }
        (stretch.class, self.ratio) =
            if step.feed_nm > 0 { (Class::Print, STEEP_RATIO) } else { (Class::Travel, 0) };
        (self.in_plane, self.plane_nm) = (in_plane, length_nm);
        true
    }

    #[inline(never)]
    fn arc(&mut self, step: &Move, arc: &Arc) -> bool {
        let [.., z0] = step.from;
        let [.., z1] = step.to;
        let dz = z1.saturating_sub(z0);
        let plane_nm = arc.length_nm();
        let length_nm = hypot3([plane_nm as i64, 0, dz]);
        if length_nm == 0 {
            return self.filament_alone(step);
        }
        let inverse = Inverse::new(length_nm);
        let flat = inverse.share(plane_nm as i64);
        let (z, ratio) = (inverse.share(dz), inverse.share(step.feed_nm));
        let e = filament_share(ratio, step.feed_nm, length_nm);
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
        self.stretch = Stretch {
            length_nm,
            enter,
            exit,
            share,
            feed_nm_s: speed(step),
            class: if step.feed_nm > 0 { Class::Print } else { Class::Travel },
            radius_nm: Some(arc.radius_nm),
        };
        (self.ratio, self.in_plane, self.plane_nm) = (ratio.max(0) as u32, plane_nm != 0, plane_nm);
        true
    }
}

/// The way from one position to another, which no overflow cuts short.
#[inline(always)]
fn apart(to: i64, from: i64) -> i64 {
    if usize::BITS > 32 {
        // Wrapping, the compiler would take X and Y together into a vector register, from which what follows has to
        // fetch them one by one.
        to.checked_sub(from).unwrap_or(0)
    } else {
        to.wrapping_sub(from)
    }
}

/// Directions of a line in the time model's format, and its filament over its length in Q30.
#[inline(always)]
fn directions(delta: [i64; 3], feed_nm: i64, length_nm: u64, inverse: u32) -> ([i32; 4], i32) {
    let [dx, dy, dz] = delta;
    if length_nm >> 32 != 0 || feed_nm.unsigned_abs() >= length_nm {
        return far_directions(delta, feed_nm, length_nm);
    }
    // Up to 4 m, and less filament than path: all fit 32 bits once shifted.
    let length = length_nm as u32;
    let shift = length.leading_zeros() & 31;
    let inverse = if inverse == 0 {
        // Along an axis. Not too small, so that the axis's share comes out as 1.
        reciprocal(length << shift | 1 << 31).saturating_add(RECIPROCAL_ERROR)
    } else {
        inverse
    };
    let shares = (inverse, shift);
    let ratio = short(feed_nm, shares);
    let [x, y] = [short(dx, shares), short(dy, shares)];
    // Nearly always level.
    let z = if dz == 0 { 0 } else { short(dz, shares) };
    ([x, y, z, ratio >> (30 - FILAMENT_SHIFT)], ratio)
}

#[cold]
fn far_directions(delta: [i64; 3], feed_nm: i64, length_nm: u64) -> ([i32; 4], i32) {
    let inverse = Inverse::new(length_nm);
    let [x, y, z] = delta.map(|part| inverse.share(part));
    let ratio = inverse.share(feed_nm);
    ([x, y, z, filament_share(ratio, feed_nm, length_nm)], ratio)
}

/// A part's share of a length that is no shorter, signed, Q30; the length's inverse with its shift.
#[inline(always)]
fn short(part: i64, (inverse, shift): (u32, u32)) -> i32 {
    // 0 or −1, for taking a sign off and putting it back.
    let sign = (part >> 32) as i32 >> 31;
    let size = (part as u32 ^ sign as u32).wrapping_sub(sign as u32);
    let share = ((u64::from(size << shift) * u64::from(inverse)) >> 33).min(ONE as u64) as i32;
    (share ^ sign).wrapping_sub(sign)
}

fn speed(step: &Move) -> u32 {
    // Before any feed word the machine's own limits hold alone.
    if step.speed_nm_s == 0 { u32::MAX } else { step.speed_nm_s }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// By hand: 4 mm of filament over 100 mm are 0.04; 30 mm over 10 mm are 3; a length over itself is 1.
    #[test]
    fn the_filaments_share_is_in_the_time_models_format() {
        for (length_mm, feed_mm, share) in
            [(100, 4, 0.04), (10, 30, 3.0), (7, 7, 1.0), (100, -4, -0.04), (200, 0, 0.0)]
        {
            let (length, feed) = (length_mm * 1_000_000, feed_mm * 1_000_000);
            let step = Move { to: [length, 0, 0], feed_nm: feed, ..Move::default() };
            let mut path = Path::empty();
            assert!(path.become_of(&step));
            let got = f64::from(path.stretch.enter[3]) / f64::from(FEED_ONE);
            assert!((got - share).abs() < 1e-6, "{feed_mm} over {length_mm}: {got}");
        }
        assert_eq!(Inverse::new(1).feed(i64::MAX), i32::MAX);
    }

    proptest! {
        #[test]
        fn shares_of_a_length(length in 1_u64..1 << 45, part in any::<i64>()) {
            let part = part % (2 * length as i64);
            let exact = (i128::from(part) << 30) / i128::from(length);
            let share = i128::from(Inverse::new(length).share(part));
            prop_assert!((share - exact).abs() <= 24, "{part} of {length}: {share}, not {exact}");
        }

        #[test]
        fn reciprocals(number in 1_u32 << 31..=u32::MAX) {
            let exact = (1_u64 << 63) / u64::from(number);
            let found = u64::from(reciprocal(number));
            prop_assert!(found.abs_diff(exact) < u64::from(RECIPROCAL_ERROR), "{number}: {found}, not {exact}");
        }

        /// A line's directions have length 1.
        #[test]
        fn unit_vectors(delta in proptest::array::uniform3(-300_000_000_i64..300_000_000), feed in -9_000_000_i64..9_000_000) {
            let step = Move { to: delta, feed_nm: feed, ..Move::default() };
            let mut path = Path::empty();
            prop_assume!(delta != [0; 3]);
            prop_assert!(path.become_of(&step));
            let [x, y, z, _] = path.stretch.enter.map(|part| f64::from(part) / f64::from(ONE));
            let [.., e] = path.stretch.enter.map(|part| f64::from(part) / f64::from(FEED_ONE));
            let length = delta.iter().map(|d| (*d as f64).powi(2)).sum::<f64>().sqrt();
            prop_assert!((x - delta[0] as f64 / length).abs() < 1e-7 + 1.0 / length);
            prop_assert!((x * x + y * y + z * z - 1.0).abs() < 4e-7 + 4.0 / length);
            let ratio = (feed as f64 / length).clamp(-127.9, 127.9);
            prop_assert!((e.clamp(-127.9, 127.9) - ratio).abs() < 2e-7 + ratio.abs() * (1e-7 + 4.0 / length));
        }
    }
}
