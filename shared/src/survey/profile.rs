//! The closed-form time of one move between two known speeds: a trapezoid or a triangle.

use super::fixed_point::{Divisor, INVERSE_SHIFT, root, square};
use super::stretch::SettledMove;

/// What a move needs for its profile.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct MoveSpan {
    /// Path length, nm.
    pub(super) length_nm: u64,
    /// 2·a·d as a square, at most twice the square of `cap`.
    pub(super) reach: u64,
    /// Highest speed, nm/s, at least 1.
    pub(super) cap: u32,
    /// Time for 1 nm/s of speed, 2⁻²⁵ ns.
    pub(super) inverse: u32,
}

/// A speed at an end of a move, with its square.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct EndSpeed {
    /// nm/s.
    pub(super) speed: u32,
    /// The exact square; `speed` is its root to the nearest.
    pub(super) square: u64,
}

/// Lengths up to this (8.6 m) go into one division: 10⁹ · 2³³ · 2 is below 2⁶⁴.
const PIECE_SHIFT: u32 = 33;
const NS: u64 = 1_000_000_000;

/// Time and peak speed of the fastest profile over `span` from `from` to `to`.
///
/// Textbook kinematics: the peak's square is (v₀²+v₁²)/2 + a·d, at most the cap's. With the cap reached
/// T = (d + ((v−v₀)² + (v−v₁)²) / 2a) / v, in which no two large numbers cancel; else T = ((v−v₀) + (v−v₁)) / a.
#[cfg_attr(target_pointer_width = "64", inline(always))]
pub(super) fn settle(span: &MoveSpan, from: EndSpeed, to: EndSpeed, divisor: &mut Divisor) -> SettledMove {
    let peak_square = (from.square + to.square + span.reach) >> 1;
    if square(span.cap) <= peak_square {
        if divisor.speed() != span.cap {
            *divisor = Divisor::new(span.cap);
        }
        let peak_nm_s = span.cap;
        // Each is 0 where it begins or ends at the highest speed, as in the midst of a long wall.
        let [up, down] = [peak_nm_s.saturating_sub(from.speed), peak_nm_s.saturating_sub(to.speed)];
        let duration_ns = cruise_ns(span, up, down, divisor);
        let ramp_ns = if up | down == 0 { 0 } else { ramps_ns(span, up, down) };
        SettledMove { duration_ns, ramp_ns, peak_nm_s, exit_nm_s: to.speed }
    } else {
        let peak = if peak_square == to.square {
            to.speed
        } else if peak_square == from.square {
            from.speed
        } else {
            root(peak_square)
        };
        let ramp_ns = ramps_ns(span, peak.saturating_sub(from.speed), peak.saturating_sub(to.speed));
        SettledMove { duration_ns: ramp_ns, ramp_ns, peak_nm_s: peak, exit_nm_s: to.speed }
    }
}

/// Time of speeding up and slowing down by so many nm/s, ns.
#[inline(always)]
fn ramps_ns(span: &MoveSpan, up: u32, down: u32) -> u64 {
    let inverse = u64::from(span.inverse);
    let (up, down) = (u64::from(up) * inverse, u64::from(down) * inverse);
    // Each is below 2⁶⁴; their sum is halved before it could pass that.
    let sum = (up >> 1) + (down >> 1);
    let half = 1 << (INVERSE_SHIFT - 2);
    sum.saturating_add(half) >> (INVERSE_SHIFT - 1)
}

