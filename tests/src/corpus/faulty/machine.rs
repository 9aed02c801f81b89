//! Faults of machine, modes and geometry (catalogue 17 to 42).

use holdpoint_shared::checks::Value;
use holdpoint_shared::records::KeepOut;

use super::{Fault, both, fault, hold, line_of, look, mm_s, plain, text, um};
use crate::corpus::cases::{ABS, PLA, TPU};
use crate::corpus::plan::{End, Note, Purge};
use crate::corpus::rooms::{bench, big, closed_box, round, thick};
use crate::corpus::sound::job;
use crate::corpus::{Arcs, Retract, Shape};

pub(super) fn jobs() -> Vec<Fault> {
    let mut jobs = places();
    jobs.extend(heads());
    jobs.extend(modes());
    jobs.extend(lines());
    jobs.extend(shapes());
    jobs
}

/// Outside the plate, too high.
fn places() -> Vec<Fault> {
    vec![
        fault(
            job("made for another machine", &PLA, bench(), |plan| {
                plan.header = r#","machine":"M-Large""#.to_owned()
            }),
            look(17, 0).values([text("M-Large"), text("M2")]),
        ),
        // The part's middle is at 200 mm, its half width 20 less half a line: 219.775 + 14 over.
        fault(
            plain("over the right edge", |plan| plan.centres = vec![[219.224, 110.0]]),
            hold(18, 1).values([um(14_000)]),
        ),
        fault(
            plain("over the front edge", |plan| {
                (plan.centres, plan.purge) = (vec![[110.0, 4.776]], Purge::None);
            }),
            hold(18, 2).values([um(5_000)]),
        ),
        fault(
            plain("over a clip", |_| {}).machine(|machine| {
                let clip = KeepOut { x_mm: [90, 100], y_mm: [105, 115], height_mm: 5 };
                machine.keep_outs.push(clip).expect("room");
            }),
            hold(18, 5),
        ),
        // Only the circle's own bulge leaves the plate: both ends of the arc are inside.
        fault(
            plain("an arc's bulge over the left edge", |plan| {
                (plan.shape, plan.dialect.arcs) = (Shape::Disc(16.0), Arcs::Centre);
                plan.centres = vec![[12.776, 110.0]];
            }),
            hold(18, 0).values([um(3_000)]),
        ),
        fault(
            job("over the rim", &PLA, round(), |plan| {
                (plan.shape, plan.purge) = (Shape::Disc(20.0), Purge::None);
                plan.dialect.arcs = Arcs::Centre;
                plan.dialect.retract = Retract::Moves(4.0);
                plan.centres = vec![[84.224, 0.0]];
            }),
            hold(18, 4).values([um(4_000)]),
        ),
        fault(
            plain("parks far outside", |plan| plan.park = [110.0, 232.0]),
            hold(19, 3).values([um(12_000)]),
        ),
        fault(
            plain("purges far outside", |plan| {
                plan.purge = Purge::Line { x: 10.0, length: 90.0, y: -9.0, z: 0.2 };
            }),
            hold(19, 2).values([um(9_000)]),
        ),
        fault(
            plain("too tall", |plan| (plan.shape, plan.layers) = (Shape::Tower(14.0, 12.0), 150))
                .machine(|machine| machine.height_um = 28_000),
            // 150 layers of 0.2 mm against 28 mm less half a millimetre.
            hold(20, 0).values([um(2_500), um(28_000)]),
        ),
        fault(
            plain("lifts too high at the end", |plan| plan.layers = 40)
                .machine(|machine| machine.height_um = 12_000),
            hold(20, 1).values([um(6_000), um(12_000)]),
        ),
    ]
}

