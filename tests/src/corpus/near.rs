//! Near misses: jobs that come close to a check's limit, or look like its fault, and must raise nothing above NOTE.

use holdpoint_shared::records::Machine;
use holdpoint_shared::units::Celsius;

use super::cases::{ABS, PETG, PLA, Stuff, TPU};
use super::faulty::plain;
use super::plan::{Note, Plan, Purge};
use super::rooms::{bench, big, round};
use super::sound::job;
use super::{Job, Retract, Shape};

/// A job that comes close to a check.
#[derive(Clone, Debug)]
pub struct Near {
    pub check: u8,
    pub job: Job,
}

pub(super) fn near(check: u8, job: Job) -> Near {
    Near { check, job }
}

/// All of them.
#[must_use]
pub fn jobs() -> Vec<Near> {
    let mut jobs = bytes();
    jobs.extend(places());
    jobs.extend(lines());
    jobs.extend(heat());
    jobs.extend(super::near_room::jobs());
    jobs.extend(super::near_limits::jobs());
    jobs
}

fn bytes() -> Vec<Near> {
    let long = |text: String| text + &"; a line of settings that says nothing of the job = 1\n".repeat(1400);
    vec![
        near(
            1,
            plain("closed by heat alone, no line end", |_| {}).edited(|text| {
                let (job, _) = text.split_once("M107\nG1 E").expect("the end text");
                job.trim_end().to_owned()
            }),
        ),
        near(
            2,
            plain("63 blank bytes in a comment of a long file", |_| {}).edited(long).damaged(|bytes| {
                let at = bytes.len() - 80_000 + 20_000;
                let line = at + bytes[at..].iter().position(|byte| *byte == b';').unwrap_or(0) + 1;
                bytes.splice(line..line, [0xFF; 63]);
            }),
        ),
        near(
            3,
            plain("words behind the end, but no moves", |_| {})
                .edited(|text| text + "M117 Done\nM300 S440 P90\n\n"),
        ),
        near(
            6,
            plain("length half a per mille within its five percent", |_| {})
                .edited(|text| shortened(&text, 0.955)),
        ),
        near(
            6,
            plain("ten kelvin from what is stated", |_| {})
                .with("nozzle temperature = 205", "nozzle temperature = 215"),
        ),
        near(
            6,
            plain("layer ten micrometres off", |_| {}).with("; layer height = 0.2", "; layer height = 0.21"),
        ),
        near(8, plain("the newest of two", |_| {}).named("CLIP_v2.GCO").beside("CLIP_v1.GCO", 900)),
        near(8, plain("two works of like names", |_| {}).named("CLIP_A.GCO").beside("CLIP_B.GCO", 2)),
        near(
            9,
            plain("different in the last letter shown", |_| {})
                .machine(|machine| machine.name_max = Some(12))
                .named("HOLDER_L.GCO")
                .beside("HOLDER_L.GCP", 400),
        ),
        near(10, plain("name as long as may be", |_| {}).named("bracket-lamp12.gcode")),
        near(
            14,
            plain("a line of 256 characters", |_| {}).edited(|text| {
                let line = "G0 X60 Y60 Z5 F6000";
                text.replacen(
                    "M106 S170\n",
                    &format!("M106 S170\n{line}{}\nG0 Z0.6\n", " ".repeat(256 - line.len())),
                    1,
                )
            }),
        ),
        near(
            16,
            plain("numbered in lower case with the right checks", |plan| {
                (plan.dialect.numbered, plan.dialect.lower) = (true, true);
            }),
        ),
        near(
            89,
            plain("a comment that speaks of a header", |_| {})
                .edited(|text| format!("; the job header follows: no\n{text}")),
        ),
        near(85, {
            let mut ahead = plain("a file 23 hours ahead of the clock", |_| {});
            ahead.files[0].2 = -23 * 60;
            ahead
        }),
    ]
}

/// With the stated length at a share of what it was.
fn shortened(text: &str, share: f64) -> String {
    let line = text.lines().find(|line| line.starts_with("; filament used = ")).expect("stated");
    let metres =
        line.trim_start_matches("; filament used = ").trim_end_matches(" m").parse::<f64>().expect("m");
    // In mm, so that rounding does not blur it.
    text.replacen(line, &format!("; filament used = {:.1} mm", metres * 1000.0 * share), 1)
}

