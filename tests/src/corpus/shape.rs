//! Parts as outlines in millimetres around their centre, and the beads that fill them.

use std::f64::consts::{PI, TAU};

/// A point, mm.
pub(super) type Point = [f64; 2];

/// What is printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Width and depth, mm.
    Block(f64, f64),
    /// Outer and inner radius, mm.
    Ring(f64, f64),
    /// Radius, mm, of a disc of true circles.
    Disc(f64),
    /// Legs of an angle, and their width, mm.
    Bracket(f64, f64, f64),
    /// Teeth and outer radius, mm.
    Gear(u32, f64),
    /// Side of a post, and the brim round its foot, mm.
    Tower(f64, f64),
    /// Radius, mm: a single wall that rises as a spiral.
    Vase(f64),
    /// A plate with short strokes on it: width and depth, mm.
    Sign(f64, f64),
    /// Two thin upright walls of this length, mm, with nothing between.
    Walls(f64),
}

/// One stretch of beads; a closed one ends where it began.
#[derive(Clone, Debug)]
pub(super) struct Trace {
    pub(super) points: Vec<Point>,
    pub(super) fill: bool,
    /// A true circle of this radius round the part's centre.
    pub(super) circle: Option<f64>,
}

fn ngon(radius: f64, corners: u32) -> Vec<Point> {
    let corner = |at: u32| {
        let angle = TAU * f64::from(at) / f64::from(corners);
        [radius * angle.cos(), radius * angle.sin()]
    };
    (0..corners).map(corner).collect()
}

fn block(w: f64, d: f64) -> Vec<Point> {
    vec![[-w / 2.0, -d / 2.0], [w / 2.0, -d / 2.0], [w / 2.0, d / 2.0], [-w / 2.0, d / 2.0]]
}

impl Shape {
    /// Outer loop counter-clockwise, then holes clockwise.
    fn loops(self) -> Vec<Vec<Point>> {
        match self {
            Self::Block(w, d) | Self::Sign(w, d) => vec![block(w, d)],
            Self::Ring(outer, inner) => {
                let mut hole = ngon(inner, 28);
                hole.reverse();
                vec![ngon(outer, 36), hole]
            }
            Self::Disc(radius) | Self::Vase(radius) => vec![ngon(radius, 48)],
            Self::Bracket(a, b, width) => {
                let (x, y) = (-a / 2.0, -b / 2.0);
                let corners = [[0.0, 0.0], [a, 0.0], [a, width], [width, width], [width, b], [0.0, b]];
                vec![corners.map(|[u, v]| [u + x, v + y]).to_vec()]
            }
            Self::Gear(teeth, radius) => {
                let corners = (0..teeth * 4).map(|at| {
                    let r = if at % 4 < 2 { radius } else { radius * 0.88 };
                    let angle = TAU * f64::from(at) / f64::from(teeth * 4);
                    [r * angle.cos(), r * angle.sin()]
                });
                vec![corners.collect()]
            }
            Self::Tower(side, _) => vec![block(side, side)],
            Self::Walls(length) => vec![block(length, 2.0), shift(&block(length, 2.0), [0.0, 12.0])],
        }
    }

    /// The beads of a layer, with lines of this width and height. Lines beside each other overlap by their half
    /// rounds, so that they fill the area: they stand w - h(1 - π/4) apart.
    pub(super) fn traces(self, layer: u32, layers: u32, width: f64, height: f64) -> Vec<Trace> {
        let mut traces = Vec::new();
        let apart = width - height * (1.0 - PI / 4.0);
        let within = width * 0.5 + apart * 1.5;
        if let Self::Disc(radius) = self {
            for wall in 0..2 {
                let r = radius - width * 0.5 - apart * f64::from(wall);
                traces.push(Trace { points: vec![[r, 0.0]], fill: false, circle: Some(r) });
            }
            let inner = vec![inset(&ngon(radius, 48), within)];
            hatch(&mut traces, &inner, pitch(layer, apart), layer);
            return traces;
        }
        if let (Self::Tower(side, brim), 0) = (self, layer) {
            let rounds = (brim / apart).round() as u32;
            for round in (1..=rounds).rev() {
                let out = side + 2.0 * (apart * f64::from(round) - width * 0.5);
                traces.push(closed(block(out, out)));
            }
        }
        if let (Self::Sign(w, d), true) = (self, layer * 2 >= layers) {
            strokes(&mut traces, w, d);
            return traces;
        }
        let loops = self.loops();
        let wall = |number: f64| loops.iter().map(move |edge| inset(edge, width * 0.5 + apart * number));
        for number in [1.0, 0.0] {
            traces.extend(wall(number).map(closed));
        }
        if !matches!(self, Self::Walls(_)) {
            let inner: Vec<_> = loops.iter().map(|edge| inset(edge, within)).collect();
            hatch(&mut traces, &inner, pitch(layer, apart), layer);
        }
        traces
    }
}

