//! Lays the layers of parts: walls, infill, supports, spirals, skins.

use super::pen::Pen;
use super::rng::Rng;
use super::shape::{Kind, Outline, Part, Point, circle, hatch, inset};
use super::style::{Arcs, Retract};

/// How the parts are printed.
#[derive(Clone, Copy, Debug)]
pub struct Process {
    pub bore: f64,
    pub layer: f64,
    pub first: f64,
    pub width: f64,
    pub walls: usize,
    /// Spacing of sparse infill in bead widths; 0 = hollow.
    pub sparse: f64,
    pub solid_layers: usize,
    pub mm_s: f64,
    pub first_mm_s: f64,
    /// Sparse infill on every second layer, twice as high.
    pub paired_infill: bool,
    pub scarf: bool,
    pub ironing: bool,
    pub wavy_skin: bool,
    pub varied: bool,
    /// Short ways between lines of infill are beads too.
    pub joined: bool,
    pub clockwise: bool,
    pub walls_last: bool,
    /// Beads counted as rectangles instead of with round sides.
    pub square: bool,
}

impl Process {
    /// A rectangle: what plain programs count.
    #[must_use]
    pub fn flat_area(width: f64, height: f64) -> f64 {
        width * height
    }

    #[must_use]
    pub fn area(&self, width: f64, height: f64) -> f64 {
        if self.square || width <= height {
            width * height
        } else {
            (width - height) * height + std::f64::consts::PI * height * height / 4.0
        }
    }

    /// Height of each layer of a part of so much height.
    #[must_use]
    pub fn heights(&self, total: f64, rng: &mut Rng) -> Vec<f64> {
        let mut heights = vec![self.first];
        let mut z = self.first;
        let mut layer = self.layer;
        while z + layer <= total + 1e-6 || heights.len() < 3 {
            if self.varied {
                let next = layer * rng.between(0.85, 1.18);
                layer = (next.clamp(self.bore * 0.32, self.bore * 0.68) * 100.0).round() / 100.0;
            }
            heights.push(layer);
            z += layer;
        }
        heights
    }
}

/// One layer of one part.
#[derive(Clone, Copy, Debug)]
pub struct Slice {
    pub index: usize,
    pub of: usize,
    /// Its top, mm.
    pub z: f64,
    pub height: f64,
    /// Height of the layer above.
    pub next: f64,
}

pub fn closed(pen: &mut Pen, loop_: &[Point], area: f64, mm_s: f64) {
    let Some(first) = loop_.first() else { return };
    pen.travel(first.0, first.1);
    for point in loop_.iter().skip(1).chain([first]) {
        pen.bead(point.0, point.1, None, area, mm_s);
    }
}

fn ring(pen: &mut Pen, centre: Point, radius: f64, area: f64, mm_s: f64) {
    pen.travel(centre.0 + radius, centre.1);
    for turn in [0.25, 0.5, 0.75, 1.0] {
        let angle = turn * std::f64::consts::TAU;
        pen.arc(centre.0 + radius * angle.cos(), centre.1 + radius * angle.sin(), centre, area, mm_s);
    }
}

/// A loop whose first millimetres rise from the layer below, and whose end thins out over them.
fn scarfed(pen: &mut Pen, loop_: &[Point], slice: Slice, area: f64, mm_s: f64) {
    let (first, second) = (loop_[0], loop_[1]);
    let side = (second.0 - first.0).hypot(second.1 - first.1);
    let part = (8.0 / side).min(0.8);
    let along = |share: f64| (first.0 + (second.0 - first.0) * share, first.1 + (second.1 - first.1) * share);
    pen.travel(first.0, first.1);
    pen.rise(slice.z - slice.height * 0.9);
    for step in 1..=4 {
        let share = f64::from(step) / 4.0;
        let (x, y) = along(part * share);
        pen.bead(
            x,
            y,
            Some(slice.z - slice.height * 0.9 * (1.0 - share)),
            area * (share - 0.1).max(0.1),
            mm_s,
        );
    }
    for point in loop_.iter().skip(1).chain([&first]) {
        pen.bead(point.0, point.1, None, area, mm_s);
    }
    for step in 1..=4 {
        let share = f64::from(step) / 4.0;
        let (x, y) = along(part * share);
        pen.bead(x, y, None, area * (1.05 - share).max(0.08), mm_s);
    }
}

