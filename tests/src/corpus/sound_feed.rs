//! Sound jobs whose feed and heat are written in other habits: wipes, long pulls, one bead a line, relative files, volumes,
//! walls that vary in width, soaks.

use std::f64::consts::PI;
use std::fmt::Write;

use super::cases::{ABS, PETG, PLA, Stuff};
use super::plan::{Heat, Note, Plan};
use super::rooms::{bench, closed_box, round, thick};
use super::sound::job;
use super::{Job, Retract, Shape};

/// What is laid in a layer.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Lines {
    /// Nine squares of this side, mm.
    Squares(f64),
    /// Single lines of this length one beside the other.
    Hatch(f64),
    /// Single lines, each longer than the one before: from 4 mm in steps of 1.
    Growing,
}

/// How a job is written.
#[derive(Clone, Copy, Debug)]
struct Habit {
    lines: Lines,
    relative_feed: bool,
    relative_positions: bool,
    /// G91 for travels alone.
    relative_travels: bool,
    /// Pull back, mm, and its share that is wiped along the wall.
    pull: f64,
    wiped: f64,
    /// Share of the pull that comes back.
    primed: f64,
    /// Widths of the lines in turn, mm.
    widths: &'static [f64],
    /// Filament by volume, of this diameter.
    volume: Option<f64>,
    filament: f64,
    /// Words before the first layer.
    before: &'static str,
}

const HABIT: Habit = Habit {
    lines: Lines::Squares(12.0),
    relative_feed: false,
    relative_positions: false,
    relative_travels: false,
    pull: 0.8,
    wiped: 0.0,
    primed: 1.0,
    widths: &[0.45],
    volume: None,
    filament: 1.75,
    before: "",
};

/// A job being written. The places are in mm; sums are rounded as they are written.
struct Pen {
    habit: Habit,
    text: String,
    at: [f64; 2],
    e: f64,
}

const HEIGHT: f64 = 0.2;

impl Pen {
    fn line(&mut self, words: &str) {
        let _ = writeln!(self.text, "{words}");
    }

    /// E of so much filament, mm.
    fn fed(&mut self, mm: f64) -> String {
        let value = match self.habit.volume {
            Some(diameter) => mm * PI * diameter * diameter / 4.0,
            None => mm,
        };
        let value = (value * 1e5).round() / 1e5;
        self.e += value;
        let written = if self.habit.relative_feed { value } else { self.e };
        format!("E{written:.5}")
    }

    fn place(&mut self, to: [f64; 2], relative: bool) -> String {
        let to = to.map(|mm| (mm * 1e3).round() / 1e3);
        let [x, y] = if relative { [to[0] - self.at[0], to[1] - self.at[1]] } else { to };
        self.at = to;
        format!("X{x:.3} Y{y:.3}")
    }

    fn bead(&mut self, to: [f64; 2], width: f64, feed: u32) {
        let length = (to[0] - self.at[0]).hypot(to[1] - self.at[1]);
        let area = (width - HEIGHT) * HEIGHT + PI * HEIGHT * HEIGHT / 4.0;
        let filament = length * area / (PI * self.habit.filament * self.habit.filament / 4.0);
        let place = self.place(to, self.habit.relative_positions);
        let e = self.fed(filament);
        self.line(&format!("G1 {place} {e} F{feed}"));
    }

    /// To a place with pull, wipe and prime.
    fn travel(&mut self, to: [f64; 2], back: [f64; 2]) {
        let Habit { pull, wiped, primed, relative_positions, relative_travels, .. } = self.habit;
        let alone = pull * (1.0 - wiped);
        if alone > 0.0 {
            let e = self.fed(-alone);
            self.line(&format!("G1 {e} F2100"));
        }
        // Three short pieces back along the wall.
        let from = self.at;
        for piece in 1..=3 {
            if wiped > 0.0 {
                let part = f64::from(piece) / 3.0;
                let on_wall = [0, 1].map(|axis| from[axis] + (back[axis] - from[axis]) * part);
                let place = self.place(on_wall, relative_positions);
                let e = self.fed(-pull * wiped / 3.0);
                self.line(&format!("G1 {place} {e} F3600"));
            }
        }
        if relative_travels {
            self.line("G91");
        }
        let place = self.place(to, relative_positions || relative_travels);
        self.line(&format!("G0 {place} F9000"));
        if relative_travels {
            self.line("G90");
        }
        let e = self.fed(pull * primed);
        self.line(&format!("G1 {e} F2100"));
    }