/// Time of a move that comes to its highest speed, which is by so many nm/s above those at its ends, ns.
#[inline(always)]
fn cruise_ns(span: &MoveSpan, up: u32, down: u32, divisor: &Divisor) -> u64 {
    let pieces = span.length_nm >> PIECE_SHIFT;
    let rest = span.length_nm & ((1 << PIECE_SHIFT) - 1);
    let mut number = rest * NS;
    if up | down != 0 {
        let (up, down) = (u64::from(up), u64::from(down));
        // Half of the squares' sum, so that it stays below 2⁶⁴; · inverse / 2²⁶ · 2 in two 32-bit halves.
        let half = ((up * up) >> 1) + ((down * down) >> 1);
        let inverse = u64::from(span.inverse);
        let high = ((half >> 32) * inverse).saturating_mul(1 << (32 - INVERSE_SHIFT));
        let low = ((half & 0xFFFF_FFFF) * inverse) >> INVERSE_SHIFT;
        number = number.saturating_add(high).saturating_add(low);
    }
    let time = divisor.divide(number);
    if pieces == 0 {
        time
    } else {
        time.saturating_add(pieces.saturating_mul(divisor.divide(NS << PIECE_SHIFT)))
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixed_point::{Acceleration, um_s};
    use super::*;

    /// Length mm, cap mm/s, acceleration mm/s², end speeds mm/s.
    fn timed(length: f64, cap: f64, accel: f64, ends: [f64; 2]) -> SettledMove {
        let cap = (cap * 1e6).round() as u32;
        let length_nm = (length * 1e6).round() as u64;
        let acceleration = Acceleration::new((accel * 1e3).round() as u32);
        let reach = acceleration.reach_over(length_nm, square(cap) << 1);
        let [from, to] = ends.map(|speed| {
            let speed = (speed * 1e6).round() as u32;
            EndSpeed { speed, square: square(speed) }
        });
        settle(
            &MoveSpan { length_nm, reach, cap, inverse: acceleration.inverse },
            from,
            to,
            &mut Divisor::new(1),
        )
    }

    fn seconds(settled: SettledMove) -> f64 {
        settled.duration_ns as f64 * 1e-9
    }

    /// Elementary kinematics: s ≥ v²/a: T = s/v + v/a, else v_p = √(a·s), T = 2·√(s/a).
    #[test]
    fn from_rest_to_rest() {
        // s mm, v mm/s, a mm/s², peak mm/s, T s
        for (s, v, a, peak, t) in [
            (100.0, 100.0, 1000.0, 100.0, 1.1),
            (100.0, 50.0, 500.0, 50.0, 2.1),
            (10.0, 200.0, 1000.0, 100.0, 0.2),
            (5.0, 100.0, 1000.0, 70.710_678, 0.141_421_356),
            (1.0, 100.0, 1000.0, 31.622_777, 0.063_245_553),
            (0.2, 150.0, 1000.0, 14.142_136, 0.028_284_271),
        ] {
            let settled = timed(s, v, a, [0.0, 0.0]);
            assert!((seconds(settled) - t).abs() < 1e-7 * t, "{s} mm: {settled:?}");
            assert_eq!(um_s(settled.peak_nm_s), (peak * 1e3_f64).round() as u32, "{s} mm");
        }
    }

    /// 0.026667 s up, 0.9675 s at speed, 0.03 s down.
    #[test]
    fn between_two_speeds() {
        let settled = timed(100.0, 100.0, 3000.0, [20.0, 10.0]);
        assert!((seconds(settled) - 1.024_166_667).abs() < 2e-9, "{settled:?}");
    }

    /// Siciliano et al., Robotics, section 4.2.1: q from 0 to π in 1 s with 6π: cruise at 3.98338, 0.211325 s of blend.
    /// Radians are read as metres here.
    #[test]
    fn textbook_trapezoid_of_pi() {
        let pi = core::f64::consts::PI;
        let settled = timed(pi * 1e3, 3_983.38, 6.0 * pi * 1e3, [0.0, 0.0]);
        assert!((seconds(settled) - 1.0).abs() < 1e-6, "{settled:?}");
    }

    /// √14 m in 5 s at 1 m/s: 1.2583 s to speed up, so a = 1/(5 − √14) m/s².
    #[test]
    fn textbook_trapezoid_of_root_fourteen() {
        let root = 14_f64.sqrt();
        let settled = timed(root * 1e3, 1e3, 1e3 / (5.0 - root), [0.0, 0.0]);
        assert!((seconds(settled) - 5.0).abs() < 1e-6, "{settled:?}");
    }

    /// No change of speed: T = s/v, for lengths on both sides of what one division holds.
    #[test]
    fn at_constant_speed() {
        for (s, v) in
            [(0.000_001, 0.001), (0.01, 100.0), (100.0, 16.666_667), (8_600.0, 100.0), (9e5, 1000.0)]
        {
            let t = seconds(timed(s, v, 1000.0, [v, v]));
            assert!((t - s / v).abs() < 1e-9 * (1.0 + s / v), "{s} mm at {v} mm/s: {t}");
        }
    }

    /// A ramp all the way: T = 2·s/(v₀+v₁).
    #[test]
    fn one_ramp() {
        // From 10 to 30 mm/s at 1000 mm/s²: (900 − 100)/2000 = 0.4 mm, 20 ms.
        for ends in [[10.0, 30.0], [30.0, 10.0]] {
            let settled = timed(0.4, 100.0, 1000.0, ends);
            assert_eq!((settled.duration_ns, um_s(settled.peak_nm_s)), (20_000_000, 30_000), "{ends:?}");
        }
    }
}
