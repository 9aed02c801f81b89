//! Moves the nozzle and writes what it does, one row a line.

use super::place::Place;
use super::style::{Arcs, Feed, Retract, Style};

/// Which part of the job a row belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum At {
    Start,
    Purge,
    Layer(u32),
    End,
}

/// A line of the job: words with one blank between them, and a remark.
#[derive(Clone, Debug)]
pub struct Row {
    pub at: At,
    pub words: String,
    pub remark: String,
    /// Whether it lays plastic on the way.
    pub lays: bool,
    /// Whether it moves in X or Y without plastic.
    pub travel: bool,
    /// Where the nozzle is afterwards, mm.
    pub to: [f64; 3],
}

#[derive(Clone, Debug)]
pub struct Pen {
    pub rows: Vec<Row>,
    pub style: Style,
    pub at: At,
    area: f64,
    /// µm.
    now: [i64; 3],
    /// The E counter, 10⁻⁵ mm.
    e: i64,
    /// Part of a bead too small to write, 10⁻⁵ mm.
    owed: f64,
    f: i64,
    pub retract_mm: f64,
    retracted: bool,
    before: [i64; 2],
    pub travel_mm_s: f64,
    /// Filament used until now, net, mm, and the most of it.
    pub fed: f64,
    pub most_fed: f64,
    pub z_speed: f64,
}

fn um(mm: f64) -> i64 {
    (mm * 1000.0).round() as i64
}

fn number(value: i64, places: u32, zeros: bool) -> String {
    let unit = 10_i64.pow(places);
    let (whole, part) = (value.abs() / unit, value.abs() % unit);
    let mut text =
        format!("{}{whole}.{part:0width$}", if value < 0 { "-" } else { "" }, width = places as usize);
    if !zeros {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
        if text == "-0" {
            text = "0".into();
        }
    }
    text
}

impl Pen {
    #[must_use]
    pub fn new(style: Style, place: &Place) -> Self {
        Self {
            rows: Vec::new(),
            style,
            at: At::Start,
            area: std::f64::consts::PI * place.filament * place.filament / 4.0,
            now: [0; 3],
            e: 0,
            owed: 0.0,
            f: -1,
            retract_mm: if place.tube { 4.5 } else { 0.8 },
            retracted: false,
            before: [0; 2],
            travel_mm_s: 130.0,
            fed: 0.0,
            most_fed: 0.0,
            z_speed: 8.0,
        }
    }

    pub fn here(&self) -> [f64; 3] {
        self.now.map(|axis| axis as f64 / 1000.0)
    }

    /// The nozzle is known to be at this place, after homing or G92.
    pub fn set(&mut self, x: f64, y: f64, z: f64) {
        self.now = [um(x), um(y), um(z)];
    }

    fn push(&mut self, words: String, lays: bool, travel: bool) {
        let (at, to) = (self.at, self.here());
        self.rows.push(Row { at, words, remark: String::new(), lays, travel, to });
    }

    pub fn say(&mut self, words: &str) {
        self.push(words.to_owned(), false, false);
    }

    pub fn remark(&mut self, text: &str) {
        self.push(String::new(), false, false);
        if let Some(row) = self.rows.last_mut() {
            text.clone_into(&mut row.remark);
        }
    }

    /// A remark after the words of the last row.
    pub fn note(&mut self, text: &str) {
        if let Some(row) = self.rows.last_mut() {
            text.clone_into(&mut row.remark);
        }
    }

    fn g(&self, n: u32) -> String {
        if self.style.two_digits { format!("G{n:02}") } else { format!("G{n}") }
    }

    fn axis(&self, letter: char, from: i64, to: i64) -> String {
        let value = if self.style.feed == Feed::AllRelative { to - from } else { to };
        format!(" {letter}{}", number(value, 3, self.style.zeros))
    }