    fn layer(&mut self, layer: u32) {
        let feed = if layer == 0 { 1200 } else { 2700 };
        let mut count = 0;
        let widths = self.habit.widths;
        let mut width = || {
            count += 1;
            if layer == 0 { 0.45 } else { widths[count % widths.len()] }
        };
        match self.habit.lines {
            Lines::Squares(side) => {
                for square in 0..9 {
                    let [column, row] = [square % 3, square / 3].map(f64::from);
                    let [x, y] = [85.0 + column * (side + 2.0), 85.0 + row * (side + 2.0)]
                        .map(|mm: f64| mm.min(150.0));
                    self.travel([x, y], [self.at[0], self.at[1] + 1.5]);
                    for to in [[x + side, y], [x + side, y + side], [x, y + side], [x, y]] {
                        // A side in three beads.
                        let from = self.at;
                        for part in [1.0 / 3.0, 2.0 / 3.0, 1.0] {
                            let on = [0, 1].map(|axis| from[axis] + (to[axis] - from[axis]) * part);
                            self.bead(on, width(), feed);
                        }
                    }
                }
            }
            Lines::Hatch(length) => {
                for line in 0..40 {
                    let y = 80.0 + f64::from(line);
                    self.travel([60.0, y], [self.at[0] - 1.5, self.at[1]]);
                    self.bead([60.0 + length, y], width(), feed);
                }
            }
            Lines::Growing => {
                for line in 0..60 {
                    let y = 80.0 + f64::from(line) * 0.5;
                    let place = self.place([70.0, y], self.habit.relative_positions);
                    self.line(&format!("G0 {place} F9000"));
                    self.bead([74.0 + f64::from(line), y], width(), feed);
                }
            }
        }
    }

    fn whole(habit: Habit, stuff: &Stuff) -> Vec<u8> {
        let mut pen = Self { habit, text: String::new(), at: [0.0; 2], e: 0.0 };
        let ([nozzle, _], [bed, _]) = (stuff.nozzle, stuff.bed);
        pen.line(&format!(
            "; material: {}\nM140 S{bed}\nM104 S{nozzle}\nM190 S{bed}\nM109 S{nozzle}\nG21\nG90\n{}\nG28",
            stuff.name,
            if habit.relative_feed { "M83" } else { "M82" }
        ));
        if let Some(diameter) = habit.volume {
            pen.line(&format!("M200 D{diameter}"));
        }
        pen.line("G0 Z5 F600\nG92 E0");
        if !habit.before.is_empty() {
            pen.line(habit.before);
        }
        if habit.relative_positions {
            pen.line("G0 X60 Y80 F9000");
            pen.at = [60.0, 80.0];
            pen.line("G91");
            if !habit.relative_feed {
                pen.line("M82");
            }
        }
        for layer in 0..8 {
            if layer == 1 {
                pen.line("M106 S200");
            }
            let z = match (habit.relative_positions, layer) {
                (true, 0) => HEIGHT - 5.0,
                (true, _) => HEIGHT,
                (false, _) => HEIGHT * f64::from(layer + 1),
            };
            pen.line(&format!("G0 Z{z:.2} F600"));
            pen.layer(layer);
        }
        pen.line("G90\nM104 S0\nM140 S0\nM107\nG0 Z20 F600\nG0 X10 Y200 F6000\nM84");
        pen.text.into_bytes()
    }
}

fn written(what: String, habit: Habit) -> Job {
    Job::new(what, Pen::whole(habit, &PLA), PLA.on(bench()))
}

/// All of them.
#[must_use]
pub fn jobs() -> Vec<Job> {
    let mut jobs = retracts();
    jobs.extend(modes());
    jobs.extend(amounts());
    jobs.extend(heat());
    jobs
}

/// Pulls with and without wipes, in both modes.
fn retracts() -> Vec<Job> {
    let mut jobs = Vec::new();
    for relative_feed in [false, true] {
        for pull in [0.5, 0.8, 3.0, 4.0] {
            for wiped in [0.0, 0.5, 0.7, 1.0] {
                for side in [4.0, 18.0] {
                    let habit = Habit { relative_feed, pull, wiped, lines: Lines::Squares(side), ..HABIT };
                    let what =
                        format!("relative {relative_feed}, pull {pull}, wiped {wiped}, squares of {side}");
                    jobs.push(written(what, habit));
                }
            }
        }
        for primed in [0.7, 1.1] {
            let what = format!("relative {relative_feed}, {primed} of the pull comes back");
            jobs.push(written(what, Habit { relative_feed, primed, ..HABIT }));
        }
        let before = "G1 X20 Y10 F6000\nG1 E8 F200\nG1 E-2 F1800\nG92 E0";
        let before = if relative_feed { before } else { "G1 X20 Y10 F6000\nG1 E8 F200\nG1 E6 F1800\nG92 E0" };
        jobs.push(written(
            format!("start text ends with a pull, relative {relative_feed}"),
            Habit { relative_feed, before, ..HABIT },
        ));
    }
    let of = |what: &str, machine, change: fn(&mut Plan)| {
        job(what, &PETG, machine, |plan| {
            plan.note = Note::MaterialOnly;
            change(plan);
        })
    };
    jobs.push(of("PETG pulls 3 mm", bench(), |plan| plan.dialect.retract = Retract::Moves(3.0)));
    jobs.push(of("PETG pulls 4 mm", bench(), |plan| plan.dialect.retract = Retract::Moves(4.0)));
    jobs.push(of("PETG pulls 6 mm through a tube", round(), |plan| {
        plan.dialect.retract = Retract::Moves(6.0);
    }));
    jobs.push(of("machine's own retracts, relative", bench(), |plan| {
        (plan.dialect.retract, plan.dialect.relative_feed) = (Retract::Words, true);
    }));
    jobs
}

