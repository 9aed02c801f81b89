//! First layers with what is laid before or round the parts: purge strips of any shape, ears, brims, skirts, rafts.

use std::f64::consts::TAU;

use super::sketch::{Dice, Place, Sketch, Sketched, WIDTH};

/// The plate's sides.
const PLATE: f64 = 220.0;

/// What is laid before the first layer and apart from it, at its height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Strip {
    None,
    /// Lines side by side along an edge.
    Lines(u32),
    /// Lines with a travel back to the same end before each.
    SameEnd(u32),
    /// Along two edges.
    L,
    /// Along three edges.
    U,
    /// A patch so wide, mm.
    Patch(f64),
    /// Two strips along one edge, apart.
    Two,
    /// Two strips along opposite edges.
    Opposite,
    /// Up and down so far, mm, along an edge.
    Zigzag(f64),
    /// A small heap on one spot, drawn in circles of this radius.
    Blob(f64),
}

/// What goes with the part on its first layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Foot {
    Bare,
    /// A thin disc of this diameter under each of so many corners, printed first.
    Ears(f64, u32),
    /// Loops touching the part, so wide, mm.
    Brim(f64),
    /// Two loops so far out, mm.
    Skirt(f64),
    /// Lines below the part on three layers, reaching so far out, mm.
    Raft(f64),
}

/// A job of one layer on another.
#[derive(Clone, Debug)]
pub struct Plate {
    pub strip: Strip,
    /// Edge of the plate, counted from the front counter-clockwise.
    pub edge: usize,
    /// Distance of the strip's nearest line from the edge, mm.
    pub inset: f64,
    pub foot: Foot,
    /// Centres of the parts, mm.
    pub centres: Vec<[f64; 2]>,
    /// Width and depth of a part, mm.
    pub size: [f64; 2],
    pub layers: u32,
    pub height: f64,
}

/// A point along the front edge, from the edge inwards, turned to another edge.
fn turned([along, inwards]: [f64; 2], edge: usize) -> [f64; 2] {
    match edge % 4 {
        0 => [along, inwards],
        1 => [PLATE - inwards, along],
        2 => [PLATE - along, PLATE - inwards],
        _ => [inwards, PLATE - along],
    }
}

fn rectangle([cx, cy]: [f64; 2], [w, d]: [f64; 2]) -> [[f64; 2]; 4] {
    let (x, y) = (w / 2.0, d / 2.0);
    [[cx - x, cy - y], [cx + x, cy - y], [cx + x, cy + y], [cx - x, cy + y]]
}

/// Lines over a rectangle, back and forth without a travel.
fn meander([cx, cy]: [f64; 2], [w, d]: [f64; 2], pitch: f64) -> Vec<[f64; 2]> {
    let rows = (d / pitch).floor() as u32;
    let row = |k: u32| {
        let y = cy - d / 2.0 + f64::from(k) * pitch;
        let (a, b) = ([cx - w / 2.0, y], [cx + w / 2.0, y]);
        if k.is_multiple_of(2) { [a, b] } else { [b, a] }
    };
    (0..=rows).flat_map(row).collect()
}

