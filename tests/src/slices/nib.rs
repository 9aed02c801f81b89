//! Writes what the nozzle does.

use std::f64::consts::{PI, TAU};
use std::fmt::Write;

use super::Habits;
use crate::trade::Place;

pub(super) type Point = [f64; 2];

/// What a bead is for: the index of its width, and its share of the highest speed.
#[derive(Clone, Copy, Debug)]
pub(super) enum Use {
    Outer,
    Inner,
    Filling,
    Skin,
}

impl Use {
    const fn of(self) -> (usize, f64, &'static str) {
        match self {
            Self::Outer => (0, 0.5, "outer wall"),
            Self::Inner => (1, 0.75, "inner wall"),
            Self::Filling => (2, 1.0, "filling"),
            Self::Skin => (3, 0.7, "skin"),
        }
    }
}

#[derive(Debug)]
pub(super) struct Nib {
    pub(super) text: String,
    pub(super) habits: Habits,
    at: Point,
    z: f64,
    height: f64,
    number: usize,
    e: f64,
    pulled: bool,
    f: u32,
    area: f64,
    flow: f64,
    most_mm_s: [f64; 2],
    fan: i32,
    purpose: Option<&'static str>,
    /// The last bead's begin, for a wipe along it.
    behind: Option<Point>,
}

const PULL: f64 = 0.8;

fn trimmed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

pub(super) fn apart(a: Point, b: Point) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

impl Nib {
    pub(super) fn new(habits: Habits, place: &Place) -> Self {
        let m = place.material;
        Self {
            text: String::new(),
            habits,
            at: [0.0; 2],
            z: 2.0,
            height: 0.0,
            number: 0,
            e: 0.0,
            pulled: false,
            f: 0,
            area: PI * place.filament * place.filament / 4.0,
            flow: place.flow * 0.8,
            most_mm_s: [m.first_mm_s, m.most_mm_s * 0.9],
            fan: m.fan.1,
            purpose: None,
            behind: None,
        }
    }

    pub(super) fn say(&mut self, words: &str) {
        self.text.push_str(words);
        self.text.push_str(self.habits.line_end);
    }

    /// A layer begins.
    pub(super) fn layer(&mut self, number: usize, z: f64, height: f64) {
        if self.habits.speaks {
            self.say(&format!("; layer {number} at {z:.2}"));
        }
        if number == 2 {
            self.say(&format!("M106 S{}", self.fan));
        }
        if self.habits.by_layer && !self.habits.relative {
            self.say("G92 E0");
            self.e = 0.0;
        }
        (self.z, self.height, self.number) = (z, height, number);
        self.rise(z);
        self.behind = None;
    }

    fn rise(&mut self, z: f64) {
        self.f = 600;
        self.say(&format!("G1 Z{} F600", trimmed(z, 3)));
    }

    fn speed(&mut self, mm_s: f64) -> String {
        let f = (mm_s * 60.0).round() as u32;
        if std::mem::replace(&mut self.f, f) == f { String::new() } else { format!(" F{f}") }
    }

    fn feed(&mut self, mm: f64) -> String {
        let places = self.habits.e_places;
        if self.habits.relative {
            return format!(" E{}", trimmed(mm, places));
        }
        self.e += mm;
        format!(" E{}", trimmed(self.e, places))
    }

    /// The line along the front that fills the nozzle.
    pub(super) fn strip(&mut self, x: f64, y: f64, length: f64) {
        let height = self.habits.first;
        self.say(&format!("G0 X{} Y{} F6000", trimmed(x, 3), trimmed(y, 3)));
        self.rise(height);
        let feed = self.feed(length * height * self.habits.widths[0] * 1.4 / self.area);
        self.say(&format!("G1 X{}{feed} F{}", trimmed(x + length, 3), 900));
        self.at = [x + length, y];
        self.f = 900;
        self.pull();
        if !self.habits.relative {
            self.say("G92 E0");
            self.e = 0.0;
        }
        self.rise(height + 2.0);
    }