fn modes() -> Vec<Job> {
    let mut jobs = Vec::new();
    for pull in [0.4, 0.8, 2.0] {
        for length in [8.0, 50.0, 90.0] {
            for relative_feed in [false, true] {
                let lines = Lines::Hatch(length);
                jobs.push(written(
                    format!("one bead of {length} a line, pull {pull}, relative {relative_feed}"),
                    Habit { lines, pull, relative_feed, ..HABIT },
                ));
            }
        }
    }
    for (what, lines) in
        [("50", Lines::Hatch(50.0)), ("90", Lines::Hatch(90.0)), ("18", Lines::Squares(18.0))]
    {
        for relative_feed in [false, true] {
            jobs.push(written(
                format!("all positions relative, steps of {what}, feed {relative_feed}"),
                Habit { lines, relative_feed, relative_positions: true, ..HABIT },
            ));
            jobs.push(written(
                format!("relative travels alone, lines of {what}, feed {relative_feed}"),
                Habit { lines, relative_feed, relative_travels: true, ..HABIT },
            ));
        }
    }
    for relative_feed in [false, true] {
        jobs.push(written(
            format!("lines that grow, relative {relative_feed}"),
            Habit { lines: Lines::Growing, relative_feed, ..HABIT },
        ));
    }
    jobs
}

fn amounts() -> Vec<Job> {
    const VARIED: &[f64] = &[0.3, 0.36, 0.42, 0.48, 0.54, 0.6, 0.66, 0.7, 0.62, 0.52, 0.44, 0.34];
    let mut jobs = Vec::new();
    for relative_feed in [false, true] {
        let of = |what: &str, habit: Habit| {
            written(format!("{what}, relative {relative_feed}"), Habit { relative_feed, ..habit })
        };
        jobs.push(of("walls of varying width", Habit { widths: VARIED, ..HABIT }));
        jobs.push(of("filament by volume", Habit { volume: Some(1.75), ..HABIT }));
        jobs.push(of("by volume, stated off", Habit { before: "M200 D0", ..HABIT }));
        jobs.push(of("flow a little up", Habit { before: "M221 S108", ..HABIT }));
        jobs.push(of("flow a little down", Habit { before: "M221 S94", ..HABIT }));
        jobs.push(of("lines as wide as one and a half bores", Habit { widths: &[0.6], ..HABIT }));
        let thick_habit = Habit { relative_feed, volume: Some(2.85), filament: 2.85, pull: 3.0, ..HABIT };
        jobs.push(Job::new(
            format!("thick filament by volume, relative {relative_feed}"),
            Pen::whole(thick_habit, &PLA),
            PLA.on(thick()),
        ));
    }
    jobs
}

fn heat() -> Vec<Job> {
    let with = |what: &str, stuff: &Stuff, from: &str, to: &str| {
        Job::new(what, Pen::whole(HABIT, stuff), stuff.on(bench())).with(from, to)
    };
    let mut jobs = vec![
        with("soaks at 150 °C", &PLA, "M190 S60\n", "M104 S150\nM190 S60\nG4 S900\n"),
        with("soaks the bed alone", &PETG, "M104 S240\nM190 S80\n", "M190 S80\nG4 S900\nM104 S240\n"),
        with("waits for the nozzle first", &PLA, "M190 S60\nM109 S210\n", "M109 S210\nM190 S60\n"),
        with("waits before it sets", &PLA, "M140 S60\nM104 S210\nM190 S60\n", "M190 S60\nM140 S60\n"),
        with("rests at 150 °C inside", &PLA, "M106 S200\n", "M106 S200\nM104 S150\nG4 S720\nM109 S210\n"),
        with("fan at a third", &PLA, "M106 S200\n", "M106 S85\n"),
        with("cold bed for PLA", &PLA, "M140 S60\n", "M140 S0\n").with("M190 S60\n", ""),
        with("second tool told off", &PLA, "G28\n", "G28\nM104 T1 S0\n"),
        with("chamber told off", &PLA, "G28\n", "G28\nM141 S0\n"),
        with("nozzle off and on while it waits", &PLA, "M106 S200\n", "M106 S200\nM104 S0\nM109 S210\n"),
    ];
    let boxed = |what: &str, change: fn(&mut Plan)| {
        job(what, &ABS, closed_box("textured", 400), |plan| {
            plan.note = Note::MaterialOnly;
            change(plan);
        })
    };
    jobs.push(boxed("chamber waited for in the box", |plan| {
        plan.insert = vec![(0, "M141 S45\nM191 S45".to_owned()), (13, "M141 S0".to_owned())];
    }));
    jobs.push(boxed("bed five kelvin lower above", |plan| plan.heat = Heat::Together));
    jobs.push(job("macro heats PETG's bed", &PETG, bench(), |plan| {
        (plan.heat, plan.note, plan.shape) = (Heat::Macro("WARM_UP"), Note::MaterialOnly, Shape::Disc(14.0));
    }));
    jobs
}
