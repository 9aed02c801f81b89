//! Job files for the demo: plausible motion words for a flat part, with a header that agrees with them.

use std::f64::consts::PI;
use std::fmt::Write as _;

use super::shapes::{Point, Shape};

/// Filament of the demo's machine, mm.
const FILAMENT_MM: f64 = 1.75;

/// Width of a laid bead, mm, from a 0.4 mm nozzle.
const BEAD_MM: f64 = 0.45;

/// Walls round each outline.
const WALLS: u32 = 2;

/// Solid layers below and above.
const SOLID_LAYERS: u32 = 3;

/// Feeds, mm/min: first layer, walls, lines, travel, filament alone. Common practice, no source.
const FIRST_FEED: u32 = 1500;
const WALL_FEED: u32 = 2700;
const LINE_FEED: u32 = 3600;
const TRAVEL_FEED: u32 = 9000;
const RETRACT_FEED: u32 = 2100;

/// Filament drawn back before a travel, 10⁻⁵ mm.
const RETRACT_E5: i64 = 80_000;

/// What a job is made of.
#[derive(Clone, Debug)]
pub(super) struct Part {
    pub(super) name: &'static str,
    pub(super) material: &'static str,
    pub(super) nozzle_c: i16,
    pub(super) bed_c: i16,
    pub(super) shape: Shape,
    /// How many, side by side along X, and how far apart, mm.
    pub(super) copies: (u32, f64),
    pub(super) layers: u32,
    pub(super) layer_mm: f64,
    /// Distance between the lines of the inner layers, mm.
    pub(super) line_spacing_mm: f64,
}

/// The motion words of a part, and the filament they feed.
#[derive(Debug)]
pub(super) struct Body {
    pub(super) text: String,
    /// Filament fed, net, 10⁻⁵ mm.
    pub(super) filament_e5: i64,
}

struct Pen {
    text: String,
    at: Point,
    e5: i64,
    layer_mm: f64,
    feed: u32,
}

/// Writes the motion words of a part placed round `centre`, mm.
pub(super) fn body(part: &Part, centre: Point) -> Body {
    let mut pen = Pen { text: String::new(), at: [0.0, 0.0], e5: 0, layer_mm: part.layer_mm, feed: 0 };
    pen.start(part);
    pen.purge();
    for layer in 0..part.layers {
        pen.layer(part, centre, layer);
    }
    pen.end(part);
    Body { text: pen.text, filament_e5: pen.e5 }
}

impl Pen {
    fn put(&mut self, line: std::fmt::Arguments<'_>) {
        // Writing to a String cannot fail.
        let _ = self.text.write_fmt(line);
        self.text.push('\n');
    }

    fn start(&mut self, part: &Part) {
        self.put(format_args!("; Lindenhof workshop, part {}", part.name));
        self.put(format_args!("G21 ; millimetres"));
        self.put(format_args!("G90 ; absolute X Y Z"));
        self.put(format_args!("M83 ; relative E"));
        self.put(format_args!("M140 S{} ; bed on", part.bed_c));
        self.put(format_args!("M190 S{} ; wait for it", part.bed_c));
        self.put(format_args!("G28 ; home"));
        self.put(format_args!("M109 S{} ; nozzle on, wait for it", part.nozzle_c));
        self.put(format_args!("G92 E0"));
    }

    fn purge(&mut self) {
        self.put(format_args!("; purge strip along the front edge"));
        self.put(format_args!("G0 X10.000 Y5.000 Z0.300 F{TRAVEL_FEED}"));
        self.at = [10.0, 5.0];
        let layer = std::mem::replace(&mut self.layer_mm, 0.3);
        self.print([100.0, 5.0], FIRST_FEED);
        self.layer_mm = layer;
    }