fn places() -> Vec<Near> {
    let one_by_one = |what: &str, centres: &[[f64; 2]], layers: u32| {
        plain(what, |plan| {
            (plan.shape, plan.one_by_one, plan.layers) = (Shape::Block(16.0, 12.0), true, layers);
            plan.centres = centres.to_vec();
        })
    };
    let height = |machine: &mut Machine, um: i64| machine.height_um = um;
    vec![
        near(
            17,
            job("its own name in other letters", &PLA, bench(), |plan| {
                plan.header = r#","machine":" m2 ""#.to_owned()
            }),
        ),
        // Half of 30 mm less half a line: the bead's middle on 220.01 mm.
        near(18, plain("on the edge to a hundredth", |plan| plan.centres = vec![[205.234, 110.0]])),
        near(
            18,
            job("a circle on the rim", &PLA, round(), |plan| {
                (plan.shape, plan.centres) = (Shape::Disc(20.0), vec![[80.224, 0.0]]);
                (plan.dialect.arcs, plan.dialect.retract) = (super::Arcs::Centre, Retract::Moves(4.0));
            }),
        ),
        near(19, plain("parks on the overrun's end", |plan| plan.park = [-5.0, 225.0])),
        near(
            20,
            plain("as tall as may be", |plan| plan.layers = 40).machine(|machine| height(machine, 18_000)),
        ),
        near(
            21,
            plain("touches height 0 in one place", |_| {})
                .with("G92 E0\n", "G0 X5 Y5 F6000\nG0 Z0 F300\nG0 Z5\nG92 E0\n"),
        ),
        near(
            22,
            plain("travels at a twentieth", |plan| {
                plan.insert = vec![(0, "G0 Z0.05 F600\nG0 X60 Y60 F6000\nG0 Z5".to_owned())];
            }),
        ),
        near(
            23,
            plain("one layer down over the part", |plan| {
                plan.insert = vec![(6, "G0 X112 Y112 Z1\nG0 Z1.2".to_owned())];
            }),
        ),
        // Middles 55.552 mm apart, each 15.552 mm wide: a gap of 40 mm.
        near(24, one_by_one("parts as near as may be", &[[60.0, 100.0], [115.552, 100.0]], 10)),
        near(24, one_by_one("first part as tall as may be", &[[50.0, 60.0], [150.0, 160.0]], 150)),
        near(
            25,
            plain("sets much before it homes", |_| {}).with("G28\n", "M107\nG92 E0\nG1 F1500\nM84\nG28\n"),
        ),
        near(26, plain("homes X in the middle", |plan| plan.insert = vec![(6, "G28 X".to_owned())])),
        near(
            27,
            plain("a part of ten millimetres with fine layers", |plan| {
                (plan.shape, plan.layer, plan.purge) = (Shape::Block(10.0, 9.0), 0.08, Purge::None);
            }),
        ),
        near(
            28,
            plain("some relative travels", |plan| {
                plan.insert = vec![(
                    6,
                    "G91\nG0 Z2\n".to_owned() + &"G0 X40\nG0 X-40\n".repeat(20) + "G0 Z-2\nG90\nM82",
                )];
            }),
        ),
        near(
            30,
            plain("names its only tool often", |plan| {
                plan.insert = (1..9).map(|layer| (layer, "T0".to_owned())).collect();
            }),
        ),
        near(
            31,
            plain("speaks of a pause", |plan| {
                plan.insert = vec![(6, "M117 M0 pause? no\n; M600".to_owned())]
            }),
        ),
    ]
}