    /// Draws the filament back, along the last bead where that is the habit.
    pub(super) fn pull(&mut self) {
        if std::mem::replace(&mut self.pulled, true) {
            return;
        }
        let mut rest = PULL;
        if let Some(behind) = self.behind.filter(|behind| self.habits.wipes && apart(*behind, self.at) > 0.6)
        {
            let share = (1.2 / apart(behind, self.at)).min(1.0);
            let to = [0, 1].map(|i| self.at[i] + (behind[i] - self.at[i]) * share);
            let (feed, speed) = (self.feed(-PULL * 0.75), self.speed(50.0));
            self.say(&format!("G1 X{} Y{}{feed}{speed}", trimmed(to[0], 3), trimmed(to[1], 3)));
            (self.at, rest) = (to, PULL * 0.25);
        }
        let (feed, speed) = (self.feed(-rest), self.speed(40.0));
        self.say(&format!("G1{feed}{speed}"));
    }

    /// To a place; `leaves` = it goes to another part.
    pub(super) fn travel(&mut self, to: Point, leaves: bool) {
        let way = apart(self.at, to);
        if way < 0.002 {
            return;
        }
        let pulls = way > self.habits.pull_over && (leaves || !self.habits.pull_outside);
        if pulls {
            self.pull();
        }
        let hops = pulls && self.habits.hop > 0.0;
        if hops {
            self.rise(self.z + self.habits.hop);
        }
        let speed = self.speed(140.0);
        self.say(&format!("G0 X{} Y{}{speed}", trimmed(to[0], 3), trimmed(to[1], 3)));
        self.at = to;
        if hops || self.number == 0 && leaves {
            self.rise(self.z);
        }
        if std::mem::take(&mut self.pulled) {
            let (feed, speed) = (self.feed(PULL), self.speed(40.0));
            self.say(&format!("G1{feed}{speed}"));
        }
        self.behind = None;
    }

    fn laying(&mut self, purpose: Use) -> (f64, f64) {
        let (width, share, word) = purpose.of();
        if self.habits.speaks && self.purpose != Some(word) {
            self.purpose = Some(word);
            self.say(&format!("; {word}"));
        }
        let (w, h) = (self.habits.widths[width], self.height);
        let area = if self.habits.square { w * h } else { (w - h) * h + PI * h * h / 4.0 };
        let most = self.most_mm_s[usize::from(self.number > 0)];
        (area / self.area, (most * share).min(self.flow / area))
    }

    /// A bead.
    pub(super) fn bead(&mut self, to: Point, purpose: Use) {
        let way = apart(self.at, to);
        if way < 0.01 {
            return;
        }
        let (ratio, mm_s) = self.laying(purpose);
        let (feed, speed) = (self.feed(way * ratio), self.speed(mm_s));
        let mut words = "G1".to_owned();
        for (letter, axis) in ['X', 'Y'].into_iter().zip(0..) {
            if trimmed(self.at[axis], 3) != trimmed(to[axis], 3) {
                let _ = write!(words, " {letter}{}", trimmed(to[axis], 3));
            }
        }
        self.say(&format!("{words}{feed}{speed}"));
        self.behind = Some(self.at);
        self.at = to;
    }

    /// An arc counter-clockwise round a centre.
    pub(super) fn arc(&mut self, to: Point, centre: Point, purpose: Use) {
        let radius = apart(self.at, centre);
        let angle = |point: Point| (point[1] - centre[1]).atan2(point[0] - centre[0]);
        let turn = (angle(to) - angle(self.at)).rem_euclid(TAU);
        let (ratio, mm_s) = self.laying(purpose);
        let (feed, speed) = (self.feed(radius * turn * ratio), self.speed(mm_s));
        let [i, j] = [0, 1].map(|axis| trimmed(centre[axis] - self.at[axis], 3));
        let words = format!("G3 X{} Y{} I{i} J{j}{feed}{speed}", trimmed(to[0], 3), trimmed(to[1], 3));
        self.say(&words);
        (self.at, self.behind) = (to, None);
    }

    /// Beads along points, after a way to the first one.
    pub(super) fn along(&mut self, points: &[Point], purpose: Use, leaves: bool) {
        let Some((first, rest)) = points.split_first() else { return };
        self.travel(*first, leaves);
        for point in rest {
            self.bead(*point, purpose);
        }
    }
}