    fn layer(&mut self, part: &Part, centre: Point, layer: u32) {
        let first = layer == 0;
        let z = f64::from(layer + 1) * part.layer_mm;
        self.put(format_args!("; layer {} of {}", layer + 1, part.layers));
        self.put(format_args!("G0 Z{z:.3} F{TRAVEL_FEED}"));
        self.feed = TRAVEL_FEED;
        if layer == 1 {
            self.put(format_args!("M106 S255 ; fan"));
        }
        let solid = layer < SOLID_LAYERS || layer + SOLID_LAYERS >= part.layers;
        let spacing = if solid { BEAD_MM } else { part.line_spacing_mm };
        let (copies, apart) = part.copies;
        for copy in 0..copies {
            let x = centre[0] + (f64::from(copy) - f64::from(copies - 1) / 2.0) * apart;
            let placed = |p: Point| [p[0] + x, p[1] + centre[1]];
            for wall in 0..WALLS {
                for outline in part.shape.shifted(BEAD_MM * (f64::from(wall) + 0.5)).0 {
                    let start = placed(outline.0[0]);
                    self.travel(start);
                    let feed = if first { FIRST_FEED } else { WALL_FEED };
                    for &corner in outline.0.iter().skip(1) {
                        self.print(placed(corner), feed);
                    }
                    self.print(start, feed);
                }
            }
            let inner = part.shape.shifted(BEAD_MM * f64::from(WALLS));
            for (from, to) in inner.lines(spacing, layer % 2 == 1) {
                self.go_on(placed(from));
                self.print(placed(to), if first { FIRST_FEED } else { LINE_FEED });
            }
        }
    }

    fn end(&mut self, part: &Part) {
        let clear = f64::from(part.layers) * part.layer_mm + 10.0;
        self.put(format_args!("; end"));
        self.retract(-1);
        self.put(format_args!("G0 Z{clear:.3} F{TRAVEL_FEED}"));
        self.put(format_args!("G0 X0.000 Y200.000"));
        self.put(format_args!("M104 S0 ; nozzle off"));
        self.put(format_args!("M140 S0 ; bed off"));
        self.put(format_args!("M107 ; fan off"));
        self.put(format_args!("M84 ; motors free"));
        self.put(format_args!("M2"));
    }

    /// Lays a bead from here.
    fn print(&mut self, to: Point, feed: u32) {
        let to = rounded(to);
        let length = (to[0] - self.at[0]).hypot(to[1] - self.at[1]);
        let e5 =
            (length * BEAD_MM * self.layer_mm / (PI / 4.0 * FILAMENT_MM * FILAMENT_MM) * 1e5).round() as i64;
        if e5 > 0 {
            let word = self.feed_word(feed);
            self.put(format_args!("G1 X{:.3} Y{:.3} E{}{word}", to[0], to[1], decimal5(e5)));
            self.e5 += e5;
            self.at = to;
        }
    }

    /// Moves there without a bead, the filament drawn back meanwhile.
    fn travel(&mut self, to: Point) {
        self.retract(-1);
        self.step_to(to);
        self.retract(1);
    }

    /// Moves to the next line: straight on when it lies beside this one, else as a travel.
    fn go_on(&mut self, to: Point) {
        if (to[0] - self.at[0]).hypot(to[1] - self.at[1]) < 3.0 { self.step_to(to) } else { self.travel(to) }
    }

    fn step_to(&mut self, to: Point) {
        let to = rounded(to);
        let word = self.feed_word(TRAVEL_FEED);
        self.put(format_args!("G0 X{:.3} Y{:.3}{word}", to[0], to[1]));
        self.at = to;
    }

    fn retract(&mut self, sign: i64) {
        let e5 = sign * RETRACT_E5;
        let word = self.feed_word(RETRACT_FEED);
        self.put(format_args!("G1 E{}{word}", decimal5(e5)));
        self.e5 += e5;
    }

    /// The F word, where the feed changes.
    fn feed_word(&mut self, feed: u32) -> String {
        if self.feed == feed {
            return String::new();
        }
        self.feed = feed;
        format!(" F{feed}")
    }
}

/// To the micrometre, as it is written.
fn rounded(point: Point) -> Point {
    point.map(|value| (value * 1000.0).round() / 1000.0)
}

/// 10⁻⁵ mm as a decimal number of mm.
fn decimal5(value: i64) -> String {
    let sign = if value < 0 { "-" } else { "" };
    format!("{sign}{}.{:05}", value.unsigned_abs() / 100_000, value.unsigned_abs() % 100_000)
}
