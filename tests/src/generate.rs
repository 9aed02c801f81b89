//! Job files made from a seed: walls, infill, arcs, a spiral, several parts, inches, relative words, purge strips.
//!
//! What stands in them is our own invention. Numbers are written with as many decimals as programs for such jobs
//! usually write (3 for positions, 5 for filament).

use std::fmt::Write;

use holdpoint_shared::records::{Corner, FeedPath, Machine, Motion, NozzleMetal};
use holdpoint_shared::units::Celsius;

/// What a job is to hold.
#[derive(Clone, Copy, Debug)]
pub struct Plan {
    pub seed: u64,
    /// Layers of each part; the job ends earlier when `bytes` is reached.
    pub layers: u32,
    /// Bytes after which no further layer is begun.
    pub bytes: usize,
    /// Parts beside each other.
    pub parts: u32,
    /// One part after the other instead of layer by layer.
    pub one_by_one: bool,
    /// Height at which a strip is purged first, µm.
    pub purge_um: Option<i64>,
    pub inch: bool,
    pub relative_positions: bool,
    pub relative_feed: bool,
    /// Rounded corners as arcs.
    pub arcs: bool,
    /// Walls rise in a spiral above this layer.
    pub spiral_from: Option<u32>,
    /// Layer heights vary.
    pub varied: bool,
    /// Lift over travels.
    pub hop: bool,
    /// Stand still so long before each layer but the first, ms.
    pub dwell_ms: u32,
}

impl Default for Plan {
    fn default() -> Self {
        Self {
            seed: 1,
            layers: 20,
            bytes: usize::MAX,
            parts: 2,
            one_by_one: false,
            purge_um: Some(200),
            inch: false,
            relative_positions: false,
            relative_feed: false,
            arcs: true,
            spiral_from: None,
            varied: false,
            hop: true,
            dwell_ms: 0,
        }
    }
}

/// A machine sheet with common values.
#[must_use]
pub fn sheet() -> Machine {
    Machine {
        tag: "M1".try_into().unwrap_or_default(),
        also: heapless::Vec::new(),
        bed_um: [250_000, 210_000],
        origin_centre: false,
        round: false,
        height_um: 210_000,
        filament_um: 1750,
        bore_um: 400,
        nozzle_metal: NozzleMetal::Brass,
        nozzle_max_c: Celsius(280),
        lined_throat: false,
        bed_max_c: Celsius(110),
        heaters: None,
        motion: Motion {
            max_speed_mm_s: [300, 300, 12, 60],
            max_accel_mm_s2: [3000, 3000, 200, 5000],
            print_accel_mm_s2: 1500,
            travel_accel_mm_s2: 2000,
            retract_accel_mm_s2: 1500,
            corner: Corner::AxisStep([8_000, 8_000, 400, 4_500]),
            look_ahead: 32,
        },
        flow_max_mm3_s: Some(12),
        home_s: 20,
        probe_s: 40,
        plates: heapless::Vec::new(),
        enclosed: false,
        tools: 1,
        feed_path: FeedPath::Direct,
        absolute_resets_feed: Some(false),
        name_max: None,
        start_words: heapless::Vec::new(),
        clearance_radius_um: None,
        clearance_height_um: None,
        overrun_um: 0,
        time_permille: 1000,
        lead_code: None,
        ..Machine::default()
    }
}

/// Steele, Lea and Flood's SplitMix64 (2014): the same numbers on every machine.
#[derive(Clone, Copy, Debug)]
pub struct Dice(u64);

impl Dice {
    /// The numbers that a seed gives.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 up to `below`.
    pub fn roll(&mut self, below: u64) -> u64 {
        self.next() % below
    }
}

/// Positions in µm, filament in 10⁻⁵ mm: what the decimals written can hold. Inches: 10⁻⁵ in both.
struct Writer {
    plan: Plan,
    out: String,
    at: [i64; 3],
    e: i64,
    feed: u32,
}

/// A fixed-point number with `decimals` places, trailing zeros left out as usual.
fn decimal(value: i64, decimals: u32) -> String {
    let unit = 10_i64.pow(decimals);
    let sign = if value < 0 { "-" } else { "" };
    let (whole, part) = (value.abs() / unit, value.abs() % unit);
    if part == 0 {
        return format!("{sign}{whole}");
    }
    let text = format!("{sign}{whole}.{part:0width$}", width = decimals as usize);
    text.trim_end_matches('0').to_owned()
}

impl Writer {
    /// µm as the job writes positions.
    fn position(&self, um: i64) -> String {
        if self.plan.inch {
            // Positions are whole multiples of 10⁻⁵ in = 0.254 µm only by rounding.
            decimal(inches(um), 5)
        } else {
            decimal(um, 3)
        }
    }