fn lines(pen: &mut Pen, lines: &[(Point, Point)], area: f64, mm_s: f64, join_within: f64) {
    for (a, b) in lines {
        let here = pen.here();
        if (here[0] - a.0).hypot(here[1] - a.1) <= join_within {
            pen.bead(a.0, a.1, None, area, mm_s);
        } else {
            pen.travel(a.0, a.1);
        }
        pen.bead(b.0, b.1, None, area, mm_s);
    }
}

fn walls(pen: &mut Pen, process: &Process, part: &Part, outlines: &[Outline], slice: Slice, mm_s: f64) {
    let area = process.area(process.width, slice.height);
    let count = if part.kind == Kind::ThinWall { process.walls.min(2) } else { process.walls };
    for wall in (0..count).rev() {
        for (n, outline) in outlines.iter().enumerate() {
            let hole = n > 0 && matches!(part.kind, Kind::Tube | Kind::Nut | Kind::Gear | Kind::Frame);
            let by = (wall as f64 + 0.5) * process.width * if hole { -1.0 } else { 1.0 };
            let round =
                matches!(part.kind, Kind::Cylinder | Kind::Tube | Kind::Cone) && pen.style.arcs != Arcs::None;
            if round {
                let radius = (outline[0].0 - part.at.0).hypot(outline[0].1 - part.at.1) - by;
                ring(pen, part.at, radius, area, mm_s);
                continue;
            }
            let mut loop_ = inset(outline, by);
            if process.clockwise {
                loop_.reverse();
            }
            if process.scarf && wall == 0 && slice.index > 0 && !hole && loop_.len() < 10 {
                scarfed(pen, &loop_, slice, area, mm_s);
            } else {
                closed(pen, &loop_, area, mm_s);
            }
        }
    }
}

fn infill(pen: &mut Pen, process: &Process, part: &Part, outlines: &[Outline], slice: Slice, mm_s: f64) {
    if part.kind == Kind::ThinWall {
        return;
    }
    let holes = matches!(part.kind, Kind::Tube | Kind::Nut | Kind::Gear | Kind::Frame);
    let by = process.walls as f64 * process.width;
    let inner: Vec<Outline> = outlines
        .iter()
        .enumerate()
        .map(|(n, outline)| inset(outline, if holes && n > 0 { -by } else { by }))
        .collect();
    let slab_from = part.height * 0.6;
    let over_gap = matches!(part.kind, Kind::Bridge | Kind::Mushroom)
        && slice.z - slice.height < slab_from + process.layer * 3.0
        && slice.z > slab_from;
    let lowest = slice.index < process.solid_layers || over_gap;
    let near_top = match part.kind {
        Kind::Islands => true,
        _ => slice.index + process.solid_layers >= slice.of,
    };
    let odd = slice.index % 2 == 1;
    let angle = part.angle + if odd { 0.785 } else { -0.785 };
    if lowest || near_top || process.sparse <= 1.0 {
        let angle = if over_gap { part.angle } else { angle };
        let area = process.area(process.width, slice.height);
        let join = if process.joined { process.width * 1.6 } else { 0.0 };
        lines(pen, &hatch(&inner, angle, process.width), area, mm_s, join);
    } else if process.sparse > 0.0 {
        let spacing = process.width * process.sparse;
        if process.paired_infill {
            if odd {
                let area = process.area(process.width, slice.height * 2.0);
                // The layer below has none: this one fills both.
                lines(pen, &hatch(&inner, part.angle + 0.785, spacing), area, mm_s * 0.5, 0.0);
            }
        } else {
            lines(pen, &hatch(&inner, angle, spacing), process.area(process.width, slice.height), mm_s, 0.0);
        }
    }
}

/// Everything of one layer of one part.
pub fn layer(pen: &mut Pen, process: &Process, part: &Part, slice: Slice) {
    let mm_s = if slice.index == 0 { process.first_mm_s } else { process.mm_s };
    let middle = slice.z - slice.height / 2.0;
    let outlines = part.outlines(middle);
    for support in part.supports(slice.z, slice.next) {
        let turned = inset(&support, process.width / 2.0);
        let area = process.area(process.width, slice.height);
        lines(pen, &hatch(&[turned], part.angle + std::f64::consts::FRAC_PI_2, 1.8), area, mm_s, 2.0);
    }
    if part.kind == Kind::Lattice {
        let area = process.area(process.width, slice.height);
        let angle = if slice.index.is_multiple_of(2) { 0.0 } else { std::f64::consts::FRAC_PI_2 };
        lines(pen, &hatch(&outlines, part.angle + angle, 2.5 + 2.0 * part.share), area, mm_s, 0.0);
        return;
    }
    if process.walls_last {
        infill(pen, process, part, &outlines, slice, mm_s);
    }
    walls(pen, process, part, &outlines, slice, if slice.index == 0 { mm_s } else { mm_s * 0.7 });
    if !process.walls_last {
        infill(pen, process, part, &outlines, slice, mm_s);
    }
}