/// What the head does.
fn heads() -> Vec<Fault> {
    let below = plain("below the plate", |plan| plan.insert = vec![(0, "G0 Z-0.3 F600\nG0 Z5".to_owned())]);
    let scrape = plain("drags on the plate", |plan| {
        plan.insert = vec![(0, "G0 Z0.02 F600\nG0 X60 Y60 F6000\nG0 Z5".to_owned())];
    });
    let scrape_line = line_of(&scrape, "G0 X60 Y60");
    let dive = plain("dives into the part", |plan| {
        plan.layers = 20;
        plan.insert = vec![(14, "G0 X112 Y112 Z0.9\nG0 Z2.8".to_owned())];
    });
    let dive_line = line_of(&dive, "G0 X112 Y112 Z0.9");
    let unhomed = plain("moves before homing", |_| {}).with("G28\n", "G1 X20 Y20 F3000\nG28\n");
    let unhomed_line = line_of(&unhomed, "G1 X20 Y20");
    let again = plain("homes again over the part", |plan| plan.insert = vec![(6, "G28 Z".to_owned())]);
    let again_line = line_of(&again, "G28 Z");
    let probe = plain("probes again over the part", |plan| plan.insert = vec![(6, "G29".to_owned())]);
    let probe_line = line_of(&probe, "G29");
    let one_by_one = |what: &str, centres: &[[f64; 2]], layers: u32| {
        plain(what, |plan| {
            (plan.shape, plan.one_by_one, plan.layers) = (Shape::Block(16.0, 12.0), true, layers);
            plan.centres = centres.to_vec();
        })
    };
    vec![
        fault(below, hold(21, 0).values([um(-300)])),
        fault(scrape, hold(22, 0).values([scrape_line])),
        fault(dive, hold(23, 0).value(1, dive_line)),
        // Middles 40 mm apart, each 16 mm wide less a line's width of 0.448.
        fault(
            one_by_one("parts one by one too close", &[[60.0, 100.0], [100.0, 100.0]], 10),
            hold(24, 0).values([um(24_448), um(40_000)]),
        ),
        fault(
            one_by_one("first part taller than the head allows", &[[50.0, 60.0], [150.0, 160.0]], 160),
            hold(24, 1).values([um(32_000), um(30_000)]),
        ),
        fault(
            one_by_one("one by one, no clearance on the sheet", &[[50.0, 60.0], [150.0, 160.0]], 8).machine(
                |machine| {
                    (machine.clearance_radius_um, machine.clearance_height_um) = (None, None);
                },
            ),
            look(24, 2),
        ),
        fault(unhomed, hold(25, 0).values([unhomed_line])),
        fault(again, hold(26, 0).values([again_line])),
        fault(probe, hold(26, 0).values([probe_line])),
    ]
}

/// Units, modes, tools, stops.
fn modes() -> Vec<Fault> {
    let inch = plain("inches", |_| {}).edited(|text| inches(&text)).with("G21\n", "G20\n");
    let inch_line = line_of(&inch, "G20");
    let relative = plain("relative positions, absolute numbers", |plan| {
        plan.insert = vec![(2, "G91\nM82".to_owned())];
    });
    let absolute_feed = plain("relative numbers, absolute feed", |plan| {
        (plan.dialect.relative_feed, plan.dialect.retract) = (true, Retract::Moves(0.8));
    })
    .with("M83\n", "M82\n");
    let equal_feed = plain("relative numbers all alike, absolute feed", |plan| {
        (plan.shape, plan.layers, plan.dialect.relative_feed) = (Shape::Vase(18.0), 20, true);
    })
    .with("M83\n", "M82\n");
    let relative_feed = plain("absolute numbers, relative feed", |plan| {
        (plan.dialect.reset_feed, plan.end) = (false, End::HomeXy);
    })
    .with("M82\n", "M83\n");
    let ambiguous = plain("feed mode hangs on the machine", |plan| plan.dialect.relative_feed = true)
        .machine(|machine| machine.absolute_resets_feed = None)
        .with("G90\nM83\n", "M83\nG90\n");
    let two = plain("two tools", |plan| {
        plan.insert = vec![(6, "T1\nM109 S205".to_owned()), (12, "M104 T0 S0".to_owned())];
    });
    let pause = plain("stops for a person", |plan| plan.insert = vec![(6, "M0".to_owned())]);
    let change = plain("change of filament", |plan| plan.insert = vec![(6, "M600".to_owned())]);
    vec![
        fault(inch, hold(27, 0).values([inch_line])),
        fault(
            plain("inches without their word", |plan| (plan.purge, plan.end) = (Purge::None, End::HomeXy))
                .edited(|text| without_length(inches(&text))),
            hold(27, 1),
        ),
        Fault {
            job: relative,
            raises: vec![hold(28, 0), hold(18, 3), hold(33, 0), hold(42, 1)],
            why: "absolute numbers added up run off the plate, and the layers into the air",
        },
        fault(absolute_feed, hold(29, 0)),
        fault(equal_feed, hold(29, 0)),
        fault(relative_feed, hold(29, 1)),
        fault(ambiguous, look(29, 2)),
        fault(two, hold(30, 0).values([Value::Count(2), Value::Count(1)])),
        fault(pause, look(31, 0).value(1, Value::Count(1))),
        fault(change, look(31, 1).value(1, Value::Count(1))),
    ]
}

