//! One job as a plan, and its bytes.

use std::f64::consts::PI;

use super::dialect::{Dialect, Writer};
use super::shape::Shape;

/// How the start text heats.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heat {
    /// Bed, wait, nozzle, wait.
    BedFirst,
    /// Both set, then both waited for.
    Together,
    /// Nozzle only: the bed stays cold.
    NoBed,
    /// A word of the machine's own that heats and homes.
    Macro(&'static str),
}

/// What else the start text does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Start {
    Plain,
    /// Probes the plate.
    Probe,
    /// Lifts by relative words first.
    RelativeLift,
    /// Sets speeds and accelerations.
    Limits,
    /// The head stands 5 mm up when its Z is said to be a little more: beads come to lie that much lower.
    ZOffset,
}

/// The purge strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Purge {
    None,
    /// Along the front: from X, length, Y and height, mm.
    Line {
        x: f64,
        length: f64,
        y: f64,
        z: f64,
    },
    /// A push on the spot before the first layer.
    Blob,
}

/// How the job ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Heat off, lift, park at the back, motors off.
    Park,
    /// Lift by relative words, home X and Y, heat off, motors off, end word.
    HomeXy,
    /// All axes home: a machine whose head goes up for it.
    HomeAll,
    /// A word of the machine's own.
    Macro(&'static str),
}

/// What the job says about itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Note {
    /// A job header with the body's length and check.
    Header,
    /// Free comments at the start.
    Head,
    /// Free comments after the end, behind and before tens of kilobytes of settings.
    Tail,
    /// Only the material, in a comment.
    MaterialOnly,
    Nothing,
}

/// A job to be written.
#[derive(Clone, Debug)]
pub struct Plan {
    pub shape: Shape,
    /// Centres of the parts, mm.
    pub centres: Vec<[f64; 2]>,
    pub one_by_one: bool,
    pub layers: u32,
    /// Heights of the first and of all other layers, mm.
    pub first: f64,
    pub layer: f64,
    /// Layer heights that change from layer to layer, in turn; empty = all alike.
    pub heights: Vec<f64>,
    /// Line width, mm.
    pub width: f64,
    /// Filament diameter, mm.
    pub filament: f64,
    /// Nozzle on the first layer and above; bed on the first layer and above, °C.
    pub nozzle: [i32; 2],
    pub bed: [i32; 2],
    /// Speeds, mm/s: first layer, walls, infill, travel.
    pub speed: [u32; 4],
    /// Fan from the second layer on, of 255, in turn.
    pub fan: Vec<u32>,
    pub material: String,
    pub bore: f64,
    pub start: Start,
    pub heat: Heat,
    pub purge: Purge,
    pub end: End,
    /// Where it parks, mm.
    pub park: [f64; 2],
    pub note: Note,
    /// More keys for the header, each beginning with a comma.
    pub header: String,
    /// Whether the stated length leaves the start text's purge out, as programs do that do not read it.
    pub length_without_purge: bool,
    pub picture: bool,
    pub dialect: Dialect,
    /// Two loops round all parts on the first layer, at this distance, mm.
    pub skirt: Option<f64>,
    /// Lines put in before the first layer, before a layer by its number, and after the last bead.
    pub insert: Vec<(u32, String)>,
}

impl Plan {
    /// A small block of PLA in the middle of a plate of 220 mm.
    #[must_use]
    pub fn new() -> Self {
        Self {
            shape: Shape::Block(30.0, 20.0),
            centres: vec![[110.0, 110.0]],
            one_by_one: false,
            layers: 12,
            first: 0.2,
            layer: 0.2,
            heights: Vec::new(),
            width: 0.45,
            filament: 1.75,
            nozzle: [210, 205],
            bed: [60, 60],
            speed: [20, 45, 60, 150],
            fan: vec![85, 170, 255],
            material: "PLA".to_owned(),
            bore: 0.4,
            start: Start::Plain,
            heat: Heat::BedFirst,
            purge: Purge::Line { x: 15.0, length: 90.0, y: 4.0, z: 0.2 },
            end: End::Park,
            park: [10.0, 200.0],
            note: Note::Header,
            header: String::new(),
            length_without_purge: false,
            picture: false,
            dialect: Dialect::default(),
            skirt: None,
            insert: Vec::new(),
        }
    }

