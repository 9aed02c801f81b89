//! Parts: what stands at each height, as closed outlines (even-odd), around the part's own centre.

use std::f64::consts::TAU;

use super::rng::Rng;

pub type Point = (f64, f64);
pub type Outline = Vec<Point>;

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    Box,
    /// Round, with arcs where the style has them.
    Cylinder,
    Cone,
    Star,
    Tube,
    Nut,
    Gear,
    /// Small islands on a plate: letters, a grid of pins.
    Islands,
    Frame,
    /// Two feet and a slab over the gap.
    Bridge,
    /// A foot and a wider head on supports.
    Mushroom,
    Ell,
    /// A post that needs a brim.
    Tower,
    Vase,
    ThinWall,
    Lattice,
    Flat,
}

#[derive(Clone, Copy, Debug)]
pub struct Part {
    pub kind: Kind,
    pub at: Point,
    /// Half its size in X and Y, mm.
    pub half: (f64, f64),
    pub height: f64,
    pub angle: f64,
    /// A share from 0 to 1 that the kind uses as it likes.
    pub share: f64,
    pub count: usize,
}

pub fn rectangle(x: f64, y: f64, hx: f64, hy: f64) -> Outline {
    vec![(x - hx, y - hy), (x + hx, y - hy), (x + hx, y + hy), (x - hx, y + hy)]
}

pub fn circle(x: f64, y: f64, radius: f64, corners: usize) -> Outline {
    (0..corners)
        .map(|i| {
            let turn = TAU * i as f64 / corners as f64;
            (x + radius * turn.cos(), y + radius * turn.sin())
        })
        .collect()
}

impl Part {
    #[must_use]
    pub fn choose(rng: &mut Rng, kind: Kind, room: f64) -> Self {
        let size = |rng: &mut Rng, least: f64, most: f64| rng.between(least, most.min(room));
        let half = match kind {
            Kind::Flat => (size(rng, 40.0, 58.0), size(rng, 25.0, 50.0)),
            Kind::Tower => (size(rng, 3.0, 5.0), size(rng, 3.0, 5.0)),
            Kind::Bridge | Kind::Mushroom | Kind::Islands => (size(rng, 11.0, 18.0), size(rng, 8.0, 14.0)),
            _ => (size(rng, 7.0, 20.0), size(rng, 7.0, 20.0)),
        };
        let height = match kind {
            Kind::Flat => rng.between(0.8, 2.0),
            Kind::Tower => rng.between(24.0, 45.0),
            Kind::Vase | Kind::ThinWall => rng.between(5.0, 20.0),
            Kind::Islands | Kind::Frame => rng.between(2.0, 4.0),
            _ => rng.between(2.5, 12.0),
        };
        Self {
            kind,
            at: (0.0, 0.0),
            half,
            height,
            angle: if rng.chance(40) { rng.between(0.0, TAU) } else { 0.0 },
            share: rng.between(0.0, 1.0),
            count: 3 + rng.below(5),
        }
    }

    #[must_use]
    pub fn radius(&self) -> f64 {
        self.half.0.min(self.half.1)
    }

    /// Radius of a round part at a height.
    #[must_use]
    pub fn radius_at(&self, z: f64) -> f64 {
        match self.kind {
            // 0.6 mm outwards or inwards a mm of height: less than 45 degrees.
            Kind::Cone => self.radius() + (self.share - 0.5) * 1.2 * z.min(self.radius() * 0.9),
            _ => self.radius(),
        }
    }

    fn own(&self, z: f64) -> Vec<Outline> {
        let (hx, hy) = self.half;
        let (low, r) = (z < self.height * 0.5, self.radius());
        match self.kind {
            Kind::Box | Kind::Tower | Kind::ThinWall | Kind::Lattice | Kind::Flat => {
                vec![rectangle(0.0, 0.0, hx, hy)]
            }
            Kind::Cylinder => vec![circle(0.0, 0.0, r, 48)],
            Kind::Cone => vec![circle(0.0, 0.0, self.radius_at(z), 40)],
            Kind::Tube => vec![circle(0.0, 0.0, r, 48), circle(0.0, 0.0, r * (0.45 + 0.2 * self.share), 36)],
            Kind::Nut => vec![circle(0.0, 0.0, r, 6), circle(0.0, 0.0, r * 0.5, 30)],
            Kind::Vase | Kind::Star => {
                let corners = self.count * 2;
                let deep = 0.12 + 0.16 * self.share;
                // A slow twist: less than a bead's width from layer to layer.
                let twist = z * 0.02 * self.share;
                (0..1)
                    .map(|_| {
                        (0..corners)
                            .map(|i| {
                                let turn = TAU * i as f64 / corners as f64 + twist;
                                let out = r * if i % 2 == 0 { 1.0 } else { 1.0 - deep };
                                (out * turn.cos(), out * turn.sin())
                            })
                            .collect()
                    })
                    .collect()
            }
            Kind::Gear => {
                let teeth = 8 + self.count;
                let wheel = (0..teeth * 4)
                    .map(|i| {
                        let turn = TAU * i as f64 / (teeth * 4) as f64;
                        let out = if (i / 2) % 2 == 0 { r } else { r * 0.84 };
                        (out * turn.cos(), out * turn.sin())
                    })
                    .collect();
                vec![wheel, circle(0.0, 0.0, r * 0.3, 24)]
            }
            Kind::Islands => {
                if low {
                    return vec![rectangle(0.0, 0.0, hx, hy)];
                }
                let step = 2.0 * hx / self.count as f64;
                (0..self.count)
                    .map(|i| {
                        let x = -hx + step * (i as f64 + 0.5);
                        rectangle(x, (i % 2) as f64 * 1.5 - 0.7, step * 0.28, hy * (0.4 + 0.3 * self.share))
                    })
                    .collect()
            }
            Kind::Frame => vec![rectangle(0.0, 0.0, hx, hy), rectangle(0.0, 0.0, hx - 3.5, hy - 3.5)],
            Kind::Bridge => {
                if z < self.height * 0.6 {
                    vec![rectangle(-hx + 3.0, 0.0, 3.0, hy), rectangle(hx - 3.0, 0.0, 3.0, hy)]
                } else {
                    vec![rectangle(0.0, 0.0, hx, hy)]
                }
            }
            Kind::Mushroom => {
                if z < self.height * 0.6 {
                    vec![rectangle(0.0, 0.0, hx * 0.35, hy * 0.5)]
                } else {
                    vec![rectangle(0.0, 0.0, hx, hy)]
                }
            }
            Kind::Ell => vec![vec![
                (-hx, -hy),
                (hx, -hy),
                (hx, -hy + 5.0),
                (-hx + 5.0, -hy + 5.0),
                (-hx + 5.0, hy),
                (-hx, hy),
            ]],
        }
    }

