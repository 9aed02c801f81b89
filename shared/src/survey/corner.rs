//! How fast a corner between two moves may be taken.

use crate::motion::nearest;

use super::fixed_point::{quotient, root, square};
use super::stretch::Class;

/// 1 in the formats of a [`super::Stretch`]'s directions, as shifts: X Y Z, and E.
pub(super) const UNIT_SHIFT: u32 = 30;
pub(super) const FILAMENT_SHIFT: u32 = 24;

/// Highest speed at which no axis steps by more than its own limit: v·|w−u| ≤ step on every axis.
///
/// `leaving` and `entering` are directions, `steps` and `cap` are nm/s.
#[cfg_attr(target_pointer_width = "64", inline(always))]
pub(super) fn axis_step(leaving: &[i32; 4], entering: &[i32; 4], steps: &[u32; 4], cap: u32) -> u32 {
    let [from_x, from_y, from_z, from_e] = *leaving;
    let [to_x, to_y, to_z, to_e] = *entering;
    let [step_x, step_y, step_z, step_e] = *steps;
    let fits = |change: u32, step: u32| u64::from(change) * u64::from(cap) <= u64::from(step) << UNIT_SHIFT;
    let [x, y] = [to_x.abs_diff(from_x), to_y.abs_diff(from_y)];
    // Nearly always level.
    let z = if from_z | to_z == 0 { 0 } else { to_z.abs_diff(from_z) };
    if fits(x, step_x) && fits(y, step_y) && fits(z, step_z) {
        // As along nearly straight walls.
        return stepped(to_e.abs_diff(from_e), u64::from(step_e) << FILAMENT_SHIFT, cap);
    }
    // Of X, Y and Z only the one with the greatest ratio of change to step counts: products tell, without a division.
    let (mut worst_change, mut worst_step) = (x, step_x);
    let worse = |change: u32, step: u32, than: (u32, u32)| {
        u64::from(change) * u64::from(than.1) > u64::from(than.0) * u64::from(step)
    };
    if worse(y, step_y, (worst_change, worst_step)) {
        (worst_change, worst_step) = (y, step_y);
    }
    if worse(z, step_z, (worst_change, worst_step)) {
        (worst_change, worst_step) = (z, step_z);
    }
    let in_space = stepped(worst_change, u64::from(worst_step) << UNIT_SHIFT, cap);
    stepped(to_e.abs_diff(from_e), u64::from(step_e) << FILAMENT_SHIFT, in_space)
}

/// The speed whose product with `change` is at most `allowed`, at most `cap`.
#[inline(always)]
fn stepped(change: u32, allowed: u64, cap: u32) -> u32 {
    if u64::from(change) * u64::from(cap) <= allowed {
        cap
    } else {
        // The change is not 0 here, and the quotient is below `cap`.
        quotient(allowed, change)
    }
}

/// A quarter of |w−u|² and of |w+u|² in Q60: sin² and cos² of half the turn. Each keeps its precision where it is
/// small, which the cosine of the turn does not.
fn half_turn(leaving: &[i32; 4], entering: &[i32; 4], classes: [Class; 2]) -> (u64, u64) {
    let [from_x, from_y, from_z, from_e] = leaving.map(i64::from);
    let [to_x, to_y, to_z, to_e] = entering.map(i64::from);
    let filament = |part: i64| part << (UNIT_SHIFT - FILAMENT_SHIFT);
    // Wraps only for parts beyond unit length, which no direction has; the corner then means nothing.
    let quarter =
        |by: [i64; 3]| by.iter().fold(0_u64, |sum, d| sum.wrapping_add(d.wrapping_mul(*d) as u64)) >> 2;
    match classes.map(|class| class == Class::Retract) {
        // The legs are the path in space; filament that is fed along the way has no direction in it.
        [false, false] => (
            quarter([to_x - from_x, to_y - from_y, to_z - from_z]),
            quarter([to_x + from_x, to_y + from_y, to_z + from_z]),
        ),
        [true, true] => (quarter([filament(to_e - from_e), 0, 0]), quarter([filament(to_e + from_e), 0, 0])),
        // Filament alone against a path in space: a right angle.
        _ => (1 << 59, 1 << 59),
    }
}