impl Plate {
    fn purge(&self, sketch: &mut Sketch) {
        let z = self.height;
        let edge = self.edge;
        let line = |points: &[[f64; 2]]| points.iter().map(|point| turned(*point, edge)).collect::<Vec<_>>();
        let y = self.inset;
        match self.strip {
            Strip::None => {}
            Strip::Lines(count) => {
                let ends = |k: u32| {
                    let y = y + 0.5 * f64::from(k);
                    if k.is_multiple_of(2) { [[15.0, y], [120.0, y]] } else { [[120.0, y], [15.0, y]] }
                };
                sketch.trace(&line(&(0..count).flat_map(ends).collect::<Vec<_>>()), z);
            }
            Strip::SameEnd(count) => {
                for k in 0..count {
                    let y = y + 0.6 * f64::from(k);
                    sketch.trace(&line(&[[40.0, y], [160.0, y]]), z);
                }
            }
            Strip::L => sketch
                .trace(&line(&[[150.0, y], [y, y], [y, 150.0], [y + 0.5, 150.0], [y + 0.5, y + 0.5]]), z),
            Strip::U => {
                let far = PLATE - y;
                sketch.trace(&line(&[[y, 160.0], [y, y], [far, y], [far, 140.0]]), z);
            }
            Strip::Patch(width) => {
                sketch.trace(&line(&meander([60.0, y + width / 2.0], [50.0, width], 0.5)), z);
            }
            Strip::Two => {
                sketch.trace(&line(&[[20.0, y], [80.0, y], [80.0, y + 0.5], [20.0, y + 0.5]]), z);
                sketch.trace(&line(&[[130.0, y], [200.0, y], [200.0, y + 0.5]]), z);
            }
            Strip::Opposite => {
                sketch.trace(&line(&[[60.0, y], [160.0, y]]), z);
                sketch.trace(&line(&[[60.0, PLATE - y], [160.0, PLATE - y]]), z);
            }
            Strip::Zigzag(far) => {
                let point =
                    |k: u32| [20.0 + 4.0 * f64::from(k), y + if k.is_multiple_of(2) { 0.0 } else { far }];
                sketch.trace(&line(&(0..30).map(point).collect::<Vec<_>>()), z);
            }
            Strip::Blob(radius) => {
                for ring in 0..3 {
                    let r = radius * (1.0 - 0.3 * f64::from(ring));
                    let point = |k: u32| {
                        let angle = TAU * f64::from(k) / 16.0;
                        [30.0 + r * angle.cos(), y + radius + r * angle.sin()]
                    };
                    sketch.ring(&line(&(0..16).map(point).collect::<Vec<_>>()), z);
                }
            }
        }
    }

    /// Box round all parts, grown by so much, as a centre and sides.
    fn all(&self, by: f64) -> ([f64; 2], [f64; 2]) {
        let [w, d] = self.size;
        let least = |axis: usize| self.centres.iter().map(|centre| centre[axis]).fold(f64::MAX, f64::min);
        let most = |axis: usize| self.centres.iter().map(|centre| centre[axis]).fold(f64::MIN, f64::max);
        let side = |axis: usize, own: f64| most(axis) - least(axis) + own + 2.0 * by;
        let middle = |axis: usize| f64::midpoint(most(axis), least(axis));
        ([middle(0), middle(1)], [side(0, w), side(1, d)])
    }

    fn foot(&self, sketch: &mut Sketch) {
        let z = self.height;
        match self.foot {
            Foot::Bare | Foot::Raft(_) => {}
            Foot::Ears(diameter, count) => {
                for centre in &self.centres {
                    let corners = rectangle(*centre, self.size);
                    for corner in corners.into_iter().take(count as usize) {
                        // Rings from the middle out.
                        let mut r = WIDTH;
                        while r < diameter / 2.0 {
                            let point = |k: u32| {
                                let angle = TAU * f64::from(k) / 24.0;
                                [corner[0] + r * angle.cos(), corner[1] + r * angle.sin()]
                            };
                            sketch.ring(&(0..24).map(point).collect::<Vec<_>>(), z);
                            r += WIDTH;
                        }
                    }
                }
            }
            Foot::Brim(width) => {
                for centre in &self.centres {
                    let mut out = width;
                    while out > 0.2 {
                        let sides = self.size.map(|side| side + 2.0 * out - WIDTH);
                        sketch.ring(&rectangle(*centre, sides), z);
                        out -= WIDTH;
                    }
                }
            }
            Foot::Skirt(gap) => {
                for out in [gap + WIDTH, gap] {
                    let (centre, sides) = self.all(out);
                    sketch.ring(&rectangle(centre, sides), z);
                }
            }
        }
    }

    /// A part's layer: two walls, and lines between them.
    fn part(&self, sketch: &mut Sketch, centre: [f64; 2], z: f64) {
        for wall in 0..2 {
            let sides = self.size.map(|side| side - WIDTH * f64::from(1 + 2 * wall));
            sketch.ring(&rectangle(centre, sides), z);
        }
        let inner = self.size.map(|side| side - WIDTH * 4.0);
        sketch.trace(&meander(centre, inner, WIDTH), z);
    }