    fn speed(&mut self, mm_s: f64) -> String {
        let f = (mm_s * 60.0).round() as i64;
        if f == self.f && !self.style.f_always {
            return String::new();
        }
        self.f = f;
        format!(" F{f}")
    }

    /// The word for so much filament, or none when it is too little to write.
    fn feed_word(&mut self, mm: f64) -> String {
        let coarse = 10_i64.pow(5 - self.style.e_places);
        let wanted = mm * 1e5 + self.owed;
        let step = (wanted / coarse as f64).round() as i64 * coarse;
        self.owed = wanted - step as f64;
        self.fed += step as f64 / 1e5;
        self.most_fed = self.most_fed.max(self.fed);
        self.e += step;
        let relative = matches!(self.style.feed, Feed::Relative | Feed::AllRelative);
        let value = if relative { step } else { self.e };
        format!(" E{}", number(value / coarse, self.style.e_places, self.style.zeros))
    }

    /// G92 E0.
    pub fn zero_feed(&mut self) {
        self.say("G92 E0");
        self.e = 0;
    }

    fn draw_back(&mut self) {
        if self.retracted {
            return;
        }
        match self.style.retract {
            Retract::None => return,
            Retract::Firmware => self.say("G10"),
            Retract::Wipe => {
                let back = [self.before[0] - self.now[0], self.before[1] - self.now[1]];
                let length = (back[0] as f64).hypot(back[1] as f64);
                let share = (1500.0 / length.max(1.0)).min(1.0);
                if length > 300.0 {
                    let to = [0, 1].map(|i| self.now[i] + (back[i] as f64 * share) as i64);
                    let (x, y) = (self.axis('X', self.now[0], to[0]), self.axis('Y', self.now[1], to[1]));
                    let e = self.feed_word(-self.retract_mm * 0.7);
                    let f = self.speed(40.0);
                    (self.now[0], self.now[1]) = (to[0], to[1]);
                    let words = format!("{}{x}{y}{e}{f}", self.g(1));
                    self.push(words, false, false);
                    let (e, f) = (self.feed_word(-self.retract_mm * 0.3), self.speed(35.0));
                    self.push(format!("{}{e}{f}", self.g(1)), false, false);
                } else {
                    self.plain_retract(-1.0);
                }
            }
            Retract::Words => self.plain_retract(-1.0),
        }
        self.retracted = true;
    }

    fn plain_retract(&mut self, sign: f64) {
        let (e, f) = (self.feed_word(sign * self.retract_mm), self.speed(35.0));
        self.push(format!("{}{e}{f}", self.g(1)), false, false);
    }

    fn prime(&mut self) {
        if !self.retracted {
            return;
        }
        self.retracted = false;
        if self.style.retract == Retract::Firmware {
            self.say("G11");
        } else {
            self.plain_retract(1.0);
        }
    }

    /// Ends with the filament drawn back.
    pub fn rest(&mut self) {
        self.draw_back();
    }

    fn go(&mut self, g: u32, x: f64, y: f64, mm_s: f64) {
        let to = [um(x), um(y)];
        let words = format!(
            "{}{}{}{}",
            self.g(g),
            self.axis('X', self.now[0], to[0]),
            self.axis('Y', self.now[1], to[1]),
            self.speed(mm_s)
        );
        (self.now[0], self.now[1]) = (to[0], to[1]);
        self.push(words, false, true);
    }

    /// A move in Z alone.
    pub fn rise(&mut self, z: f64) {
        let to = um(z);
        if to == self.now[2] {
            return;
        }
        let (axis, f) = (self.axis('Z', self.now[2], to), self.speed(self.z_speed));
        self.now[2] = to;
        self.push(format!("{}{axis}{f}", self.g(1)), false, false);
    }

