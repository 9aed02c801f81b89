//! Sound jobs: each must pass with nothing above NOTE.

use holdpoint_shared::records::Machine;

use super::cases::{
    ABS, ASA, HIPS, PA6, PA12, PC, PETG, PETG_CF, PLA, PLA_SILK, PP, PVAL, Stuff, TPU, WOOD, laid_out, middle,
};
use super::plan::{End, Heat, Note, Plan, Purge, Start};
use super::rooms::{bench, big, centred, closed_box, fine, round, thick};
use super::{Arcs, Comments, Dialect, Job, Retract, Shape};

/// A job of a material on a machine, changed.
#[must_use]
pub fn job(what: &str, stuff: &Stuff, machine: Machine, change: impl FnOnce(&mut Plan)) -> Job {
    let mut plan = stuff.plan(laid_out(&machine, Plan::new()));
    if machine.filament_um > 2000 {
        plan.dialect.retract = Retract::Moves(4.0);
    }
    change(&mut plan);
    Job::new(what, plan.bytes(), stuff.on(machine))
}

/// All of them.
#[must_use]
pub fn jobs() -> Vec<Job> {
    let mut jobs = shapes();
    jobs.extend(materials());
    jobs.extend(habits());
    jobs.extend(starts_and_ends());
    jobs.extend(notes());
    jobs.extend(rooms());
    jobs.extend(edited());
    jobs.extend(seeded());
    jobs.extend(super::words::jobs());
    jobs
}

fn shapes() -> Vec<Job> {
    let of = |what: &str, change: fn(&mut Plan)| job(what, &PLA, bench(), change);
    vec![
        of("block", |_| {}),
        of("ring", |plan| plan.shape = Shape::Ring(22.0, 14.0)),
        of("disc", |plan| plan.shape = Shape::Disc(16.0)),
        of("bracket", |plan| plan.shape = Shape::Bracket(40.0, 30.0, 12.0)),
        of("gear", |plan| plan.shape = Shape::Gear(16, 20.0)),
        of("tower with a brim", |plan| {
            (plan.shape, plan.layers) = (Shape::Tower(10.0, 8.0), 150);
            plan.fan = vec![85, 170, 255];
        }),
        of("vase by a spiral", |plan| (plan.shape, plan.layers) = (Shape::Vase(18.0), 40)),
        of("sign with lettering", |plan| plan.shape = Shape::Sign(60.0, 18.0)),
        of("thin walls", |plan| (plan.shape, plan.layers) = (Shape::Walls(50.0), 30)),
        of("single layer", |plan| (plan.shape, plan.layers) = (Shape::Ring(20.0, 12.0), 1)),
        of("four parts at once", |plan| {
            plan.shape = Shape::Block(14.0, 10.0);
            plan.centres = vec![[80.0, 80.0], [140.0, 80.0], [140.0, 140.0], [80.0, 140.0]];
        }),
        of("three parts one by one", |plan| {
            (plan.shape, plan.one_by_one) = (Shape::Block(16.0, 12.0), true);
            plan.centres = vec![[50.0, 60.0], [120.0, 60.0], [50.0, 150.0]];
        }),
        of("layers of two heights", |plan| plan.heights = vec![0.2, 0.12]),
        of("layers that vary", |plan| {
            plan.layers = 24;
            plan.heights = vec![0.2, 0.2, 0.24, 0.28, 0.28, 0.24, 0.16, 0.12, 0.1, 0.12, 0.16, 0.2];
        }),
        of("first layer thicker", |plan| plan.first = 0.28),
        of("block against the plate's edge", |plan| {
            plan.centres = vec![[205.0, 210.0]];
        }),
        job("as high as the machine goes", &PLA, fine(), |plan| {
            (plan.shape, plan.layers, plan.layer) = (Shape::Tower(14.0, 12.0), 670, 0.15);
            plan.first = 0.15;
            plan.end = End::HomeXy;
            plan.insert = vec![];
        }),
        job("board with a skirt", &PLA, big(), |plan| {
            (plan.shape, plan.layers, plan.skirt) = (Shape::Block(172.0, 40.0), 2, Some(6.0));
        }),
        of("disc with a skirt", |plan| (plan.shape, plan.skirt) = (Shape::Disc(14.0), Some(4.0))),
        of("four parts with a skirt", |plan| {
            (plan.shape, plan.skirt) = (Shape::Block(14.0, 10.0), Some(5.0));
            plan.centres = vec![[30.0, 30.0], [190.0, 30.0], [190.0, 190.0], [30.0, 190.0]];
        }),
        job("post, strip lower than its first layer", &PLA, bench(), |plan| {
            (plan.shape, plan.layers, plan.first) = (Shape::Tower(14.0, 12.0), 300, 0.28);
            plan.purge = Purge::Line { x: 10.0, length: 195.0, y: 4.0, z: 0.2 };
        }),
        job("long strip, lower than the first layer", &PETG, big(), |plan| {
            plan.first = 0.36;
            plan.purge = Purge::Line { x: 10.0, length: 300.0, y: 4.0, z: 0.24 };
        }),
        job("long board with a brim", &PLA, big(), |plan| {
            plan.shape = Shape::Tower(188.0, 9.0);
            plan.layers = 3;
        }),
    ]
}

