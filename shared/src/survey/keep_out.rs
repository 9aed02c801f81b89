//! Moves through a place that the head must keep out of, such as a clip.

use super::flat::add_arc;
use super::values::Bounds;
use crate::motion::{Move, hypot2};
use crate::records::KeepOut;

/// Whether a move goes through a place below its height. A line is tested exactly; an arc by its box and the ring that
/// its radius draws, which may count a corner that it only passes within both.
pub(super) fn crosses(place: &KeepOut, step: &Move) -> bool {
    const NM: i64 = 1_000_000;
    let ([x0, y0, z0], [x1, y1, z1]) = (step.from, step.to);
    if z0.min(z1) >= i64::from(place.height_mm) * NM {
        return false;
    }
    let [least_x, most_x] = place.x_mm.map(|mm| i64::from(mm) * NM);
    let [least_y, most_y] = place.y_mm.map(|mm| i64::from(mm) * NM);
    let mut bounds = Bounds::default();
    bounds.add(step.from);
    bounds.add(step.to);
    add_arc(&mut bounds, step);
    let ([from_x, from_y, _], [to_x, to_y, _]) = (bounds.min_nm, bounds.max_nm);
    if to_x <= least_x || from_x >= most_x || to_y <= least_y || from_y >= most_y {
        return false;
    }
    let corners = [(least_x, least_y), (least_x, most_y), (most_x, least_y), (most_x, most_y)];
    if let Some(arc) = &step.arc {
        let [cx, cy] = arc.centre;
        let distance = |(x, y): (i64, i64)| hypot2(x.saturating_sub(cx), y.saturating_sub(cy));
        let near = (cx.clamp(least_x, most_x), cy.clamp(least_y, most_y));
        return distance(near) < arc.radius_nm
            && corners.iter().any(|corner| distance(*corner) > arc.radius_nm);
    }
    // The boxes meet: the line parts the place only where its corners lie on both sides of it. In micrometres, so that
    // the products fit.
    let um = |to: i64, from: i64| to.saturating_sub(from) / 1000;
    let (dx, dy) = (um(x1, x0), um(y1, y0));
    let side = |(x, y): (i64, i64)| um(y, y0).saturating_mul(dx).saturating_sub(um(x, x0).saturating_mul(dy));
    let sides = corners.map(side);
    (dx, dy) == (0, 0) || sides.iter().any(|side| *side < 0) && sides.iter().any(|side| *side > 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A clip from X 0 to 10 and Y 0 to 20, 8 mm high.
    const CLIP: KeepOut = KeepOut { x_mm: [0, 10], y_mm: [0, 20], height_mm: 8 };

    fn line(from: [i64; 3], to: [i64; 3]) -> bool {
        let nm = |point: [i64; 3]| point.map(|mm| mm * 1_000_000);
        crosses(&CLIP, &Move { from: nm(from), to: nm(to), ..Move::default() })
    }

    #[test]
    fn lines_through_beside_and_above() {
        assert!(line([5, 5, 0], [5, 5, 1]), "within it");
        assert!(line([-5, 10, 1], [15, 10, 1]), "through it");
        assert!(!line([-5, 3, 1], [3, -5, 1]), "past its corner");
        assert!(line([-5, 7, 1], [7, -5, 1]), "over its corner");
        assert!(!line([-5, 15, 1], [15, 40, 1]), "their boxes meet, they do not");
        assert!(!line([10, 5, 1], [30, 5, 1]), "along its edge and away");
        assert!(!line([-5, 10, 8], [15, 10, 8]), "above it");
        assert!(line([5, 5, 20], [5, 5, 7]), "down onto it");
    }

    #[test]
    fn an_arc_round_it_passes_and_one_over_it_does_not() {
        let surveyor = |radius: i64| {
            let machine = crate::records::Machine {
                bed_um: [200_000; 2],
                keep_outs: [CLIP].into_iter().collect(),
                ..crate::records::Machine::default()
            };
            let mut surveyor = crate::survey::Surveyor::new(&machine);
            // A full turn round the clip's middle (5, 10), whose corners are 11.18 mm away.
            let text =
                std::format!("G28\nG0 Z30 F6000\nG0 X{} Y10\nG0 Z1\nG2 X{0} Y10 I-{radius} J0\n", 5 + radius);
            surveyor.feed(text.as_bytes());
            surveyor.finish().motion.kept_out
        };
        assert_eq!(surveyor(12).count, 0);
        let found = surveyor(11);
        assert_eq!((found.count, found.first_line), (1, 5));
        assert_eq!(surveyor(4).count, 2, "the way down into it too");
    }
}
