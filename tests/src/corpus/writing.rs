//! A plan's start text, layers and end text.

use std::f64::consts::PI;

use super::dialect::{Comments, Writer};
use super::plan::{End, Heat, Plan, Purge, Start};
use super::shape::Shape;

impl Plan {
    /// Filament a millimetre of bead: a rectangle with two half rounds over the filament's cross-section.
    fn ratio(&self, width: f64, height: f64) -> f64 {
        let area = (width - height) * height + PI * height * height / 4.0;
        area / (PI * self.filament * self.filament / 4.0)
    }

    /// The start text.
    pub(super) fn begin(&self, w: &mut Writer) {
        let d = self.dialect;
        w.comment("a part of our own making");
        if self.start == Start::Limits {
            for words in ["M201 X1000 Y1000 Z100 E5000", "M203 X150 Y150 Z8 E25", "M204 P800 T1000 R1200"] {
                w.line(words);
            }
            w.line("M205 X8 Y8 Z0.4 E4.5");
            w.line("M220 S100");
            w.line("M221 S100");
        }
        w.line("G21");
        w.line("G90");
        w.line(if d.relative_feed { "M83" } else { "M82" });
        let ([nozzle, _], [bed, _]) = (self.nozzle, self.bed);
        match self.heat {
            Heat::BedFirst => {
                w.line(&format!("M140 S{bed}"));
                w.line(&format!("M190 S{bed}"));
                w.line(&format!("M104 S{nozzle}"));
            }
            Heat::Together => {
                w.line(&format!("M140 S{bed}"));
                w.line(&format!("M104 S{nozzle}"));
                w.line(&format!("M190 S{bed}"));
            }
            Heat::NoBed => w.line(&format!("M104 S{nozzle}")),
            Heat::Macro(word) => w.line(&format!("{word} BED={bed} NOZZLE={nozzle}")),
        }
        if !matches!(self.heat, Heat::Macro(_)) {
            w.line("G28");
            if self.start == Start::Probe {
                w.line("G29");
            }
            w.line(&format!("M109 S{nozzle}"));
        }
        if self.start == Start::RelativeLift {
            w.line("G91");
            w.line("G1 Z5 F600");
            w.line("G90");
            w.line(if d.relative_feed { "M83" } else { "M82" });
            w.at[2] = 5000;
        } else {
            w.go([None, None, Some(5.0)], 600);
        }
        if self.start == Start::ZOffset {
            w.line("G92 Z5.05");
            w.at[2] = 5050;
        }
        w.reset_feed();
        match self.purge {
            Purge::None => {}
            Purge::Blob => {
                w.go([Some(self.park[0]), Some(5.0), None], 6000);
                w.go([None, None, Some(1.5)], 600);
                w.push(18.0, 150);
                w.push(-1.0, 1800);
                w.push(1.0, 1800);
            }
            Purge::Line { x, length, y, z } => {
                w.go([Some(x), Some(y), None], 6000);
                w.go([None, None, Some(z)], 600);
                w.push(4.0, 300);
                // A fat bead, as a strip is.
                let filament = length * self.ratio(self.width * 1.3, z);
                w.bead([x + length, y], None, filament, 1000);
                w.bead([x + length, y + 0.6], None, 0.6 * self.ratio(self.width, z), 1000);
                w.bead([x, y + 0.6], None, filament, 1000);
                w.go([None, None, Some(z + 1.0)], 600);
            }
        }
        if self.dialect.relative_positions {
            w.line("G91");
            w.line(if d.relative_feed { "M83" } else { "M82" });
            w.relative = true;
        }
        w.reset_feed();
    }

    fn put_in(&self, w: &mut Writer, place: u32) {
        for (_, lines) in self.insert.iter().filter(|(at, _)| *at == place) {
            lines.lines().for_each(|line| w.line(line));
        }
    }

    fn height(&self, layer: u32) -> f64 {
        let turn = layer as usize % self.heights.len().max(1);
        let other = || self.heights.get(turn).copied().unwrap_or(self.layer);
        if layer == 0 { self.first } else { other() }
    }

    /// All layers.
    pub(super) fn print(&self, w: &mut Writer) {
        if self.one_by_one {
            for (part, centre) in self.centres.iter().enumerate() {
                if part > 0 {
                    let over = w.at[2] as f64 / 1000.0 + 3.0;
                    w.pull();
                    w.go([None, None, Some(over)], 600);
                    w.go([Some(centre[0]), Some(centre[1]), None], 6000);
                    w.unpull();
                }
                let mut z = 0.0;
                for layer in 0..self.layers {
                    z += self.height(layer);
                    self.layer(w, layer, z, &[*centre]);
                }
            }
            return;
        }
        let mut z = 0.0;
        for layer in 0..self.layers {
            z += self.height(layer);
            self.layer(w, layer, z, &self.centres);
        }
    }

