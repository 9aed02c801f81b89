//! How jobs begin and end: the texts of programs, of hobbyists and of room leads.

use super::layers::Process;
use super::pen::{At, Pen};
use super::place::Place;
use super::rng::Rng;
use super::style::{Feed, Label, Style};

/// What the job heats to.
#[derive(Clone, Copy, Debug)]
pub struct Heat {
    pub nozzle: i32,
    pub nozzle_first: i32,
    pub bed: i32,
}

/// Remarks that name material and sizes.
pub fn label(pen: &mut Pen, place: &Place, process: &Process, rng: &mut Rng) {
    let word = rng.pick(place.material.words);
    let (bore, filament, layer) = (process.bore, place.filament, process.layer);
    match rng.below(5) {
        0 => {
            pen.remark(&format!("material = {word}"));
            pen.remark(&format!("nozzle diameter = {bore}"));
            pen.remark(&format!("filament diameter = {filament}"));
            pen.remark(&format!("layer height = {layer:.2}"));
        }
        1 => pen.remark(&format!("material: {word}")),
        2 => {
            pen.remark(&format!("filament type = {word}"));
            pen.remark(&format!("nozzle_diameter = {bore}"));
        }
        3 => {
            pen.remark(&format!("Filament: {word}"));
            pen.remark("sliced for the workshop, ask K7");
        }
        _ => {
            pen.remark(&format!("MATERIAL: {word}"));
            pen.remark(&format!("filament diameter: {filament} mm"));
        }
    }
}

fn tuning(pen: &mut Pen, rng: &mut Rng) {
    let lines: &[&str] = match rng.below(5) {
        0 => &[
            "M201 X1500 Y1500 Z100 E5000",
            "M203 X250 Y250 Z12 E60",
            "M204 P1000 R1500 T1500",
            "M205 X8 Y8 Z0.4 E5",
        ],
        1 => &["M220 S100", "M221 S100"],
        2 => &["M900 K0.05"],
        3 => &["M117 Heating", "M300 S880 P120"],
        _ => &[],
    };
    for line in lines {
        pen.say(line);
    }
}

fn homed(pen: &mut Pen, rng: &mut Rng) {
    pen.say("G28");
    if rng.chance(25) {
        pen.say(rng.pick(&["G29", "M420 S1"]));
    }
    pen.set(-1.0, -1.0, -1.0);
}

/// Heats, homes and sets the modes.
pub fn start(pen: &mut Pen, place: &Place, process: &Process, heat: Heat, rng: &mut Rng) {
    pen.at = At::Start;
    if matches!(pen.style.label, Label::Head) {
        label(pen, place, process, rng);
    }
    let Heat { nozzle_first: nozzle, bed, .. } = heat;
    let say_modes = |pen: &mut Pen| {
        pen.say("G21");
        pen.say("G90");
        pen.say(if matches!(pen.style.feed, Feed::Relative | Feed::AllRelative) { "M83" } else { "M82" });
    };
    match rng.below(5) {
        0 => {
            say_modes(pen);
            pen.say(&format!("M140 S{bed}"));
            pen.say(&format!("M104 S{nozzle}"));
            pen.say(&format!("M190 S{bed}"));
            pen.say(&format!("M109 S{nozzle}"));
            tuning(pen, rng);
            homed(pen, rng);
        }
        1 => {
            homed(pen, rng);
            say_modes(pen);
            pen.say("G1 Z10 F600");
            pen.forget_speed();
            pen.say(&format!("M190 S{bed}"));
            pen.say(&format!("M109 S{nozzle}"));
        }
        2 => {
            pen.remark("start");
            pen.say(&format!("M190 S{bed}"));
            pen.note("bed first");
            pen.say(&format!("M109 S{nozzle}"));
            say_modes(pen);
            homed(pen, rng);
            pen.note("home");
            pen.say("G1 Z15 F300");
            pen.forget_speed();
        }
        3 => {
            say_modes(pen);
            tuning(pen, rng);
            pen.say(&format!("M140 S{bed}"));
            pen.say("M104 S150");
            pen.note("no drops while it probes");
            pen.say(&format!("M190 S{bed}"));
            homed(pen, rng);
            pen.say(&format!("M109 S{nozzle}"));
        }
        _ => {
            pen.say("M107");
            pen.say(&format!("M104 S{nozzle} T0"));
            pen.say(&format!("M140 S{bed}"));
            pen.say("G28 X0 Y0");
            pen.say("G28 Z0");
            pen.set(-1.0, -1.0, -1.0);
            say_modes(pen);
            pen.say(&format!("M190 S{bed}"));
            pen.say(&format!("M109 S{nozzle} T0"));
            if rng.chance(30) {
                pen.say("M400");
            }
        }
    }
    pen.say("G92 E0");
}