fn lines() -> Vec<Near> {
    let of = |check: u8, what: &str, change: fn(&mut Plan)| near(check, plain(what, change));
    let unstated = |check: u8, what: &str, change: fn(&mut Plan)| {
        near(check, plain(what, change).with("; nozzle diameter = 0.4\n", ""))
    };
    vec![
        near(32, plain("a bore rounded", |_| {}).with("nozzle diameter = 0.4", "nozzle diameter = 0.42")),
        unstated(32, "wide lines", |plan| plan.width = 0.66),
        unstated(32, "fine lines", |plan| plan.width = 0.39),
        of(33, "layers as thick as may be", |plan| (plan.layer, plan.width) = (0.3, 0.48)),
        of(33, "layers as thin as may be", |plan| plan.layer = 0.06),
        of(34, "first layer as thin as may be", |plan| plan.first = 0.1),
        of(35, "first layer as fast as may be", |plan| plan.speed[0] = 40),
        // 0.08097 mm² at 130 mm/s: 10.5 mm³/s of 11.
        of(36, "flow just below", |plan| {
            (plan.speed, plan.shape, plan.layers) = ([20, 130, 130, 150], Shape::Block(120.0, 40.0), 4);
        }),
        of(38, "pulls as far as may be", |plan| plan.dialect.retract = Retract::Moves(4.0)),
        near(
            38,
            job("pulls as far as may be through a tube", &PLA, round(), |plan| {
                plan.dialect.retract = Retract::Moves(7.0)
            }),
        ),
        of(38, "pushes as far as may be", |plan| {
            plan.insert = vec![(6, "G92 E0\nG1 E20 F300\nG92 E0".to_owned())];
            plan.note = Note::MaterialOnly;
        }),
        of(39, "bridges of seven tenths", |plan| plan.heights = vec![0.2, 0.2, 0.2, 0.14]),
        of(40, "a small foot, not tall", |plan| (plan.shape, plan.layers) = (Shape::Block(9.5, 9.5), 100)),
        of(40, "slender, but not too much", |plan| {
            (plan.shape, plan.layers) = (Shape::Block(13.0, 13.0), 300)
        }),
        of(40, "tall walls round an empty middle", |plan| {
            (plan.shape, plan.layers) = (Shape::Ring(10.0, 9.1), 150)
        }),
        of(41, "boards side by side", |plan| {
            (plan.shape, plan.layers) = (Shape::Block(60.0, 160.0), 3);
            plan.centres = vec![[40.0, 110.0], [110.0, 110.0], [180.0, 110.0]];
        }),
        of(41, "a board as long as may be", |plan| {
            (plan.shape, plan.layers) = (Shape::Block(180.0, 30.0), 3)
        }),
        near(
            41,
            job("soft board, as long as it likes", &TPU, big(), |plan| {
                (plan.shape, plan.layers, plan.speed) = (Shape::Block(260.0, 40.0), 2, [15, 18, 20, 100]);
            }),
        ),
        of(42, "first layer as high as may be", |plan| (plan.first, plan.width) = (0.42, 0.6)),
    ]
}

fn heat() -> Vec<Near> {
    let at = |stuff: &Stuff, what: &str, nozzle: i32, bed: i32| {
        job(what, stuff, bench(), |plan| (plan.nozzle, plan.bed) = ([nozzle; 2], [bed; 2]))
    };
    let insert = |what: &str, place: u32, words: &str| {
        let words = words.to_owned();
        plain(what, move |plan| plan.insert = vec![(place, words)])
    };
    vec![
        near(44, plain("no wait, but long enough for its heater", |_| {}).with("M109 S210\n", "G4 S110\n")),
        near(
            44,
            plain("no wait, but a minute, and no heater stated", |_| {})
                .with("M109 S210\n", "G4 S35\n")
                .machine(|machine| machine.heaters = None),
        ),
        near(45, insert("waits to cool to the room and a little", 12, "M190 R22")),
        near(45, insert("waits to cool a little", 6, "M109 R200")),
        near(46, at(&PETG, "at the cold end of the window", 220, 80)),
        near(46, at(&PETG, "at the hot end of the window", 250, 80)),
        near(46, at(&PETG, "five kelvin above: a note", 255, 80)),
        near(
            47,
            at(&ABS, "at the hot end's limit", 245, 100)
                .machine(|machine| machine.nozzle_max_c = Celsius(245)),
        ),
        near(47, at(&PETG, "a liner at its limit", 240, 80).machine(|machine| machine.lined_throat = true)),
        near(
            48,
            at(&ABS, "at the bed's and the plate's limit", 240, 105).machine(|machine| {
                machine.bed_max_c = Celsius(105);
                machine.plates[0].max_c = Some(Celsius(105));
            }),
        ),
        near(49, at(&PETG, "ten kelvin below the bed's window", 240, 60)),
        near(49, at(&PLA, "fifteen above the glass transition", 205, 70)),
        near(51, plain("rests hot for nearly five minutes", |_| {}).with("G92 E0\n", "G4 S270\nG92 E0\n")),
        near(51, insert("rests hot for nearly ten minutes", 6, "G4 S590")),
        near(52, insert("fan not quite full on the first layer", 0, "M106 S254")),
        near(
            53,
            insert("rests hot on the part for most of a minute", 12, "G4 S57")
                .with("G0 Z12.4 F600\nG0 X10 Y210 F6000\n", ""),
        ),
    ]
}