fn materials() -> Vec<Job> {
    let mut jobs = Vec::new();
    for stuff in [PLA, PLA_SILK, PETG, TPU, PVAL] {
        jobs.push(job(&format!("{} on the bench", stuff.name), &stuff, bench(), |_| {}));
    }
    for stuff in [ABS, ASA, PC, HIPS, PETG] {
        let what = format!("{} in the box", stuff.name);
        jobs.push(job(&what, &stuff, closed_box("textured", 400), |plan| plan.heat = Heat::Together));
    }
    jobs.push(job("small ABS on the open bench", &ABS, bench(), |plan| plan.end = End::HomeXy));
    for stuff in [PA12, PA6] {
        jobs.push(job(&format!("{} on laminate", stuff.name), &stuff, closed_box("laminate", 400), |_| {}));
    }
    jobs.push(job("PP on its own face", &PP, closed_box("polypropylene", 600), |_| {}));
    jobs.push(job("wood through 0.6", &WOOD, closed_box("textured", 600), |_| {}));
    jobs.push(job("CF through a hard nozzle", &PETG_CF, closed_box("textured", 600), |_| {}));
    jobs.push(job("CF through a hard 0.4", &PETG_CF, closed_box("textured", 400), |_| {}));
    jobs.push(job("TPU on the big one", &TPU, big(), |plan| plan.speed = [15, 18, 20, 100]));
    jobs
}

fn habits() -> Vec<Job> {
    let of = |what: &str, change: fn(&mut Dialect)| {
        job(what, &PLA, bench(), |plan| {
            plan.shape = Shape::Disc(15.0);
            change(&mut plan.dialect);
        })
    };
    vec![
        of("relative feed", |d| d.relative_feed = true),
        of("one count of feed for all", |d| d.reset_feed = false),
        of("relative positions", |d| (d.relative_positions, d.relative_feed) = (true, true)),
        of("relative positions, absolute feed", |d| d.relative_positions = true),
        of("circles by centre", |d| d.arcs = Arcs::Centre),
        of("circles by radius", |d| (d.arcs, d.relative_feed) = (Arcs::Radius, true)),
        of("numbered lines", |d| d.numbered = true),
        of("numbered, tight, lower case, CRLF", |d| {
            (d.numbered, d.tight, d.lower, d.crlf) = (true, true, true, true);
        }),
        of("CRLF", |d| d.crlf = true),
        of("lower case", |d| d.lower = true),
        of("no blanks", |d| (d.tight, d.comments) = (true, Comments::None)),
        of("bare points", |d| (d.bare_point, d.relative_feed) = (true, true)),
        of("comments in brackets", |d| d.comments = Comments::Brackets),
        of("no comments", |d| d.comments = Comments::None),
        of("retracts by words", |d| d.retract = Retract::Words),
        of("no retracts", |d| d.retract = Retract::Never),
        of("hops", |d| (d.hop, d.retract) = (true, Retract::Moves(1.5))),
        of("progress and texts", |d| d.progress = true),
        of("all words on all lines", |d| d.wordy = true),
        of("everything at once", |d| {
            (d.numbered, d.crlf, d.progress, d.hop, d.relative_feed) = (true, true, true, true, true);
            (d.arcs, d.retract) = (Arcs::Centre, Retract::Words);
        }),
    ]
}