    /// Its outlines at a height, on the plate.
    #[must_use]
    pub fn outlines(&self, z: f64) -> Vec<Outline> {
        let (sin, cos) = self.angle.sin_cos();
        let place = |(x, y): Point| (self.at.0 + x * cos - y * sin, self.at.1 + x * sin + y * cos);
        self.own(z).into_iter().map(|outline| outline.into_iter().map(place).collect()).collect()
    }

    /// Rectangles of support at a height, on the plate: for the head of a mushroom. They end where the layer above, of this
    /// height, is the last below the head, so that they come off; two layers would leave half a millimetre of air.
    #[must_use]
    pub fn supports(&self, z: f64, next: f64) -> Vec<Outline> {
        if self.kind != Kind::Mushroom || z + next / 2.0 >= self.height * 0.6 {
            return Vec::new();
        }
        let (hx, hy) = self.half;
        let (sin, cos) = self.angle.sin_cos();
        let place = |(x, y): Point| (self.at.0 + x * cos - y * sin, self.at.1 + x * sin + y * cos);
        let wide = hx * 0.65 - 1.4;
        [-1.0, 1.0]
            .into_iter()
            .map(|side| rectangle(side * (hx * 0.35 + 1.0 + wide / 2.0), 0.0, wide / 2.0, hy - 0.4))
            .map(|outline| outline.into_iter().map(place).collect())
            .collect()
    }

    #[must_use]
    pub fn reach(&self) -> f64 {
        let grow = if self.kind == Kind::Cone { 1.6 } else { 1.0 };
        self.half.0.hypot(self.half.1) * grow
    }
}

fn turns_left(outline: &[Point]) -> bool {
    let next = outline.iter().cycle().skip(1);
    outline.iter().zip(next).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>() > 0.0
}

/// An outline moved inwards by so much.
#[must_use]
pub fn inset(outline: &[Point], by: f64) -> Outline {
    let n = outline.len();
    let side = if turns_left(outline) { 1.0 } else { -1.0 };
    let normal = |a: Point, b: Point| {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = dx.hypot(dy).max(1e-9);
        (-dy / length * side, dx / length * side)
    };
    (0..n)
        .map(|i| {
            let (a, b, c) = (outline[(i + n - 1) % n], outline[i], outline[(i + 1) % n]);
            let (p, q) = (normal(a, b), normal(b, c));
            let scale = by / (1.0 + p.0 * q.0 + p.1 * q.1).max(0.35);
            (b.0 + (p.0 + q.0) * scale, b.1 + (p.1 + q.1) * scale)
        })
        .collect()
}

/// Parallel lines inside outlines (even-odd), every other one turned round.
#[must_use]
pub fn hatch(outlines: &[Outline], angle: f64, spacing: f64) -> Vec<(Point, Point)> {
    let (sin, cos) = angle.sin_cos();
    let turn = |(x, y): Point| (x * cos + y * sin, -x * sin + y * cos);
    let back = |(x, y): Point| (x * cos - y * sin, x * sin + y * cos);
    let turned: Vec<Outline> = outlines.iter().map(|o| o.iter().copied().map(turn).collect()).collect();
    let ys = turned.iter().flatten().map(|point| point.1);
    let (least, most) = ys.fold((f64::MAX, f64::MIN), |(a, b), y| (a.min(y), b.max(y)));
    let mut lines = Vec::new();
    let mut y = (least / spacing).ceil() * spacing + 0.001;
    let mut forth = true;
    while y < most {
        let mut cuts: Vec<f64> = Vec::new();
        for outline in &turned {
            for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
                if (a.1 > y) != (b.1 > y) {
                    cuts.push(a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0));
                }
            }
        }
        cuts.sort_by(f64::total_cmp);
        let mut pairs: Vec<(f64, f64)> =
            cuts.chunks_exact(2).map(|pair| (pair[0], pair[1])).filter(|(a, b)| b - a > 0.25).collect();
        if !forth {
            pairs.reverse();
            pairs.iter_mut().for_each(|pair| *pair = (pair.1, pair.0));
        }
        lines.extend(pairs.iter().map(|(a, b)| (back((*a, y)), back((*b, y)))));
        y += spacing;
        forth = !forth;
    }
    lines
}