/// The wall of a vase: one line that rises all the time.
pub fn spiral(pen: &mut Pen, process: &Process, part: &Part, from: f64) {
    let height = process.layer;
    let area = process.area(process.width, height);
    let turn = |z: f64| {
        let mut loop_ = inset(&part.outlines(z)[0], process.width / 2.0);
        if process.clockwise {
            loop_.reverse();
        }
        loop_
    };
    let mut z = from;
    let start = turn(z)[0];
    pen.travel(start.0, start.1);
    while z + height <= part.height.max(from + 3.0 * height) {
        let loop_ = turn(z + height / 2.0);
        let n = loop_.len();
        let sides: Vec<f64> = (0..n)
            .map(|i| (loop_[(i + 1) % n].0 - loop_[i].0).hypot(loop_[(i + 1) % n].1 - loop_[i].1))
            .collect();
        let whole: f64 = sides.iter().sum();
        let mut done = 0.0;
        for (i, side) in sides.iter().enumerate() {
            done += side;
            let point = loop_[(i + 1) % n];
            pen.bead(point.0, point.1, Some(z + height * done / whole), area, process.mm_s * 0.7);
        }
        z += height;
    }
}

/// Smooths the top: hardly any plastic, lines close together.
pub fn iron(pen: &mut Pen, part: &Part, slice: Slice) {
    let top: Vec<Outline> =
        part.outlines(slice.z - slice.height / 2.0).iter().map(|o| inset(o, 0.4)).collect();
    let joined = if pen.style.retract == Retract::Firmware { 0.0 } else { 0.3 };
    lines(pen, &hatch(&top, part.angle, 0.15), slice.height * 0.15 * 0.15, 20.0, joined);
}

/// A skin that rises and falls over the flat top.
pub fn wavy(pen: &mut Pen, process: &Process, part: &Part, top: f64) {
    let inner: Vec<Outline> =
        part.outlines(part.height * 0.9).iter().map(|o| inset(o, process.width)).collect();
    let thick = |along: f64| process.bore * (0.5 - 0.17 * (along * std::f64::consts::TAU / 16.0).cos());
    for (a, b) in hatch(&inner, part.angle, process.width) {
        pen.rise(top + process.bore * 0.7 + 0.3);
        pen.travel(a.0, a.1);
        pen.rise(top + thick(0.0));
        let length = (b.0 - a.0).hypot(b.1 - a.1);
        let steps = (length / 2.0).ceil() as usize;
        for step in 1..=steps {
            let share = step as f64 / steps as f64;
            let t = thick(length * share);
            let area = process.area(process.width, t);
            let (x, y) = (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
            pen.bead(x, y, Some(top + t), area, process.mm_s * 0.5);
        }
    }
}

/// Rings round a part on the first layer, from the outside in.
pub fn brim(pen: &mut Pen, process: &Process, part: &Part, rings: usize) {
    let area = process.area(process.width, process.first);
    for ring in (0..rings).rev() {
        let outlines = part.outlines(process.first / 2.0);
        for outline in outlines.iter().take(if part.kind == Kind::Bridge { 2 } else { 1 }) {
            closed(pen, &inset(outline, -(ring as f64 + 0.5) * process.width), area, process.first_mm_s);
        }
    }
}

/// Small discs at a part's corners that hold them down.
pub fn ears(pen: &mut Pen, process: &Process, part: &Part) {
    let area = process.area(process.width, process.first);
    for corner in part.outlines(process.first / 2.0)[0].iter().take(4) {
        let mut radius = 4.0;
        while radius > process.width {
            let disc = circle(corner.0, corner.1, radius, 20);
            closed(pen, &disc, area, process.first_mm_s);
            radius -= process.width;
        }
    }
}