fn starts_and_ends() -> Vec<Job> {
    let of = |what: &str, change: fn(&mut Plan)| job(what, &PLA, bench(), change);
    let line = |x, length, y, z| Purge::Line { x, length, y, z };
    let mut jobs = vec![
        of("probes first", |plan| plan.start = Start::Probe),
        of("lifts by relative words", |plan| plan.start = Start::RelativeLift),
        of("lifts by relative words, relative feed", |plan| {
            (plan.start, plan.dialect.relative_feed) = (Start::RelativeLift, true);
        }),
        of("sets limits first", |plan| plan.start = Start::Limits),
        of("sets Z a little off", |plan| (plan.start, plan.first) = (Start::ZOffset, 0.25)),
        of("heats bed and nozzle together", |plan| plan.heat = Heat::Together),
        of("bed stays cold", |plan| (plan.heat, plan.bed) = (Heat::NoBed, [0, 0])),
        of("bed off after the first layers", |plan| plan.bed = [60, 50]),
        of("machine's own start and end", |plan| {
            (plan.heat, plan.end) = (Heat::Macro("WARM_UP"), End::Macro("DONE"));
        }),
        of("purge by a push on the spot", |plan| plan.purge = Purge::Blob),
        of("no purge", |plan| plan.purge = Purge::None),
        of("homes X and Y at the end", |plan| plan.end = End::HomeXy),
        job("round plate, homes upwards at the end", &PLA, round(), |plan| {
            (plan.end, plan.dialect.retract) = (End::HomeAll, Retract::Moves(5.0));
        }),
        job("round plate, parks", &PETG, round(), |plan| plan.dialect.retract = Retract::Moves(4.0)),
        of("parks a little outside", |plan| plan.park = [-3.0, 215.0]),
        of("top face smoothed at a tenth of the flow", |plan| {
            (plan.note, plan.insert) = (Note::MaterialOnly, vec![(11, smoothing(0.1, 29.0, 19.0))]);
            plan.dialect.relative_feed = true;
        }),
        of("two faces smoothed, coarsely", |plan| {
            (plan.note, plan.dialect.relative_feed) = (Note::MaterialOnly, true);
            plan.insert = vec![(7, smoothing(0.2, 29.0, 6.0)), (11, smoothing(0.2, 29.0, 19.0))];
        }),
        of("walls after a wait of a minute", |plan| plan.insert = vec![(6, "G4 S60".to_owned())]),
        of("waits by milliseconds", |plan| {
            plan.insert = vec![(5, "G4 P500".to_owned()), (8, "M400".to_owned())]
        }),
        of("rests a long while at the end", |plan| plan.insert = vec![(13, "G4 S300".to_owned())]),
        of("cools by a wait at the end", |plan| {
            plan.insert = vec![(13, "M400\nM106 S255\nG4 S20\nM107".to_owned())]
        }),
        of("two of the machine's own words", |plan| {
            plan.insert = vec![(0, "M420 S1\nM900 K0.05".to_owned())]
        }),
    ];
    for (what, purge) in [
        ("purge on the very edge", line(0.0, 100.0, 0.3, 0.2)),
        ("purge outside the front", line(10.0, 100.0, -3.0, 0.2)),
        ("purge higher than the first layer", line(10.0, 100.0, 5.0, 0.35)),
        ("purge higher and outside", line(10.0, 60.0, -4.0, 0.3)),
        ("purge close to the part", line(80.0, 60.0, 92.0, 0.2)),
    ] {
        jobs.push(job(what, &PLA, bench(), |plan| plan.purge = purge));
    }
    jobs
}

/// Lines over the middle of the plate, back and forth, with a tenth of the feed of a bead of 0.45 mm by 0.2 mm.
fn smoothing(spacing: f64, width: f64, depth: f64) -> String {
    let feed = width * (0.45 * 0.2 - 0.2 * 0.2 * (1.0 - std::f64::consts::FRAC_PI_4)) / 2.405 / 10.0;
    let (left, front) = (110.0 - width / 2.0, 110.0 - depth / 2.0);
    let mut text = format!("G0 X{left:.2} Y{front:.2} F6000");
    for number in 0..(depth / spacing) as u32 {
        let y = front + f64::from(number) * spacing;
        let x = if number % 2 == 0 { left + width } else { left };
        text.push_str(&format!("\nG0 Y{y:.2}\nG1 X{x:.2} E{feed:.5} F3000"));
    }
    text
}