/// Highest speed at which a circle that touches both legs and passes the corner at `deviation_um` is run with no
/// more than the acceleration: v² = a·δ·s/(1−s), s = sin(θ/2) of the angle θ between the legs.
///
/// With h = sin²(turn/2) = 1−s², s/(1−s) = s·(1+s)/h. `cap` is nm/s.
pub(super) fn deviation(
    leaving: &[i32; 4],
    entering: &[i32; 4],
    classes: [Class; 2],
    accel_um_s2: u32,
    deviation_um: u32,
    cap: u32,
) -> u32 {
    let (h, s_square) = half_turn(leaving, entering, classes);
    // a·δ in squares: µm²/s² · 10⁶ / 4096.
    let base = ((u64::from(accel_um_s2) * u64::from(deviation_um.min(0xFFFF))) * 15_625) >> 6;
    if h == 0 {
        return cap;
    }
    if base == 0 || s_square == 0 {
        return 0;
    }
    // base · s·(1+s) / h with mantissas of 32 bits: base = base32 · 2^(32−base_zeros), h = h32 · 2^(32−h_zeros).
    let (base_zeros, h_zeros) = (base.leading_zeros(), h.leading_zeros());
    let base32 = (base << base_zeros) >> 32;
    let h32 = (h << h_zeros) >> 32;
    let shift = 29 + h_zeros as i32 - base_zeros as i32;
    let cap_square = square(cap);
    // s ≥ s², so s²·(1+s²) is too little; and h32 below 2³². Where even that passes the cap, no root is needed.
    let s_square = s_square.min(1 << 60);
    let least = ((s_square >> 29) * ((1 << 31) + (s_square >> 29))) >> 31;
    if exceeds((base32 * least) >> 32, shift, cap_square) {
        return cap;
    }
    let (s, _) = nearest(s_square << 2);
    let factor = (s * ((1 << 31) + s)) >> 31;
    // One place less, so that the quotient stays below 2³².
    let (limit, shift) = (u64::from(quotient((base32 >> 1) * factor, h32 as u32)), shift + 1);
    if exceeds(limit, shift, cap_square) {
        return cap;
    }
    let limit =
        if shift >= 0 { limit << shift } else { limit.checked_shr(shift.unsigned_abs()).unwrap_or(0) };
    root(limit).min(cap)
}

