//! An arc as a chain of chords, for what is drawn in cells.

use crate::motion::{Arc, hypot2, quadrant};
use crate::units::signed_mul_div;

/// Times that a quarter turn is halved: chords of 11°, which leave an arc of 50 mm radius by a quarter of a millimetre.
const HALVINGS: u32 = 3;

/// Gives the chords of an arc in the order of travel, in the plate's own positions.
pub(super) fn chords(arc: &Arc, each: &mut impl FnMut([i64; 2], [i64; 2])) {
    // By quarters: corner points at the directions it passes, in the order of travel.
    let r = arc.radius_nm as i64;
    let axes = [[r, 0], [0, r], [-r, 0], [0, -r]];
    let first = quadrant(arc.start);
    let mut last = arc.start;
    for step in 0..4_u32 {
        let k = (if arc.counter_clockwise { first + 1 + step } else { first + 4 - step }) & 3;
        if arc.passes & (1 << k) == 0 {
            continue;
        }
        let Some(&axis) = axes.get(k as usize) else { continue };
        bow(arc, last, axis, HALVINGS, each);
        last = axis;
    }
    bow(arc, last, arc.end, HALVINGS, each);
}

/// Up to a quarter turn between two points, halved `depth` times.
fn bow(arc: &Arc, from: [i64; 2], to: [i64; 2], depth: u32, each: &mut impl FnMut([i64; 2], [i64; 2])) {
    let ([x0, y0], [x1, y1], [cx, cy]) = (from, to, arc.centre);
    let middle = [x0.saturating_add(x1), y0.saturating_add(y1)];
    let [mx, my] = middle;
    let length = hypot2(mx, my);
    if depth == 0 || length == 0 {
        let at = |x: i64, y: i64| [cx.saturating_add(x), cy.saturating_add(y)];
        each(at(x0, y0), at(x1, y1));
        return;
    }
    let on = middle.map(|part| signed_mul_div(part, arc.radius_nm, length));
    bow(arc, from, on, depth - 1, each);
    bow(arc, on, to, depth - 1, each);
}