    /// Filament a millimetre of bead: a rectangle with two half rounds over the filament's cross-section.
    fn ratio(&self, width: f64, height: f64) -> f64 {
        let area = (width - height) * height + PI * height * height / 4.0;
        area / (PI * self.filament * self.filament / 4.0)
    }

    /// Its bytes.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        let mut w = Writer::new(self.dialect);
        self.begin(&mut w);
        let purged = w.most;
        self.print(&mut w);
        self.finish(&mut w);
        let stated = if self.length_without_purge { w.most - purged } else { w.most };
        let length_mm = (stated as f64 / 1e5).ceil() as i64;
        let mut bytes = match self.note {
            Note::Header => self.header_text(&w.out, length_mm).into_bytes(),
            Note::Head => self.comments(length_mm).into_bytes(),
            Note::MaterialOnly => format!("; material: {}\n", self.material).into_bytes(),
            Note::Tail | Note::Nothing => Vec::new(),
        };
        if self.picture {
            bytes.extend_from_slice(picture().as_bytes());
        }
        bytes.extend_from_slice(&w.out);
        if self.note == Note::Tail {
            bytes.extend_from_slice(settings(30_000).as_bytes());
            bytes.extend_from_slice(self.comments(length_mm).as_bytes());
        }
        bytes
    }

    fn header_text(&self, body: &[u8], length_mm: i64) -> String {
        let crc = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC);
        let (body_bytes, check) = if self.picture {
            let mut whole = picture().into_bytes();
            whole.extend_from_slice(body);
            (whole.len(), crc.checksum(&whole))
        } else {
            (body.len(), crc.checksum(body))
        };
        let um = |mm: f64| (mm * 1000.0).round() as i64;
        format!(
            "; job-header 1\n; {{\"material\":\"{}\",\"diameter_um\":{},\"bore_um\":{},\n; \"nozzle_c\":{},\
             \"nozzle_first_c\":{},\"bed_c\":{},\"bed_first_c\":{},\"length_mm\":{length_mm},\n; \"layer_um\":{},\
             \"first_layer_um\":{}{},\n; \"body_bytes\":{body_bytes},\"body_crc32\":\"{check:08x}\"}}\n; end-header\n",
            self.material,
            um(self.filament),
            um(self.bore),
            self.nozzle[1],
            self.nozzle[0],
            self.bed[1],
            self.bed[0],
            um(self.layer),
            um(self.first),
            self.header,
        )
    }

    fn comments(&self, length_mm: i64) -> String {
        format!(
            "; material: {}\n; nozzle diameter = {}\n; filament diameter = {} mm\n; layer height = {}\n\
             ; first layer height = {}\n; nozzle temperature = {}\n; bed temperature = {}\n\
             ; filament used = {:.2} m\n; support material = no\n; wall count = 2\n",
            self.material,
            self.bore,
            self.filament,
            self.layer,
            self.first,
            self.nozzle[1],
            self.bed[1],
            length_mm as f64 / 1000.0,
        )
    }

    fn begin(&self, w: &mut Writer) {
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

    fn print(&self, w: &mut Writer) {
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
        if self.dialect.comments != super::Comments::None {
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

    fn finish(&self, w: &mut Writer) {
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

impl Default for Plan {
    fn default() -> Self {
        Self::new()
    }
}

/// Lines of a small picture in base64, as comments hold it.
fn picture() -> String {
    let mut text = "; picture begins 48x48\n".to_owned();
    for line in 0..24_u32 {
        text.push_str("; ");
        for at in 0..76_u32 {
            let letter = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"
                [(line * 31 + at * 17 + line * at) as usize % 64];
            text.push(char::from(letter));
        }
        text.push('\n');
    }
    text.push_str("; picture ends ==\n");
    text
}

/// Comments of settings, about this many bytes.
fn settings(bytes: usize) -> String {
    let words = [
        "wall speed",
        "infill pattern",
        "bridge flow",
        "travel acceleration",
        "skirt distance",
        "seam place",
        "cooling minimum",
        "overhang limit",
        "filament cost",
        "filament density",
        "support material gap",
        "retraction speed",
        "chamber temperature",
        "nozzle standby temperature",
        "maximum layer height",
    ];
    let mut text = String::new();
    let mut at = 0_usize;
    while text.len() < bytes {
        text.push_str(&format!("; {} {} = {}\n", words[at % words.len()], at / words.len(), at * 7 % 300));
        at += 1;
    }
    text
}