/// Lines: nozzle, layers, speeds, flow.
fn lines() -> Vec<Fault> {
    let unstated = |job: crate::corpus::Job| job.with("; nozzle diameter = 0.4\n", "");
    let burst =
        plain("long pull", |plan| plan.insert = vec![(6, "G92 E0\nG1 E-12 F2100\nG1 E0 F2100".to_owned())]);
    let burst_line = line_of(&burst, "G1 E-12");
    vec![
        fault(
            plain("for a 0.6 nozzle", |_| {}).with("nozzle diameter = 0.4", "nozzle diameter = 0.6"),
            hold(32, 0).values([um(600), um(400)]),
        ),
        fault(
            unstated(plain("lines of a wide nozzle", |plan| (plan.width, plan.layer) = (0.85, 0.24))),
            look(32, 1).value(1, um(400)),
        ),
        fault(
            unstated(plain("lines of a fine nozzle", |plan| {
                (plan.width, plan.layer, plan.first) = (0.28, 0.12, 0.12)
            })),
            look(32, 1).value(1, um(400)),
        ),
        fault(
            plain("layers too thick", |plan| (plan.layer, plan.width) = (0.36, 0.5)),
            hold(33, 0).values([um(360), um(400), um(300)]),
        ),
        fault(
            plain("layers thick", |plan| (plan.layer, plan.width) = (0.31, 0.48)),
            look(33, 0).values([um(310), um(400), um(300)]),
        ),
        fault(
            plain("layers very thin", |plan| (plan.layer, plan.first) = (0.05, 0.2)),
            look(33, 1).values([um(50), um(400), um(60)]),
        ),
        fault(plain("first layer thin", |plan| plan.first = 0.08), look(34, 0).values([um(80)])),
        both(
            plain("first layer far too thin", |plan| (plan.first, plan.purge) = (0.04, Purge::None)),
            [hold(34, 0).values([um(40)]), hold(22, 0)],
            "the head travels as low as it prints",
        ),
        fault(
            plain("first layer fast", |plan| (plan.speed[0], plan.shape) = (80, Shape::Block(60.0, 40.0))),
            look(35, 0).value(1, mm_s(40)),
        ),
        fault(
            job("first layer fast for soft stuff", &TPU, big(), |plan| plan.speed = [35, 18, 20, 100]),
            look(35, 0).value(1, mm_s(25)),
        ),
        // 0.45 × 0.2 mm at 150 mm/s: about 13 mm³/s against 11.
        fault(
            plain("flow too high", |plan| {
                plan.speed = [20, 150, 150, 150];
                plan.shape = Shape::Block(120.0, 40.0);
                plan.layers = 4;
            }),
            look(36, 0).value(1, Value::Flow(11_000)),
        ),
        fault(
            plain("flow far too high", |plan| {
                (plan.speed, plan.layer, plan.width) = ([20, 150, 150, 150], 0.28, 0.5);
                plan.shape = Shape::Block(120.0, 40.0);
                plan.layers = 4;
            }),
            hold(36, 0).value(1, Value::Flow(11_000)),
        ),
        fault(burst, look(38, 0).values([um(12_000), burst_line, um(4_000)])),
        fault(
            plain("long push inside", |plan| {
                plan.insert = vec![(6, "G92 E0\nG1 E80 F300\nG92 E0".to_owned())]
            })
            .edited(without_length),
            look(38, 1).values([um(80_000)]),
        ),
        fault(
            job("long pull through a tube", &PLA, thick(), |plan| {
                (plan.note, plan.dialect.retract) = (Note::Head, Retract::Moves(9.0));
            }),
            look(38, 0).values([um(9_000)]),
        ),
        fault(
            plain("some layers starved to a tenth", |plan| plan.layers = 10)
                .edited(|text| fatten(&text, 5, 0.1)),
            look(39, 0),
        ),
        fault(
            plain("some lines far too thick", |plan| plan.layers = 10).edited(|text| fatten(&text, 5, 2.0)),
            look(39, 0),
        ),
    ]
}