fn shift(points: &[Point], by: Point) -> Vec<Point> {
    points.iter().map(|[x, y]| [x + by[0], y + by[1]]).collect()
}

/// Dense on the plate, sparse above.
fn pitch(layer: u32, apart: f64) -> f64 {
    if layer == 0 { apart } else { apart * 6.0 }
}

fn closed(mut points: Vec<Point>) -> Trace {
    points.push(points[0]);
    Trace { points, fill: false, circle: None }
}

/// A loop moved to its left by a distance, corners mitred.
fn inset(edge: &[Point], by: f64) -> Vec<Point> {
    let count = edge.len();
    let unit = |a: Point, b: Point| {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let length = dx.hypot(dy);
        [dx / length, dy / length]
    };
    let corner = |at: usize| {
        let (before, here, after) = (edge[(at + count - 1) % count], edge[at], edge[(at + 1) % count]);
        let (u, v) = (unit(before, here), unit(here, after));
        // The mitre: normals' sum over 1 + their cosine.
        let (nx, ny) = (-u[1] - v[1], u[0] + v[0]);
        let scale = by / (1.0 + u[0] * v[0] + u[1] * v[1]);
        [here[0] + nx * scale, here[1] + ny * scale]
    };
    (0..count).map(corner).collect()
}

/// Lines across the area between loops, along X and Y in turn (even-odd rule).
fn hatch(traces: &mut Vec<Trace>, loops: &[Vec<Point>], pitch: f64, layer: u32) {
    let (along, across) = if layer.is_multiple_of(2) { (0, 1) } else { (1, 0) };
    let all = || loops.iter().flatten().map(|point| point[across]);
    let (low, high) = (all().fold(f64::MAX, f64::min), all().fold(f64::MIN, f64::max));
    let mut level = low + pitch * 0.5;
    let mut flip = false;
    while level < high {
        let mut cuts: Vec<f64> = Vec::new();
        for edge in loops {
            for (at, a) in edge.iter().enumerate() {
                let b = edge[(at + 1) % edge.len()];
                if (a[across] <= level) != (b[across] <= level) {
                    let t = (level - a[across]) / (b[across] - a[across]);
                    cuts.push(a[along] + t * (b[along] - a[along]));
                }
            }
        }
        cuts.sort_by(f64::total_cmp);
        let place = |value: f64| if along == 0 { [value, level] } else { [level, value] };
        let mut pieces: Vec<[Point; 2]> =
            cuts.chunks_exact(2).map(|cut| [place(cut[0]), place(cut[1])]).collect();
        if flip {
            pieces.reverse();
            pieces.iter_mut().for_each(|piece| piece.reverse());
        }
        flip = !flip;
        let long = |piece: &[Point; 2]| (piece[0][0] - piece[1][0]).hypot(piece[0][1] - piece[1][1]) > 0.3;
        let traced = |points: [Point; 2]| Trace { points: points.to_vec(), fill: true, circle: None };
        traces.extend(pieces.into_iter().filter(long).map(traced));
        level += pitch;
    }
}

/// Rows of short strokes, as lettering gives.
fn strokes(traces: &mut Vec<Trace>, w: f64, d: f64) {
    let mut x = -w / 2.0 + 3.0;
    let mut tall = false;
    while x < w / 2.0 - 3.0 {
        let y = -d / 4.0;
        let top = if tall { d / 4.0 } else { d / 10.0 };
        let bar = if tall { x + 2.5 } else { x };
        let points = vec![[x, y], [x, top], [bar, top]];
        traces.push(Trace { points, fill: false, circle: None });
        traces.push(Trace { points: vec![[x + 0.8, y], [x + 1.6, y]], fill: true, circle: None });
        tall = !tall;
        x += 4.0;
    }
}
