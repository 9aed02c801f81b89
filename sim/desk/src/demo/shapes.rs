//! Outlines of the demo's parts, and what a job needs of them: walls by shifting the outline inward, lines to fill
//! it by cutting it with parallels.
//!
//! Plain school geometry on a handful of points: a polygon library would be larger than all of the demo.

use std::f64::consts::TAU;

/// A point, mm.
pub(super) type Point = [f64; 2];

/// A closed outline whose material lies to the left of its way round: outer ones turn left, holes right.
#[derive(Clone, Debug)]
pub(super) struct Outline(pub(super) Vec<Point>);

/// A flat part: its outlines round the origin, mm.
#[derive(Clone, Debug)]
pub(super) struct Shape(pub(super) Vec<Outline>);

impl Shape {
    /// A rectangular plate with round holes, each given by centre and radius.
    pub(super) fn plate(width: f64, depth: f64, holes: &[(Point, f64)]) -> Self {
        let (x, y) = (width / 2.0, depth / 2.0);
        let outer = Outline(vec![[-x, -y], [x, -y], [x, y], [-x, y]]);
        let holes = holes.iter().map(|&(centre, radius)| Outline::hole(centre, radius));
        Self(std::iter::once(outer).chain(holes).collect())
    }

    /// An angle: two legs of one length, `thick` wide.
    pub(super) fn angle(leg: f64, thick: f64) -> Self {
        let h = leg / 2.0;
        Self(vec![Outline(vec![
            [-h, -h],
            [h, -h],
            [h, thick - h],
            [thick - h, thick - h],
            [thick - h, h],
            [-h, h],
        ])])
    }

    /// A gear with straight flanks: `teeth` of `module` mm, with a bore. Tip and root circle after ISO 53: one module
    /// above and 1.25 below the pitch circle.
    pub(super) fn gear(teeth: u32, module: f64, bore: f64) -> Self {
        let pitch = module * f64::from(teeth) / 2.0;
        let (tip, root) = (pitch + module, pitch - 1.25 * module);
        let outer = (0..teeth)
            .flat_map(|tooth| {
                // Root gap, flank up, tip, flank down: in shares of one tooth's angle.
                [(0.0, root), (0.22, root), (0.38, tip), (0.62, tip), (0.78, root)]
                    .map(|(share, radius)| polar(radius, TAU * (f64::from(tooth) + share) / f64::from(teeth)))
            })
            .collect();
        Self(vec![Outline(outer), Outline::hole([0.0, 0.0], bore / 2.0)])
    }

    /// Every outline shifted by `distance` into the material.
    pub(super) fn shifted(&self, distance: f64) -> Self {
        Self(self.0.iter().map(|outline| outline.shifted(distance)).collect())
    }

    /// Parallels `spacing` apart across the material, to and fro; along Y instead of X if `upright`.
    pub(super) fn lines(&self, spacing: f64, upright: bool) -> Vec<(Point, Point)> {
        let along = |p: Point| if upright { [p[1], p[0]] } else { p };
        let edges: Vec<(Point, Point)> = self
            .0
            .iter()
            .flat_map(|outline| outline.edges())
            .map(|(from, to)| (along(from), along(to)))
            .collect();
        let lowest = edges.iter().map(|(from, _)| from[1]).fold(f64::INFINITY, f64::min);
        let highest = edges.iter().map(|(from, _)| from[1]).fold(f64::NEG_INFINITY, f64::max);
        let count = ((highest - lowest) / spacing).floor().max(0.0) as u32;
        let mut lines = Vec::new();
        for step in 0..count {
            let y = lowest + spacing * (f64::from(step) + 0.5);
            let mut cuts: Vec<f64> = edges
                .iter()
                .filter(|(from, to)| (from[1] <= y) != (to[1] <= y))
                .map(|(from, to)| from[0] + (y - from[1]) / (to[1] - from[1]) * (to[0] - from[0]))
                .collect();
            cuts.sort_by(f64::total_cmp);
            let mut row: Vec<_> =
                cuts.chunks_exact(2).map(|pair| (along([pair[0], y]), along([pair[1], y]))).collect();
            if step % 2 == 1 {
                row.reverse();
                row.iter_mut().for_each(|line| *line = (line.1, line.0));
            }
            lines.extend(row);
        }
        lines
    }
}

impl Outline {
    fn hole(centre: Point, radius: f64) -> Self {
        const CORNERS: u32 = 24;
        let corner = |n| {
            let [x, y] = polar(radius, -TAU * f64::from(n) / f64::from(CORNERS));
            [centre[0] + x, centre[1] + y]
        };
        Self((0..CORNERS).map(corner).collect())
    }

    fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.0.iter().copied().zip(self.0.iter().copied().cycle().skip(1))
    }

    /// Each corner moved to where its two edges meet once both are shifted to the left.
    fn shifted(&self, distance: f64) -> Self {
        let before = self.0.iter().copied().cycle().skip(self.0.len() - 1);
        let corners = before.zip(self.edges()).map(|(before, (corner, after))| {
            let (a, b) = (normal(before, corner), normal(corner, after));
            // The corner's shift s obeys s·a = s·b = distance: s = distance (a + b) / (1 + a·b).
            let scale = distance / (1.0 + a[0] * b[0] + a[1] * b[1]).max(0.1);
            [corner[0] + scale * (a[0] + b[0]), corner[1] + scale * (a[1] + b[1])]
        });
        Self(corners.collect())
    }
}

/// Unit vector to the left of the way from one point to the other.
fn normal(from: Point, to: Point) -> Point {
    let (x, y) = (to[0] - from[0], to[1] - from[1]);
    let length = x.hypot(y);
    [-y / length, x / length]
}

fn polar(radius: f64, angle: f64) -> Point {
    [radius * angle.cos(), radius * angle.sin()]
}

#[cfg(test)]
mod tests {
    use super::Shape;

    #[test]
    fn a_wall_lies_inside_the_plate_and_outside_its_hole() {
        let shape = Shape::plate(20.0, 10.0, &[([0.0, 0.0], 2.0)]).shifted(1.0);
        for (corner, want) in shape.0[0].0.iter().zip([[-9.0, -4.0], [9.0, -4.0], [9.0, 4.0], [-9.0, 4.0]]) {
            assert!((corner[0] - want[0]).abs() < 1e-9 && (corner[1] - want[1]).abs() < 1e-9, "{corner:?}");
        }
        assert!(shape.0[1].0.iter().all(|p| p[0].hypot(p[1]) > 2.9), "the hole grows");
    }

    #[test]
    fn lines_cover_the_area_but_not_the_hole() {
        // 20 x 10 less a 24-sided hole: area = lines' length x spacing.
        let shape = Shape::plate(20.0, 10.0, &[([0.0, 0.0], 2.0)]);
        let hole = 12.0 * 4.0 * (std::f64::consts::TAU / 24.0).sin();
        for upright in [false, true] {
            let length: f64 =
                shape.lines(0.05, upright).iter().map(|(a, b)| (a[0] - b[0]).hypot(a[1] - b[1])).sum();
            assert!((length * 0.05 - (200.0 - hole)).abs() < 0.2, "{}", length * 0.05);
        }
    }
}