    fn layer(&self, w: &mut Writer, layer: u32, z: f64, centres: &[[f64; 2]]) {
        self.put_in(w, layer);
        if self.dialect.comments != Comments::None {
            w.comment(&format!("layer {} of {}", layer + 1, self.layers));
        }
        if self.dialect.progress {
            w.line(&format!("M73 P{} R{}", layer * 100 / self.layers, self.layers - layer));
            w.line(&format!("M117 Layer {}/{}", layer + 1, self.layers));
        }
        if self.dialect.reset_feed && !self.dialect.relative_feed && layer > 0 {
            w.reset_feed();
        }
        if layer == 1 {
            if self.nozzle[0] != self.nozzle[1] {
                w.line(&format!("M104 S{}", self.nozzle[1]));
            }
            if self.bed[0] != self.bed[1] {
                w.line(&format!("M140 S{}", self.bed[1]));
            }
        }
        if layer >= 1
            && let Some(fan) = self.fan.get(layer as usize - 1)
        {
            w.line(&format!("M106 S{fan}"));
        }
        let [first, wall, fill, travel] = self.speed.map(|mm_s| mm_s * 60);
        let height = self.height(layer);
        let ratio = self.ratio(self.width, height);
        if matches!(self.shape, Shape::Vase(_)) && layer >= 2 {
            self.turn(w, z - height, height, centres[0], wall);
            return;
        }
        w.go([None, None, Some(z)], 600);
        if let (0, Some(gap)) = (layer, self.skirt) {
            self.skirt(w, gap, ratio);
        }
        for centre in centres {
            for trace in self.shape.traces(layer, self.layers, self.width, height) {
                let feed = if layer == 0 {
                    first
                } else if trace.fill {
                    fill
                } else {
                    wall
                };
                let at = |point: [f64; 2]| [point[0] + centre[0], point[1] + centre[1]];
                w.travel(at(trace.points[0]), travel);
                if let Some(radius) = trace.circle {
                    let length = std::f64::consts::TAU * radius;
                    w.circle(*centre, radius, length * ratio, feed);
                }
                for pair in trace.points.windows(2) {
                    let length = (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]);
                    w.bead(at(pair[1]), None, length * ratio, feed);
                }
            }
        }
    }

    /// Two loops round all parts.
    fn skirt(&self, w: &mut Writer, gap: f64, ratio: f64) {
        let traces = self.shape.traces(0, self.layers, self.width, self.first);
        let points = || {
            let points =
                self.centres.iter().map(|centre| (centre, traces.iter().flat_map(|trace| &trace.points)));
            points.flat_map(|(centre, points)| {
                points.map(move |point| [point[0] + centre[0], point[1] + centre[1]])
            })
        };
        let least = |axis: usize| points().map(|point| point[axis]).fold(f64::MAX, f64::min);
        let most = |axis: usize| points().map(|point| point[axis]).fold(f64::MIN, f64::max);
        for out in [gap + self.width, gap] {
            let ([x0, y0], [x1, y1]) = ([least(0) - out, least(1) - out], [most(0) + out, most(1) + out]);
            w.travel([x0, y0], 6000);
            for (to, length) in
                [([x1, y0], x1 - x0), ([x1, y1], y1 - y0), ([x0, y1], x1 - x0), ([x0, y0], y1 - y0)]
            {
                w.bead(to, None, length * ratio, self.speed[0] * 60);
            }
        }
    }

    /// A turn of a spiral.
    fn turn(&self, w: &mut Writer, from: f64, height: f64, centre: [f64; 2], feed: u32) {
        let Shape::Vase(radius) = self.shape else { return };
        let radius = radius - self.width / 2.0;
        let corners = 64;
        let step = std::f64::consts::TAU / f64::from(corners);
        let filament = 2.0 * radius * (step / 2.0).sin() * self.ratio(self.width, height);
        if w.at[2] != ((from + height) * 1000.0).round() as i64 {
            let start = [centre[0] + radius, centre[1]];
            if (w.at[0] - (start[0] * 1000.0).round() as i64).abs() > 50 {
                w.travel(start, 6000);
            }
        }
        for corner in 1..=corners {
            let angle = step * f64::from(corner);
            let to = [centre[0] + radius * angle.cos(), centre[1] + radius * angle.sin()];
            let z = from + height * f64::from(corner) / f64::from(corners);
            w.bead(to, Some(z), filament, feed);
        }
    }

    /// The end text.
    pub(super) fn finish(&self, w: &mut Writer) {
        self.put_in(w, self.layers);
        w.comment("end");
        let top = w.at[2] as f64 / 1000.0;
        let absolute = |w: &mut Writer| {
            if std::mem::take(&mut w.relative) {
                w.line("G90");
            }
        };
        let off = |w: &mut Writer| {
            w.line("M104 S0");
            if self.heat != Heat::NoBed {
                w.line("M140 S0");
            }
        };
        match self.end {
            End::Macro(word) => w.line(word),
            End::Park => {
                absolute(w);
                off(w);
                w.line("M107");
                w.push(-2.0, 1800);
                w.go([None, None, Some(top + 10.0)], 600);
                w.go([Some(self.park[0]), Some(self.park[1]), None], 6000);
                w.line("M84");
            }
            End::HomeXy => {
                w.line("G91");
                w.line("G1 Z10 F600");
                w.line("G90");
                w.line("G28 X Y");
                off(w);
                w.line("M106 S0");
                w.line("M84 X Y E");
                w.line("M2");
            }
            End::HomeAll => {
                absolute(w);
                off(w);
                w.line("G28");
                w.line("M84");
            }
        }
        self.put_in(w, self.layers + 1);
    }
}