/// Lines at the near edge that fill the nozzle. The style's own words for positions begin after it.
pub fn purge(pen: &mut Pen, place: &Place, process: &Process, kind: usize, rng: &mut Rng) {
    pen.at = At::Purge;
    let (x0, y0) = (place.origin.0 + 4.0, place.origin.1 + 4.0);
    let height = process.first.max(process.bore * 0.5);
    let area = height * process.bore * rng.between(1.3, 2.4);
    let speed = (place.flow * 0.9 / area).min(25.0);
    let along = rng.between(50.0, 90.0);
    let zeroed = !matches!(pen.style.feed, Feed::Relative | Feed::AllRelative);
    pen.rise(5.0);
    match kind {
        0 => pen.travel(x0 + 10.0, y0 + 6.0),
        1 | 2 => {
            pen.travel(x0, y0);
            pen.rise(height);
            pen.ready();
            pen.bead(x0 + along, y0, None, area, speed);
            if kind == 2 {
                pen.bead(x0 + along, y0 + process.bore * 1.6, None, area * 0.5, speed);
                pen.bead(x0, y0 + process.bore * 1.6, None, area, speed);
            }
        }
        3 => {
            pen.travel(x0, y0 + along);
            pen.rise(height);
            pen.ready();
            pen.bead(x0, y0, None, area, speed);
            pen.bead(x0 + 30.0, y0, None, area, speed);
        }
        4 => {
            pen.travel(x0, y0);
            pen.rise(10.0);
            pen.ready();
            pen.push_out(12.0, 2.0);
            pen.rise(height);
            pen.bead(x0 + 25.0, y0, None, area, speed);
        }
        _ => {
            // A wide zigzag.
            pen.travel(x0, y0);
            pen.rise(height);
            pen.ready();
            for row in 0..4 {
                let y = y0 + f64::from(row) * process.bore * 1.5;
                let x = if row % 2 == 0 { x0 + 25.0 } else { x0 };
                pen.bead(x, y, None, area * 0.7, speed);
                if row < 3 {
                    pen.bead(x, y + process.bore * 1.5, None, area * 0.7, speed);
                }
            }
        }
    }
    if zeroed && kind > 0 {
        pen.rest();
        pen.zero_feed();
    }
    pen.rise(height + 1.5);
}

/// Takes the nozzle away, switches everything off.
pub fn end(pen: &mut Pen, place: &Place, style: &Style, top: f64, rng: &mut Rng) {
    pen.at = At::End;
    let corner = (place.origin.0 + 5.0, place.origin.1 + place.bed.1 - 10.0);
    let up = (top + 10.0).min(place.height - 5.0);
    let relative = matches!(style.feed, Feed::Relative | Feed::AllRelative);
    let off = |pen: &mut Pen| {
        pen.say("M104 S0");
        pen.note("nozzle off");
        pen.say("M140 S0");
        pen.note("bed off");
        pen.say("M107");
    };
    let pull = |pen: &mut Pen| {
        if !relative {
            pen.say("G92 E0");
        }
        pen.say("G1 E-1.5 F1800");
    };
    if style.feed == Feed::AllRelative {
        pull(pen);
        pen.say("G1 Z8 F600");
        off(pen);
        pen.say("G90");
        pen.say(&format!("G1 X{} Y{} F6000", corner.0, corner.1));
        pen.say("M84");
    } else {
        match rng.below(5) {
            0 => {
                pull(pen);
                pen.say("G91");
                pen.say("G1 Z8 F600");
                pen.say("G90");
                pen.say("G28 X0 Y0");
                off(pen);
                pen.say("M84");
            }
            1 => {
                off(pen);
                pen.say(&format!("G1 Z{up:.2} F600"));
                pen.say(&format!("G0 X{} Y{} F6000", corner.0, corner.1));
                pen.say("M84");
                pen.say("M30");
            }
            2 => {
                pen.say("M107");
                pull(pen);
                pen.say(&format!("G1 Z{up:.2} F600"));
                pen.say(&format!("G1 X{} Y{} F6000", corner.0, corner.1));
                off(pen);
                pen.say("M84 X Y E");
            }
            3 => {
                pen.say("M400");
                pen.say("M104 S0 T0");
                pen.say("M140 S0");
                pull(pen);
                pen.say("G91");
                pen.say("G1 Z5 F600");
                pen.say("G90");
                pen.say(&format!("G1 Y{} F5000", corner.1));
                pen.note("bring the plate to the front");
                pen.say("M18");
                pen.say("M2");
            }
            _ => {
                pen.remark("end");
                pull(pen);
                off(pen);
                pen.say("G91");
                pen.say("G1 Z10 X-5 Y-5 F3000");
                pen.say("G90");
                pen.say("G28 X Y");
                pen.say("M84");
                pen.say("M300 S440 P200");
            }
        }
    }
}