fn shapes() -> Vec<Fault> {
    vec![
        fault(
            plain("tall on a small foot", |plan| (plan.shape, plan.layers) = (Shape::Block(8.0, 8.0), 150)),
            look(40, 0).value(0, um(30_000)),
        ),
        // Their feet together are more than four times as large.
        fault(
            plain("four tall posts", |plan| {
                (plan.shape, plan.layers) = (Shape::Block(8.0, 8.0), 150);
                plan.centres = vec![[60.0, 60.0], [90.0, 60.0], [90.0, 90.0], [60.0, 90.0]];
            }),
            look(40, 0).value(0, um(30_000)),
        ),
        fault(
            plain("long board with no brim", |plan| {
                (plan.shape, plan.layers) = (Shape::Block(190.0, 30.0), 3);
            }),
            // A line's width less than the board.
            look(41, 0).values([um(189_552)]),
        ),
        fault(
            plain("long board with a skirt alone", |plan| {
                (plan.shape, plan.layers, plan.skirt) = (Shape::Block(190.0, 30.0), 3, Some(6.0));
            }),
            look(41, 0).values([um(189_552)]),
        ),
        fault(
            job("ABS board in the box", &ABS, closed_box("textured", 400), |plan| {
                (plan.shape, plan.layers) = (Shape::Block(200.0, 30.0), 3);
            }),
            look(41, 0),
        ),
        fault(
            plain("a layer's lines twice", |plan| plan.dialect.relative_feed = true).edited(|text| {
                let layer = text.find("; layer 6 of").expect("six layers");
                let next = text.find("; layer 7 of").expect("seven layers");
                text[..next].to_owned() + &text[layer..]
            }),
            hold(99, 1).values([um(1_200)]),
        ),
        fault(
            plain("starts in the air", |plan| (plan.first, plan.purge) = (0.2, Purge::None))
                .edited(|text| raised(&text, 1000)),
            hold(42, 0).values([um(1_200)]),
        ),
    ]
}

/// With every number of a move as inches.
fn inches(text: &str) -> String {
    let word = |word: &str| match word.split_at_checked(1) {
        Some((letter @ ("X" | "Y" | "Z" | "E" | "F"), number)) => {
            let inches = number.parse::<f64>().expect("a number") / 25.4;
            format!("{letter}{inches:.5}")
        }
        _ => word.to_owned(),
    };
    let line = |line: &str| match line.split_once(' ') {
        Some(("G0" | "G1" | "G92", _)) => line.split(' ').map(word).collect::<Vec<_>>().join(" ") + "\n",
        _ => format!("{line}\n"),
    };
    text.lines().map(line).collect()
}

/// Without the comment of the length.
fn without_length(text: String) -> String {
    let lines = text.lines().filter(|line| !line.starts_with("; filament used"));
    lines.map(|line| format!("{line}\n")).collect()
}

/// With all heights from the first layer on raised, µm.
fn raised(text: &str, by: i64) -> String {
    let raise = |line: &str| {
        let Some((words, z)) = line.split_once(" Z").filter(|(words, _)| *words == "G0") else {
            return format!("{line}\n");
        };
        let (number, rest) =
            z.split_once(' ').map_or((z, String::new()), |(number, rest)| (number, format!(" {rest}")));
        let z = number.parse::<f64>().expect("a height") + by as f64 / 1000.0;
        format!("{words} Z{z:.3}{rest}\n")
    };
    text.lines().map(raise).collect()
}

/// With twice the filament in each layer's feed from a layer of the text on, for one layer in so many.
fn fatten(text: &str, every: usize, times: f64) -> String {
    let mut out = String::new();
    let mut layer = 0_usize;
    for line in text.lines() {
        if line.starts_with("; layer ") {
            layer += 1;
        }
        let fat = layer > 1 && layer.is_multiple_of(every);
        match line.split_once(" E").filter(|_| fat && line.contains('X')) {
            Some((words, e)) => {
                let (number, rest) =
                    e.split_once(' ').map_or((e, String::new()), |(n, rest)| (n, format!(" {rest}")));
                let other = number.parse::<f64>().expect("a feed") * times;
                out.push_str(&format!("{words} E{other:.5}{rest}\n"));
            }
            None => out.push_str(&format!("{line}\n")),
        }
    }
    without_length(out)
}