    /// To a place at the present height, with what the style does on long ways.
    pub fn travel(&mut self, x: f64, y: f64) {
        let g = u32::from(!self.style.g0_travels);
        let way = (um(x) - self.now[0]) as f64;
        let way = way.hypot((um(y) - self.now[1]) as f64) / 1000.0;
        if way < 0.002 {
            return;
        }
        if way < 2.0 {
            self.go(g, x, y, self.travel_mm_s);
            return;
        }
        self.draw_back();
        let hop = if way > 6.0 { self.style.hop_um } else { 0 };
        let z = self.now[2];
        if hop > 0 && self.style.relative_hops {
            self.say("G91");
            self.f = (self.z_speed * 60.0) as i64;
            self.say(&format!("G1 Z{} F{}", number(hop, 3, false), self.f));
            self.now[2] += hop;
            self.say("G90");
            if matches!(self.style.feed, Feed::Relative) {
                self.say("M83");
            } else {
                self.say("M82");
            }
        } else {
            self.rise((z + hop) as f64 / 1000.0);
        }
        self.go(g, x, y, self.travel_mm_s);
        self.rise(z as f64 / 1000.0);
        self.prime();
    }

    /// To a place high above everything: before the next part of a job that prints one after the other.
    pub fn travel_above(&mut self, x: f64, y: f64, above: f64) {
        self.draw_back();
        self.rise(above);
        self.go(u32::from(!self.style.g0_travels), x, y, self.travel_mm_s);
    }

    /// Pushes out what was drawn back, before the first bead after a long way.
    pub fn ready(&mut self) {
        self.prime();
    }

    /// A bead to a place; `area` is its cross-section in mm². `z` changes the height on the way.
    pub fn bead(&mut self, x: f64, y: f64, z: Option<f64>, area: f64, mm_s: f64) {
        let to = [um(x), um(y), z.map_or(self.now[2], um)];
        let length = ((to[0] - self.now[0]) as f64).hypot((to[1] - self.now[1]) as f64) / 1000.0;
        if length < 0.005 {
            return;
        }
        let mut words = self.g(1);
        for (i, letter) in ['X', 'Y', 'Z'].into_iter().enumerate() {
            if to[i] != self.now[i] {
                words += &self.axis(letter, self.now[i], to[i]);
            }
        }
        words += &self.feed_word(length * area / self.area);
        words += &self.speed(mm_s);
        self.before = [self.now[0], self.now[1]];
        self.now = to;
        self.push(words, true, false);
    }

    /// An arc of at most half a turn around a centre, counter-clockwise.
    pub fn arc(&mut self, x: f64, y: f64, centre: (f64, f64), area: f64, mm_s: f64) {
        let here = self.here();
        let radius = (here[0] - centre.0).hypot(here[1] - centre.1);
        let turn = ((y - centre.1).atan2(x - centre.0) - (here[1] - centre.1).atan2(here[0] - centre.0))
            .rem_euclid(std::f64::consts::TAU);
        let to = [um(x), um(y)];
        let mut words = self.g(3);
        words += &self.axis('X', self.now[0], to[0]);
        words += &self.axis('Y', self.now[1], to[1]);
        if self.style.arcs == Arcs::Radius {
            words += &format!(" R{}", number(um(radius), 3, self.style.zeros));
        } else {
            words += &format!(
                " I{} J{}",
                number(um(centre.0) - self.now[0], 3, self.style.zeros),
                number(um(centre.1) - self.now[1], 3, self.style.zeros)
            );
        }
        words += &self.feed_word(radius * turn * area / self.area);
        words += &self.speed(mm_s);
        self.before = [self.now[0], self.now[1]];
        (self.now[0], self.now[1]) = (to[0], to[1]);
        self.push(words, true, false);
    }

    /// Filament alone, in place.
    pub fn push_out(&mut self, mm: f64, mm_s: f64) {
        let (e, f) = (self.feed_word(mm), self.speed(mm_s));
        self.push(format!("{}{e}{f}", self.g(1)), false, false);
    }

    /// What a hand wrote moved the feed rate: the next move states its own.
    pub fn forget_speed(&mut self) {
        self.f = -1;
    }
}
