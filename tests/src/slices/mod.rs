//! Sound jobs in other habits than [`trade`](crate::trade)'s: arcs, long straight filling, outlines of tiny pieces.
//!
//! Made for the damage campaign alone, after the checks that see damage were tuned, and by code that shares nothing with
//! the other generators but the records of a machine.

mod nib;
mod parts;

use std::fmt::Write;

use crate::trade::{Place, Rng};
use nib::Nib;
use parts::Part;

/// What the outlines are made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lines {
    /// Rounded corners and bores as true arcs.
    Arcs,
    /// Straight sides and long straight filling.
    Long,
    /// Pieces of a few tenths of a millimetre.
    Tiny,
}

/// How a job is written.
#[derive(Clone, Copy, Debug)]
pub struct Habits {
    pub lines: Lines,
    pub relative: bool,
    /// E starts from 0 at each layer; only where it is absolute.
    pub by_layer: bool,
    /// The filament is drawn back on ways longer than this, mm.
    pub pull_over: f64,
    /// And only between parts.
    pub pull_outside: bool,
    pub wipes: bool,
    pub hop: f64,
    pub e_places: usize,
    pub line_end: &'static str,
    pub speaks: bool,
    /// Lines of filling joined at their ends by short beads.
    pub joined: bool,
    pub square: bool,
    pub layer: f64,
    pub first: f64,
    /// Widths of outer walls, inner walls, filling and skins, mm.
    pub widths: [f64; 4],
    pub walls: usize,
    /// From line to line of filling, mm.
    pub spacing: f64,
}

impl Habits {
    fn choose(rng: &mut Rng, bore: f64, relative: bool) -> Self {
        let wide = |rng: &mut Rng| (bore * rng.between(1.0, 1.25) * 100.0).round() / 100.0;
        Self {
            lines: rng.pick(&[Lines::Arcs, Lines::Long, Lines::Tiny]),
            relative,
            by_layer: rng.chance(40),
            pull_over: rng.pick(&[1.0, 1.5, 2.0, 3.0, 5.0]),
            pull_outside: rng.chance(35),
            wipes: rng.chance(30),
            hop: rng.pick(&[0.0, 0.0, 0.2, 0.4]),
            e_places: rng.pick(&[5, 5, 5, 4]),
            line_end: rng.pick(&["\n", "\n", "\r\n"]),
            speaks: rng.chance(60),
            joined: rng.chance(50),
            square: rng.chance(30),
            layer: (bore * rng.between(0.4, 0.65) * 50.0).round() / 50.0,
            first: (bore * rng.between(0.5, 0.7) * 50.0).round() / 50.0,
            widths: [wide(rng), wide(rng), wide(rng), wide(rng)],
            walls: 2 + rng.below(2),
            spacing: bore * rng.between(3.0, 9.0),
        }
    }
}

/// A job with the machine that it is for.
#[derive(Clone, Debug)]
pub struct Sliced {
    pub what: String,
    pub place: Place,
    pub bytes: Vec<u8>,
}

/// A sound job of at least 0.7 times `bytes`; `None` where the parts of this seed are too small for that.
#[must_use]
pub fn sliced(seed: u64, relative: bool, bytes: usize) -> Option<Sliced> {
    let mut rng = Rng::new(seed);
    let mut place = Place::choose(&mut rng);
    while place.material.name != "PLA" && place.material.name != "PETG" {
        place = Place::choose(&mut rng);
    }
    let habits = Habits::choose(&mut rng, place.bore, relative);
    let parts = Part::laid_out(&mut rng, &place, habits.lines);
    let mut nib = Nib::new(habits, &place);
    start(&mut nib, &mut rng, &place);
    let tallest = parts.iter().map(Part::stands).fold(f64::MAX, f64::min).min(place.height * 0.6);
    let (mut z, mut number) = (0.0, 0_usize);
    // So many layers more once the text is nearly as long as wanted: the skins on top.
    let mut left = None;
    loop {
        let height = if number == 0 { habits.first } else { habits.layer };
        z += height;
        nib.layer(number, z, height);
        let solid = number < 3 || left.is_some();
        for part in &parts {
            part.lay(&mut nib, &place, number, solid);
        }
        number += 1;
        if left.is_none() && (nib.text.len() * 100 > bytes * 97 || z + 4.0 * habits.layer > tallest) {
            left = Some(3);
        }
        if let Some(more) = &mut left {
            *more -= 1;
            if *more == 0 {
                break;
            }
        }
    }
    end(&mut nib, &place, z);
    let Habits { lines, pull_over, pull_outside, .. } = habits;
    let outside = if pull_outside { " between parts" } else { "" };
    let mut what = format!("{seed:x}: {lines:?} x{} {}", parts.len(), place.material.name);
    let _ = write!(
        what,
        ", {} E, pulls over {pull_over} mm{outside}",
        if relative { "relative" } else { "absolute" }
    );
    let long_enough = nib.text.len() * 10 > bytes * 7;
    long_enough.then(|| Sliced { what, place, bytes: nib.text.into_bytes() })
}

fn start(nib: &mut Nib, rng: &mut Rng, place: &Place) {
    let m = place.material;
    let nozzle = i32::midpoint(m.nozzle_c.0, m.nozzle_c.1);
    nib.say(&format!("; material: {}", m.name));
    nib.say(&format!("; nozzle_diameter: {}", place.bore));
    nib.say(&format!("M140 S{}", m.bed_c.1));
    nib.say(&format!("M104 S{nozzle}"));
    nib.say("G21");
    nib.say("G90");
    nib.say(if nib.habits.relative { "M83" } else { "M82" });
    nib.say("G28");
    nib.say(&format!("M190 S{}", m.bed_c.1));
    nib.say(&format!("M109 S{nozzle}"));
    nib.say("G92 E0");
    nib.say("G1 Z2 F600");
    nib.strip(place.origin.0 + 5.0 + rng.between(0.0, 3.0), place.origin.1 + 3.0, rng.between(40.0, 80.0));
}

fn end(nib: &mut Nib, place: &Place, top: f64) {
    nib.pull();
    for words in ["M107", "M104 S0", "M140 S0"] {
        nib.say(words);
    }
    nib.say(&format!("G1 Z{:.2} F600", (top + 12.0).min(place.height)));
    nib.say(&format!("G0 X{} Y{} F6000", place.origin.0 + 4.0, place.origin.1 + place.bed.1 - 6.0));
    nib.say("M84");
}
