//! Jobs that no plan writes: beads laid one by one, with heights of their own.

use std::f64::consts::PI;

use holdpoint_shared::records::Machine;

use super::Job;
use super::cases::{PLA, laid_out};
use super::dialect::Writer;
use super::plan::{Note, Plan, Purge};
use super::shape::Point;

/// A job under way.
pub(super) struct Hand {
    w: Writer,
    width: f64,
    filament: f64,
}

/// A job of beads laid by hand between a plan's start and end.
pub(super) fn by_hand(
    what: &str,
    machine: Machine,
    change: impl FnOnce(&mut Plan),
    body: impl FnOnce(&mut Hand),
) -> Job {
    let mut plan = PLA.plan(laid_out(&machine, Plan::new()));
    (plan.note, plan.purge) = (Note::MaterialOnly, Purge::None);
    change(&mut plan);
    let mut w = Writer::new(plan.dialect);
    plan.begin(&mut w);
    let mut hand = Hand { w, width: plan.width, filament: plan.filament };
    body(&mut hand);
    plan.finish(&mut hand.w);
    let mut bytes = b"; material: PLA\n".to_vec();
    bytes.extend_from_slice(&hand.w.out);
    Job::new(what, bytes, PLA.on(machine))
}

impl Hand {
    /// Up or down to a height, mm.
    pub(super) fn raise_to(&mut self, z: f64) {
        self.w.go([None, None, Some(z)], 600);
    }

    /// A line of text as it is.
    pub(super) fn text(&mut self, text: &str) {
        self.w.line(text);
    }

    fn filament(&self, length: f64, height: f64) -> f64 {
        let area = (self.width - height) * height + PI * height * height / 4.0;
        length * area / (PI * self.filament * self.filament / 4.0)
    }

    /// A chain of beads of one thickness, mm.
    pub(super) fn chain(&mut self, points: &[Point], height: f64) {
        let Some((first, rest)) = points.split_first() else { return };
        self.w.travel(*first, 6000);
        let mut last = *first;
        for point in rest {
            let filament = self.filament((point[0] - last[0]).hypot(point[1] - last[1]), height);
            self.w.bead(*point, None, filament, 2400);
            last = *point;
        }
    }

    /// A chain of beads, each point with its height, all of one thickness.
    pub(super) fn slope(&mut self, points: &[[f64; 3]], height: f64) {
        let Some(([x, y, z], rest)) = points.split_first() else { return };
        self.w.travel([*x, *y], 6000);
        self.raise_to(*z);
        let mut last = [*x, *y];
        for [x, y, z] in rest {
            let filament = self.filament((x - last[0]).hypot(y - last[1]), height);
            self.w.bead([*x, *y], Some(*z), filament, 2400);
            last = [*x, *y];
        }
    }

    /// A ring of straight pieces.
    pub(super) fn ring(&mut self, [cx, cy]: Point, radius: f64, height: f64) {
        let corner = |at: u32| {
            let angle = PI * f64::from(at) / 12.0;
            [cx + radius * angle.cos(), cy + radius * angle.sin()]
        };
        self.chain(&(0..=24).map(corner).collect::<Vec<_>>(), height);
    }

    /// A rectangle's two walls, and its filling of lines so far apart, along X on even layers.
    pub(super) fn block(&mut self, centre: Point, size: Point, height: f64, apart: f64, layer: u32) {
        self.walls(centre, size, height);
        self.fill(centre, [size[0] - 2.0, size[1] - 2.0], height, apart, layer);
    }

    /// A rectangle's two walls.
    pub(super) fn walls(&mut self, [cx, cy]: Point, [w, d]: Point, height: f64) {
        for inner in [self.width * 0.5, self.width * 1.4] {
            let (x, y) = (w / 2.0 - inner, d / 2.0 - inner);
            let corners = [[-x, -y], [x, -y], [x, y], [-x, y], [-x, -y]];
            self.chain(&corners.map(|[u, v]| [cx + u, cy + v]), height);
        }
    }

    /// Lines to and fro.
    pub(super) fn fill(&mut self, [cx, cy]: Point, [w, d]: Point, height: f64, apart: f64, layer: u32) {
        let along_x = layer.is_multiple_of(2);
        let (along, across) = if along_x { (w, d) } else { (d, w) };
        let mut points = Vec::new();
        for row in 0..=(across / apart) as u32 {
            let v = f64::from(row) * apart - across / 2.0;
            let ends = if row.is_multiple_of(2) { [-along, along] } else { [along, -along] };
            for end in ends {
                let (u, v) = if along_x { (end / 2.0, v) } else { (v, end / 2.0) };
                points.push([cx + u, cy + v]);
            }
        }
        self.chain(&points, height);
    }
}