    fn go(&mut self, to: [Option<i64>; 3], filament: Option<i64>, feed: u32, arc: Option<([i64; 2], bool)>) {
        let word = match arc {
            None if filament.is_none() => "G0",
            None => "G1",
            Some((_, true)) => "G3",
            Some((_, false)) => "G2",
        };
        self.out.push_str(word);
        for ((letter, at), to) in ['X', 'Y', 'Z'].into_iter().zip(0..3).zip(to) {
            let Some(to) = to else { continue };
            let value = if self.plan.relative_positions {
                let (new, old) =
                    if self.plan.inch { (inches(to), inches(self.at[at])) } else { (to, self.at[at]) };
                if self.plan.inch { decimal(new - old, 5) } else { decimal(new - old, 3) }
            } else {
                self.position(to)
            };
            let _ = write!(self.out, " {letter}{value}");
            self.at[at] = to;
        }
        if let Some((centre, _)) = arc {
            let [i, j] = centre.map(|offset| self.position(offset));
            let _ = write!(self.out, " I{i} J{j}");
        }
        if let Some(filament) = filament {
            self.e += filament;
            let value = if self.plan.relative_feed { filament } else { self.e };
            let _ = write!(self.out, " E{}", decimal(value, 5));
        }
        if feed != self.feed {
            self.feed = feed;
            let value =
                if self.plan.inch { decimal(i64::from(feed) * 1000 / 254, 2) } else { feed.to_string() };
            let _ = write!(self.out, " F{value}");
        }
        self.out.push('\n');
    }

    /// A bead to a point, with filament for a width of 0.45 mm.
    fn bead(&mut self, x: i64, y: i64, height_um: i64, feed: u32) {
        let (dx, dy) = ((x - self.at[0]) as f64, (y - self.at[1]) as f64);
        let filament = self.filament(dx.hypot(dy), height_um);
        self.go([Some(x), Some(y), None], Some(filament), feed, None);
    }

    /// Filament for a length in µm, 10⁻⁵ mm (or 10⁻⁵ in).
    fn filament(&self, length_um: f64, height_um: i64) -> i64 {
        let h = height_um as f64 / 1000.0;
        let area = (0.45 - h) * h + std::f64::consts::PI * h * h / 4.0;
        let e = length_um / 1000.0 * area / 2.405_28;
        if self.plan.inch { (e / 25.4 * 1e5) as i64 } else { (e * 1e5) as i64 }
    }

    fn travel(&mut self, x: i64, y: i64) {
        let z = self.at[2];
        let pull = if self.plan.inch { 3150 } else { 80_000 };
        self.go([None; 3], Some(-pull), 2100, None);
        if self.plan.hop {
            self.go([None, None, Some(z + 400)], None, 9000, None);
        }
        self.go([Some(x), Some(y), None], None, 9000, None);
        if self.plan.hop {
            self.go([None, None, Some(z)], None, 9000, None);
        }
        self.go([None; 3], Some(pull), 2100, None);
    }
}

/// µm to 10⁻⁵ in, nearest.
fn inches(um: i64) -> i64 {
    (um * 1000 + 127 * um.signum()) / 254
}

/// The text of a job.
#[must_use]
pub fn job(plan: &Plan) -> String {
    let mut w = Writer { plan: *plan, out: String::new(), at: [0; 3], e: 0, feed: 0 };
    let mut dice = Dice(plan.seed);
    w.out.push_str("; a job of our own making\nM140 S60\nM104 S215\n");
    w.out.push_str(if plan.inch { "G20\n" } else { "G21\n" });
    w.out.push_str(if plan.relative_positions { "G91\n" } else { "G90\n" });
    w.out.push_str(if plan.relative_feed { "M83\n" } else { "M82\n" });
    w.out.push_str("G28\nM190 S60\nM109 S215\nG92 E0\n");
    if let Some(z) = plan.purge_um {
        w.go([None, None, Some(z)], None, 600, None);
        w.go([Some(20_000), Some(4_000), None], None, 6000, None);
        w.bead(120_000, 4_000, 300, 1200);
        w.go([None, Some(4_500), None], None, 6000, None);
        w.bead(20_000, 4_500, 300, 1200);
        w.out.push_str("G92 E0 ; counted from here\n");
        w.e = 0;
    }
    let heights = heights(plan, &mut dice);
    if plan.one_by_one {
        for part in 0..plan.parts {
            // Over all that stands.
            let top = w.at[2] + 5_000;
            w.go([None, None, Some(top)], None, 600, None);
            // And over its own place, before it comes down again.
            let [x, y] = centre(part);
            w.go([Some(x), Some(y), None], None, 9000, None);
            for (layer, (z, height)) in heights.iter().enumerate() {
                one_layer(&mut w, &mut dice, part, layer as u32, *z, *height, true);
                if w.out.len() > plan.bytes {
                    break;
                }
            }
        }
    } else {
        for (layer, (z, height)) in heights.iter().enumerate() {
            for part in 0..plan.parts {
                one_layer(&mut w, &mut dice, part, layer as u32, *z, *height, part == 0);
            }
            if w.out.len() > plan.bytes {
                break;
            }
            if layer == 0 {
                w.out.push_str("M106 S255\nM104 S210\n");
            }
        }
    }
    w.out.push_str("M104 S0\nM140 S0\nM107\n");
    let up = w.at[2] + 10_000;
    w.go([None, None, Some(up)], None, 600, None);
    w.go([Some(0), Some(200_000), None], None, 6000, None);
    w.out.push_str("M84\nM2\n");
    w.out
}