    /// Draws it.
    #[must_use]
    pub fn sketched(&self, what: &str) -> Sketched {
        let mut sketch = Sketch::new(self.height);
        sketch.place(Place::Strip);
        self.purge(&mut sketch);
        sketch.place(Place::First);
        self.foot(&mut sketch);
        let raft = match self.foot {
            Foot::Raft(out) => {
                for layer in 0..3 {
                    let z = self.height * f64::from(layer + 1);
                    sketch.place([Place::First, Place::Second, Place::Above][layer as usize]);
                    for centre in &self.centres {
                        let sides = self.size.map(|side| side + 2.0 * out);
                        let pitch = if layer == 0 { 1.2 } else { WIDTH };
                        if layer % 2 == 0 {
                            sketch.trace(&meander(*centre, sides, pitch), z);
                        } else {
                            let [w, d] = sides;
                            let across: Vec<_> = meander([0.0, 0.0], [d, w], pitch)
                                .into_iter()
                                .map(|[x, y]| [centre[0] + y, centre[1] + x])
                                .collect();
                            sketch.trace(&across, z);
                        }
                    }
                }
                3
            }
            _ => 0,
        };
        for layer in 0..self.layers {
            let number = raft + layer;
            sketch.place(match number {
                0 => Place::First,
                1 => Place::Second,
                _ => Place::Above,
            });
            for centre in &self.centres {
                self.part(&mut sketch, *centre, self.height * f64::from(number + 1));
            }
        }
        sketch.done(format!("{what}: {self:?}"), raft + self.layers, (self.height * 1000.0).round() as i32)
    }
}

/// All strips.
pub const STRIPS: [Strip; 13] = [
    Strip::None,
    Strip::Lines(1),
    Strip::Lines(3),
    Strip::SameEnd(2),
    Strip::L,
    Strip::U,
    Strip::Patch(6.0),
    Strip::Patch(15.0),
    Strip::Two,
    Strip::Opposite,
    Strip::Zigzag(8.0),
    Strip::Zigzag(14.0),
    Strip::Blob(3.0),
];

/// Each strip along each edge, and each foot, on plates by the dice.
#[must_use]
pub fn jobs(seed: u64) -> Vec<Sketched> {
    let mut dice = Dice::new(seed);
    let mut jobs = Vec::new();
    for strip in STRIPS {
        for edge in 0..4 {
            jobs.push(plate(&mut dice, strip, edge, Foot::Bare).sketched("strip"));
        }
    }
    for number in 0..40 {
        let strip = STRIPS[dice.roll(STRIPS.len())];
        let foot = match number % 5 {
            0 | 1 => Foot::Ears(dice.between(8.0, 20.0), 1 + dice.roll(4) as u32),
            2 => Foot::Brim(dice.between(3.0, 8.0)),
            3 => Foot::Skirt(dice.between(3.0, 8.0)),
            _ => Foot::Raft(dice.between(2.0, 5.0)),
        };
        let edge = dice.roll(4);
        jobs.push(plate(&mut dice, strip, edge, foot).sketched("foot"));
    }
    jobs
}

fn plate(dice: &mut Dice, strip: Strip, edge: usize, foot: Foot) -> Plate {
    let centres = match dice.roll(4) {
        0 => vec![[80.0, 100.0], [140.0, 110.0]],
        1 => vec![[dice.between(70.0, 150.0), dice.between(70.0, 150.0)]],
        _ => vec![[110.0, 110.0]],
    };
    Plate {
        strip,
        edge,
        inset: dice.between(0.3, 8.0),
        foot,
        centres,
        size: [dice.between(18.0, 34.0), dice.between(18.0, 34.0)],
        layers: 3 + dice.roll(4) as u32,
        height: [0.2, 0.2, 0.24, 0.28][dice.roll(4)],
    }
}

/// Work that leaves the plate by its foot, so far over the edge, mm.
#[must_use]
pub fn over_the_edge(seed: u64) -> Vec<Sketched> {
    let mut dice = Dice::new(seed);
    let mut jobs = Vec::new();
    for edge in 0..4 {
        for (foot, reach) in [(Foot::Ears(16.0, 4), 8.0), (Foot::Brim(6.0), 6.0), (Foot::Skirt(6.0), 6.0)] {
            for strip in [Strip::None, Strip::Lines(2), Strip::L] {
                // The strip lies along the edge across.
                let mut plate = plate(&mut dice, strip, edge + 2, foot);
                // The part's edge is so far from the plate's that its foot reaches 1 to 3 mm over it.
                let [w, d] = plate.size;
                let half = if edge % 2 == 0 { d } else { w } / 2.0;
                let off = half + reach - dice.between(1.0, 3.0);
                plate.centres = vec![turned([110.0, off], edge)];
                jobs.push(plate.sketched("over the edge"));
            }
        }
    }
    jobs
}