/// Whether `value` · 2^shift is at least `bound`.
fn exceeds(value: u64, shift: i32, bound: u64) -> bool {
    if shift >= 0 {
        value != 0 && (shift as u32 >= value.leading_zeros() || value << shift >= bound)
    } else {
        value.checked_shr(shift.unsigned_abs()).unwrap_or(0) >= bound
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(degrees: f64) -> [i32; 4] {
        let one = f64::from(1_u32 << UNIT_SHIFT);
        let (sin, cos) = degrees.to_radians().sin_cos();
        [(cos * one).round() as i32, (sin * one).round() as i32, 0, 0]
    }

    const TRAVEL: [Class; 2] = [Class::Travel; 2];

    /// v = √(a·δ·sin(θ/2)/(1−sin(θ/2))), θ between the legs: a circle that touches both legs, δ from the corner.
    #[test]
    fn circle_past_the_corner() {
        // θ degrees, δ µm, v mm/s
        for (angle, deviation_um, v) in [
            (60.0, 50, 7.0711),
            (90.0, 50, 10.9868),
            (120.0, 50, 17.9779),
            (135.0, 50, 24.634),
            (150.0, 50, 37.648),
            (170.0, 50, 114.41),
            (90.0, 13, 5.6022),
        ] {
            for start in [0.0, 33.0, 200.0] {
                let speed = deviation(
                    &unit(start),
                    &unit(start + 180.0 - angle),
                    TRAVEL,
                    1_000_000,
                    deviation_um,
                    u32::MAX,
                );
                let speed = f64::from(speed) * 1e-6;
                assert!((speed - v).abs() < 5e-5 * v, "{angle}° {deviation_um} µm: {speed}");
            }
        }
    }

    #[test]
    fn straight_on_has_no_limit_and_a_reversal_stops() {
        for start in [0.0, 12.345, 45.0, 270.1] {
            assert_eq!(deviation(&unit(start), &unit(start), TRAVEL, 1_000_000, 50, 123_456), 123_456);
            let back = unit(start).map(|part| -part);
            assert_eq!(deviation(&unit(start), &back, TRAVEL, 1_000_000, 50, 123_456), 0);
        }
        assert_eq!(
            deviation(&unit(0.0), &unit(1.0), TRAVEL, 1_000_000, 0, 123_456),
            0,
            "no deviation allowed"
        );
    }

    /// sin(179.9°/2) and sin(0.1°/2) by the formula in f64.
    #[test]
    fn narrow_turns_keep_their_precision() {
        for angle in [179.9, 179.0, 30.0, 1.0, 0.1] {
            let s = f64::to_radians(angle / 2.0).sin();
            let wanted = (100.0 * 0.001 * s / (1.0 - s)).sqrt();
            let speed = deviation(&unit(0.0), &unit(180.0 - angle), TRAVEL, 100_000, 1, u32::MAX);
            let speed = f64::from(speed) * 1e-6;
            assert!((speed - wanted).abs() < 2e-6 * wanted + 1e-6, "{angle}°: {speed}, not {wanted}");
        }
    }

    #[test]
    fn filament_alone_stands_at_a_right_angle_to_space() {
        let pull = [0, 0, 0, -(1 << FILAMENT_SHIFT)];
        let push = [0, 0, 0, 1 << FILAMENT_SHIFT];
        let mixed = [Class::Travel, Class::Retract];
        let alone = [Class::Retract; 2];
        let speed = f64::from(deviation(&unit(20.0), &pull, mixed, 1_000_000, 50, u32::MAX)) * 1e-6;
        assert!((speed - 10.9868).abs() < 5e-5, "{speed}");
        assert_eq!(deviation(&pull, &pull, alone, 1_000_000, 50, 77), 77);
        assert_eq!(deviation(&pull, &push, alone, 1_000_000, 50, 77), 0);
    }

    /// 90°, X and Y change by 1 each: the smaller step. 45°: X by 1 − √½, Y by √½.
    #[test]
    fn steps_of_each_axis() {
        let steps = [8_000_000, 10_000_000, 400_000, 5_000_000];
        let cap = 100_000_000;
        assert_eq!(axis_step(&unit(0.0), &unit(90.0), &steps, cap), 8_000_000);
        let speed = axis_step(&unit(0.0), &unit(45.0), &steps, cap);
        assert!(speed.abs_diff(14_142_136) < 2, "{speed}: 10 mm/s over √½");
        assert_eq!(axis_step(&unit(10.0), &unit(10.0), &steps, cap), cap);
        // E from 0.05 to nothing: 5 mm/s / 0.05 = 100 mm/s.
        let laying = [1 << UNIT_SHIFT, 0, 0, (1 << FILAMENT_SHIFT) / 20];
        let speed = axis_step(&laying, &unit(0.0), &steps, 200_000_000);
        assert!(speed.abs_diff(100_000_000) < 100, "{speed}");
        // A blob: 20 mm of filament a mm of path.
        let blob = [1 << UNIT_SHIFT, 0, 0, 20 << FILAMENT_SHIFT];
        assert_eq!(axis_step(&blob, &unit(0.0), &steps, cap), 250_000);
        assert_eq!(axis_step(&unit(0.0), &unit(90.0), &[0, 1, 1, 1], cap), 0, "no step allowed");
    }
}