fn notes() -> Vec<Job> {
    let of = |what: &str, change: fn(&mut Plan)| job(what, &PETG, bench(), change);
    let mut jobs = vec![
        of("comments at the start", |plan| plan.note = Note::Head),
        of("comments behind much else", |plan| plan.note = Note::Tail),
        of("only a material", |plan| plan.note = Note::MaterialOnly),
        of("a picture in the comments", |plan| plan.picture = true),
        of("a picture, comments at the end", |plan| (plan.picture, plan.note) = (true, Note::Tail)),
        of("names this machine", |plan| plan.header = r#","machine":"m2""#.to_owned()),
        of("names the machine as its bench", |plan| plan.header = r#","machine":"window bench""#.to_owned()),
        of("part, author and day", |plan| {
            plan.header = r#","part":"clip","author":"K7","made":"2026-11-24","colour":"red""#.to_owned();
        }),
        // What a program states that does not read the start text: the strip is not in it.
        of("length without the strip", |plan| (plan.note, plan.length_without_purge) = (Note::Head, true)),
        of("length without the strip, small part", |plan| {
            (plan.note, plan.length_without_purge, plan.shape) = (Note::Head, true, Shape::Block(12.0, 12.0));
        }),
    ];
    let mut named = of("beside other work", |_| {});
    named.files.push(("OTHER.GCO".to_owned(), b"M84\n".to_vec(), 5));
    named.files.push(("Bracket_v2.gcode".to_owned(), b"M84\n".to_vec(), 4000));
    jobs.push(named);
    jobs
}

fn rooms() -> Vec<Job> {
    let mut jobs = vec![
        job("fine nozzle", &PLA, fine(), |plan| plan.shape = Shape::Gear(10, 12.0)),
        job("wide nozzle", &PLA, big(), |plan| plan.shape = Shape::Bracket(80.0, 60.0, 20.0)),
        job("thick filament", &PLA, thick(), |_| {}),
        job("thick filament, relative feed", &PETG, thick(), |plan| {
            plan.dialect.relative_feed = true;
            plan.material = "PETG".to_owned();
        }),
        job("zero in the middle", &PLA, centred(), |plan| plan.shape = Shape::Ring(20.0, 12.0)),
        job("zero in the middle, relative", &PETG, centred(), |plan| {
            (plan.dialect.relative_positions, plan.dialect.relative_feed) = (true, true);
        }),
    ];
    // PETG welds to glass: the thick one's plate is changed for it.
    if let Some(plate) = jobs[3].setup.machine.plates.first_mut() {
        plate.face = holdpoint_shared::records::PlateFace::Textured;
    }
    let mut clockless = job("clock not set", &PLA, bench(), |_| {});
    clockless.now = None;
    jobs.push(clockless);
    let mut late = job("late, but before closing", &PLA, bench(), |_| {});
    late.now = Some(super::wednesday(17, 0));
    jobs.push(late);
    let mut own = job("the ticket's own window", &PLA, bench(), |plan| plan.nozzle = [230, 225]);
    if let Some(spool) = &mut own.setup.spool {
        let c = holdpoint_shared::units::Celsius;
        spool.nozzle_c = Some((c(215), c(235)));
    }
    jobs.push(own);
    jobs
}

/// Sound jobs that no plan writes: other habits, put into the text.
fn edited() -> Vec<Job> {
    let of = |what: &str, change: fn(&str) -> String| {
        let job = job(what, &PLA, bench(), |plan| plan.note = Note::Head);
        job.edited(|text| change(&text))
    };
    vec![
        of("no line end at the end", |text| text.trim_end().to_owned()),
        of("blank lines and blanks", |text| text.replace("M107\n", "\n\n   \nM107   \n\n")),
        of("tabs between words", |text| text.replace(" Y", "\tY")),
        of("tape marks at both ends", |text| format!("%\n{text}%\n")),
        of("the standard's modes on one line", |text| {
            text.replacen("G21\nG90\n", "G17 G21 G40 G49 G90 G94\n", 1)
        }),
        of("leading zeros", |text| text.replace("G1 ", "G01 ").replace("G0 ", "G00 ")),
        of("signs and points", |text| text.replace(" F600", " F+600.").replace("Z5 ", "Z5.000 ")),
        of("waits for a cold bed that is off", |text| {
            text.replace("M140 S60", "M140 S0")
                .replace("M190 S60", "M190 S0")
                .replace("bed temperature = 60", "bed temperature = 0")
        }),
        of("German text for the display", |text| {
            text.replacen("M107\n", "M107\nM117 Fertig: Größe geprüft\n", 1)
        }),
        of("umlauts in comments", |text| format!("; Bügel für die Tür, größer\n{text}")),
        of("skipped lines that say nothing", |text| {
            text.replacen("G28\n", "G28\n/M117 done\n/ ; nothing\n", 1)
        }),
        of("CR alone ends the lines", |text| text.replace('\n', "\r")),
        of("a long comment in brackets before words", |text| {
            text.replacen("G28\n", &format!("({}) G28 ({})\n", "note ".repeat(80), "x".repeat(300)), 1)
        }),
        of("a long comment after words", |text| {
            text.replacen("G28\n", &format!("G28 ; {}\n", "settings = 1 ".repeat(60)), 1)
        }),
        of("tight words with a wipe", |text| {
            text.replacen("M106 S170\n", "M106 S170\nM83\nG1F1800E-.5\nG1E.5F1800\nM82\n", 1)
        }),
        of("heat words again on every layer", |text| {
            text.replace("; layer", "M104 S205\n; layer").replacen("M104 S205\n", "", 1)
        }),
        of("waits with both forms", |text| text.replace("M109 S210", "M109 R210")),
        of("targets with decimals", |text| {
            text.replace("M104 S205", "M104 S205.0").replace("M109 S210", "M109 S210.00")
        }),
        of("two values of two tools", |text| {
            text.replace("nozzle diameter = 0.4", "nozzle diameter = 0.4,0.4")
                .replace("material: PLA", "material: PLA;PLA")
        }),
        of("parks by the second home", |text| text.replace("M84\n", "G28 X0 Y0\nM18\nM30\n")),
        of("tool word for the only tool", |text| text.replacen("G28\n", "T0\nG28\n", 1)),
        of("a message with digits", |text| {
            text.replacen("M107\n", "M107\nM117 3 of 3 done, X2 Y=4 100%\n", 1)
        }),
        of("beeps and lamps", |text| text.replace("M84\n", "M300 S440 P200\nM84\n")),
        of("much said behind the end", |text| {
            format!("{text}{}", "; one more line of words about nothing at all, 12 = 12\n".repeat(900))
        }),
    ]
}

/// Plans by a seed: shapes, materials, machines and habits mixed.
fn seeded() -> Vec<Job> {
    let sheets: [fn() -> Machine; 5] = [bench, centred, big, || closed_box("textured", 400), round];
    let stuffs = [PLA, PETG, PLA_SILK, TPU, ABS];
    let mut dice = 0x5EED_u64;
    // Knuth's linear congruential generator (MMIX); its high bits.
    let mut roll = move |below: usize| {
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (dice >> 33) as usize % below
    };
    let mut jobs = Vec::new();
    for number in 0..40 {
        let machine = sheets[roll(sheets.len())]();
        let mut stuff = stuffs[roll(stuffs.len())];
        if machine.round && stuff.name.starts_with("TPU") {
            stuff = PLA; // Soft through a tube is a point of its own.
        }
        if stuff.name == "ABS" && machine.bed_max_c.0 < 105 {
            stuff = PETG;
        }
        let shape = match roll(7) {
            0 => Shape::Block(12.0 + roll(30) as f64, 10.0 + roll(20) as f64),
            1 => Shape::Ring(14.0 + roll(10) as f64, 8.0),
            2 => Shape::Disc(9.0 + roll(12) as f64),
            3 => Shape::Bracket(25.0 + roll(20) as f64, 24.0, 9.0),
            4 => Shape::Gear(8 + roll(10) as u32, 14.0 + roll(8) as f64),
            5 => Shape::Vase(12.0 + roll(10) as f64),
            _ => Shape::Sign(40.0 + roll(30) as f64, 16.0),
        };
        let [cx, cy] = middle(&machine);
        let what = format!("seeded {number}: {shape:?}, {}, {}", stuff.name, machine.tag);
        jobs.push(job(&what, &stuff, machine, |plan| {
            plan.shape = shape;
            plan.layers = 3 + roll(20) as u32;
            plan.centres = vec![[cx + roll(20) as f64 - 10.0, cy + roll(20) as f64 - 10.0]];
            plan.note = [Note::Header, Note::Head, Note::Tail][roll(3)];
            plan.start = [Start::Plain, Start::Probe, Start::RelativeLift, Start::Limits][roll(4)];
            plan.heat = [Heat::BedFirst, Heat::Together][roll(2)];
            plan.end = [End::Park, End::HomeXy][roll(2)];
            plan.picture = roll(4) == 0;
            let d = &mut plan.dialect;
            (d.relative_feed, d.numbered, d.crlf) = (roll(2) == 0, roll(5) == 0, roll(3) == 0);
            (d.lower, d.tight, d.hop) = (roll(6) == 0, roll(6) == 0, roll(2) == 0);
            (d.bare_point, d.progress, d.reset_feed) = (roll(4) == 0, roll(3) == 0, roll(2) == 0);
            d.arcs = [Arcs::Lines, Arcs::Centre, Arcs::Radius][roll(3)];
            d.comments = [Comments::Semicolon, Comments::Brackets, Comments::None][roll(3)];
            d.relative_positions = roll(6) == 0;
        }));
    }
    jobs
}
