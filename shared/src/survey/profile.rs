//! The closed-form time of one move between two known speeds: a trapezoid or a triangle.

use super::scale::{Divisor, INVERSE_SHIFT, root, square};
use super::stretch::Settled;

/// What a move needs for its profile.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
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
pub(super) fn settle(span: &Span, from: EndSpeed, to: EndSpeed, divisor: &mut Divisor) -> Settled {
    let peak_square = (from.square + to.square + span.reach) >> 1;
    if square(span.cap) <= peak_square {
        if divisor.speed() != span.cap {
            *divisor = Divisor::new(span.cap);
        }
        Settled { duration_ns: cruise_ns(span, from.speed, to.speed, divisor), peak_um_s: um_s(span.cap) }
    } else {
        let peak = if peak_square == to.square {
            to.speed
        } else if peak_square == from.square {
            from.speed
        } else {
            root(peak_square)
        };
        let inverse = u64::from(span.inverse);
        let up = u64::from(peak.saturating_sub(from.speed)) * inverse;
        let down = u64::from(peak.saturating_sub(to.speed)) * inverse;
        // Each is below 2⁶⁴; their sum is halved before it could pass that.
        let sum = (up >> 1) + (down >> 1);
        let half = 1 << (INVERSE_SHIFT - 2);
        Settled { duration_ns: sum.saturating_add(half) >> (INVERSE_SHIFT - 1), peak_um_s: um_s(peak) }
    }
}

fn cruise_ns(span: &Span, from: u32, to: u32, divisor: &Divisor) -> u64 {
    let pieces = span.length_nm >> PIECE_SHIFT;
    let rest = span.length_nm & ((1 << PIECE_SHIFT) - 1);
    let mut number = rest * NS;
    let up = u64::from(span.cap.saturating_sub(from));
    let down = u64::from(span.cap.saturating_sub(to));
    if (up | down) != 0 {
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

/// nm/s to µm/s, to the nearest.
const fn um_s(speed: u32) -> u32 {
    speed.saturating_add(500) / 1000
}