fn heights(plan: &Plan, dice: &mut Dice) -> Vec<(i64, i64)> {
    let mut z = 0;
    (0..plan.layers)
        .map(|layer| {
            let height = match layer {
                0 => 200,
                _ if plan.varied => 80 + 10 * dice.roll(20) as i64,
                _ => 200,
            };
            z += height;
            (z, height)
        })
        .collect()
}

/// Middle of a part.
fn centre(part: u32) -> [i64; 2] {
    [40_000 + 60_000 * i64::from(part % 3), 60_000 + 70_000 * i64::from(part / 3)]
}

/// One layer of one part: two walls with rounded or many-cornered ends, then infill.
fn one_layer(w: &mut Writer, dice: &mut Dice, part: u32, layer: u32, z: i64, height: i64, rise: bool) {
    let centre = centre(part);
    let radius = 20_000 + dice.roll(400) as i64;
    let spiral = w.plan.spiral_from.is_some_and(|from| layer >= from);
    let speed = if layer == 0 { 1200 } else { 3000 };
    if w.plan.dwell_ms > 0 && layer > 0 {
        let _ = writeln!(w.out, "G4 P{}", w.plan.dwell_ms);
    }
    if spiral {
        circle(w, centre, radius, height, speed, Some((w.at[2].max(z - height), z)));
        return;
    }
    if rise {
        w.go([None, None, Some(z)], None, 600, None);
    }
    w.travel(centre[0] + radius, centre[1]);
    circle(w, centre, radius, height, speed, None);
    w.travel(centre[0] - 15_000, centre[1] - 12_000);
    if w.plan.arcs {
        rounded(w, centre, [15_000, 12_000], 3_000, height, speed);
    }
    w.travel(centre[0] - 14_000, centre[1] - 11_000);
    let mut y = centre[1] - 11_000;
    let mut right = true;
    while y < centre[1] + 11_000 {
        let jag = dice.roll(300) as i64;
        let x = if right { centre[0] + 14_000 - jag } else { centre[0] - 14_000 + jag };
        w.bead(x, y, height, speed + 1200);
        y += 450 + dice.roll(900) as i64;
        w.bead(x, y, height, speed + 1200);
        right = !right;
    }
}

/// A wall of short lines, level or rising.
fn circle(w: &mut Writer, centre: [i64; 2], radius: i64, height: i64, speed: u32, rise: Option<(i64, i64)>) {
    let pieces = 160;
    for piece in 1..=pieces {
        let angle = f64::from(piece) * std::f64::consts::TAU / f64::from(pieces);
        let wobble = radius as f64 + 300.0 * (7.0 * angle).sin();
        let x = centre[0] + (wobble * angle.cos()).round() as i64;
        let y = centre[1] + (wobble * angle.sin()).round() as i64;
        match rise {
            None => w.bead(x, y, height, speed),
            Some((from, to)) => {
                let z = from + (to - from) * i64::from(piece) / i64::from(pieces);
                let length = ((x - w.at[0]) as f64).hypot((y - w.at[1]) as f64);
                let filament = w.filament(length, height);
                w.go([Some(x), Some(y), Some(z)], Some(filament), speed, None);
            }
        }
    }
}

/// A rectangle with arcs for corners, counter-clockwise from its lower left.
fn rounded(w: &mut Writer, centre: [i64; 2], half: [i64; 2], r: i64, height: i64, speed: u32) {
    let ([cx, cy], [hx, hy]) = (centre, half);
    let arc_length = r as f64 * std::f64::consts::FRAC_PI_2;
    let corners = [
        ([cx + hx - r, cy - hy], [cx + hx, cy - hy + r], [0, r]),
        ([cx + hx, cy + hy - r], [cx + hx - r, cy + hy], [-r, 0]),
        ([cx - hx + r, cy + hy], [cx - hx, cy + hy - r], [0, -r]),
        ([cx - hx, cy - hy + r], [cx - hx + r, cy - hy], [r, 0]),
    ];
    for ([x0, y0], [x1, y1], offset) in corners {
        w.bead(x0, y0, height, speed);
        let filament = w.filament(arc_length, height);
        w.go([Some(x1), Some(y1), None], Some(filament), speed, Some((offset, true)));
    }
}
