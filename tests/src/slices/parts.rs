//! What is printed: posts of rounded, straight or uneven outline, with walls, filling and skins.

use std::f64::consts::TAU;

use super::Lines;
use super::nib::{Nib, Point, Use, apart};
use crate::trade::{Place, Rng};

/// A post.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    lines: Lines,
    at: Point,
    /// Half its sides; for an uneven one the mean radius, twice.
    half: Point,
    corner: f64,
    /// Waves of an uneven outline, and where they begin.
    waves: [f64; 2],
    turn: f64,
    /// Length of its smallest pieces.
    piece: f64,
}

impl Part {
    /// One to six alike, in rows on the plate.
    pub(super) fn laid_out(rng: &mut Rng, place: &Place, lines: Lines) -> Vec<Self> {
        let room = (place.bed.0.min(place.bed.1) - 50.0) / 2.0;
        let (count, half) = match lines {
            Lines::Long => (1 + rng.below(2), [rng.between(20.0, 32.0), rng.between(16.0, 30.0)]),
            Lines::Arcs => (2 + rng.below(5), [rng.between(10.0, 17.0), rng.between(9.0, 16.0)]),
            Lines::Tiny => {
                let radius = rng.between(9.0, 16.0);
                (1 + rng.below(4), [radius, radius])
            }
        };
        let half = half.map(|side| side.min(room * 0.7));
        let cell = 2.0 * half[0].max(half[1]) * 1.25 + rng.between(6.0, 12.0);
        let columns = (((place.bed.0 - 30.0) / cell) as usize).clamp(1, count);
        let rows = count.div_ceil(columns).min((((place.bed.1 - 40.0) / cell) as usize).max(1));
        let template = Self {
            lines,
            at: [0.0; 2],
            half,
            corner: rng.between(2.0, 6.0),
            waves: [f64::from(3 + rng.below(5) as u8), f64::from(5 + rng.below(9) as u8)],
            turn: rng.between(0.0, TAU),
            piece: rng.between(0.3, 0.6),
        };
        let middle = |of: usize, n: usize| (n as f64 - (of as f64 - 1.0) / 2.0) * cell;
        (0..count.min(columns * rows))
            .map(|n| Self {
                at: [
                    place.origin.0 + place.bed.0 / 2.0 + middle(columns, n % columns),
                    place.origin.1 + place.bed.1 / 2.0 + 5.0 + middle(rows, n / columns),
                ],
                ..template
            })
            .collect()
    }

    /// How tall it may be without toppling, mm.
    pub(super) fn stands(&self) -> f64 {
        self.half[0].min(self.half[1]) * 5.0
    }

    /// Its outline, moved inwards.
    fn outline(&self, inwards: f64) -> Vec<Point> {
        let [hx, hy] = self.half.map(|half| half - inwards);
        let [x, y] = self.at;
        match self.lines {
            Lines::Long => vec![[x - hx, y - hy], [x + hx, y - hy], [x + hx, y + hy], [x - hx, y + hy]],
            Lines::Arcs => {
                let r = (self.corner - inwards).max(0.3);
                let corner = |cx: f64, cy: f64, from: f64| {
                    (0..=6).map(move |n| {
                        let angle = from + TAU / 4.0 * f64::from(n) / 6.0;
                        [cx + r * angle.cos(), cy + r * angle.sin()]
                    })
                };
                corner(x + hx - r, y - hy + r, TAU * 0.75)
                    .chain(corner(x + hx - r, y + hy - r, 0.0))
                    .chain(corner(x - hx + r, y + hy - r, TAU * 0.25))
                    .chain(corner(x - hx + r, y - hy + r, TAU * 0.5))
                    .collect()
            }
            Lines::Tiny => {
                let count = (TAU * hx / self.piece).ceil().max(12.0) as usize;
                (0..count)
                    .map(|n| {
                        let angle = TAU * n as f64 / count as f64;
                        let out = 1.0
                            + 0.10 * (angle * self.waves[0] + self.turn).sin()
                            + 0.04 * (angle * self.waves[1]).cos();
                        [x + hx * out * angle.cos(), y + hx * out * angle.sin()]
                    })
                    .collect()
            }
        }
    }

    /// All of one layer.
    pub(super) fn lay(&self, nib: &mut Nib, place: &Place, number: usize, solid: bool) {
        let [outer, inner, _, skin] = nib.habits.widths;
        let deep = |wall: usize| {
            outer / 2.0 + if wall == 0 { 0.0 } else { outer / 2.0 + inner * (wall as f64 - 0.5) }
        };
        for wall in (0..nib.habits.walls).rev() {
            let purpose = if wall == 0 { Use::Outer } else { Use::Inner };
            let leaves = wall + 1 == nib.habits.walls;
            if self.lines == Lines::Arcs {
                self.rounded(nib, deep(wall), purpose, leaves);
            } else {
                let mut points = self.outline(deep(wall));
                points.extend(points.first().copied());
                nib.along(&points, purpose, leaves);
            }
        }
        let within = self.outline(deep(nib.habits.walls - 1) + inner / 2.0 + skin * 0.3);
        let (spacing, purpose) = if solid { (skin, Use::Skin) } else { (nib.habits.spacing, Use::Filling) };
        let upright = number % 2 == 1;
        if self.lines == Lines::Tiny && !solid {
            self.waved(nib, &within, spacing.max(place.bore * 3.0), upright);
            return;
        }
        let mut last = None;
        for [from, to] in hatched(&within, spacing, upright) {
            let near = last.is_some_and(|last| apart(last, from) < spacing * 1.8);
            if near && nib.habits.joined {
                nib.bead(from, purpose);
            } else {
                nib.travel(from, false);
            }
            nib.bead(to, purpose);
            last = Some(to);
        }
    }

    /// A wall of four sides and four true quarter circles.
    fn rounded(&self, nib: &mut Nib, inwards: f64, purpose: Use, leaves: bool) {
        let r = (self.corner - inwards).max(0.3);
        let [hx, hy] = self.half.map(|half| half - inwards);
        let [x, y] = self.at;
        let round = |point: Point| point.map(|mm| (mm * 1000.0).round() / 1000.0);
        nib.travel(round([x - hx + r, y - hy]), leaves);
        for (side, end, centre) in [
            ([x + hx - r, y - hy], [x + hx, y - hy + r], [x + hx - r, y - hy + r]),
            ([x + hx, y + hy - r], [x + hx - r, y + hy], [x + hx - r, y + hy - r]),
            ([x - hx + r, y + hy], [x - hx, y + hy - r], [x - hx + r, y + hy - r]),
            ([x - hx, y - hy + r], [x - hx + r, y - hy], [x - hx + r, y - hy + r]),
        ] {
            nib.bead(round(side), purpose);
            nib.arc(round(end), round(centre), purpose);
        }
    }

    /// Filling in waves, in pieces of half a millimetre.
    fn waved(&self, nib: &mut Nib, within: &[Point], spacing: f64, upright: bool) {
        for [from, to] in hatched(within, spacing, upright) {
            let length = apart(from, to);
            let count = (length / (self.piece * 1.4)).ceil().max(1.0) as usize;
            let aside = spacing * 0.3;
            let points: Vec<Point> = (0..=count)
                .map(|n| {
                    let share = n as f64 / count as f64;
                    let along = [0, 1].map(|axis| from[axis] + (to[axis] - from[axis]) * share);
                    // Flat at both ends, so that it stays within the walls.
                    let off = aside * (share * length * TAU / 7.0).sin() * (share * TAU / 2.0).sin();
                    if upright { [along[0] + off, along[1]] } else { [along[0], along[1] + off] }
                })
                .collect();
            nib.along(&points, Use::Filling, false);
        }
    }
}

/// Lines along X or Y within an outline, each other way round.
fn hatched(outline: &[Point], spacing: f64, upright: bool) -> Vec<[Point; 2]> {
    let turned: Vec<Point> = outline.iter().map(|[x, y]| if upright { [*y, *x] } else { [*x, *y] }).collect();
    let ys = || turned.iter().map(|point| point[1]);
    let (least, most) = (ys().fold(f64::MAX, f64::min), ys().fold(f64::MIN, f64::max));
    let mut lines = Vec::new();
    let mut y = least + spacing / 2.0;
    while y < most {
        let ends = turned.iter().zip(turned.iter().cycle().skip(1));
        let mut cuts: Vec<f64> = ends
            .filter(|(a, b)| (a[1] > y) != (b[1] > y))
            .map(|(a, b)| a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]))
            .collect();
        cuts.sort_by(f64::total_cmp);
        let mut pairs: Vec<[f64; 2]> =
            cuts.chunks_exact(2).map(|pair| [pair[0], pair[1]]).filter(|[a, b]| b - a > 0.6).collect();
        if lines.len() % 2 == 1 {
            pairs.reverse();
            pairs.iter_mut().for_each(|pair| pair.reverse());
        }
        for pair in pairs {
            lines.push(pair.map(|x| if upright { [y, x] } else { [x, y] }));
        }
        y += spacing;
    }
    lines
}
