//! Faults of feed and heat right beyond their limits; `near_limits` has what is right within them.

use super::{Fault, c, fault, hold, look, plain, text, um};
use crate::corpus::cases::{ABS, HIPS, PETG, PLA, Stuff};
use crate::corpus::plan::{Note, Plan, Purge};
use crate::corpus::rooms::{bench, closed_box};
use crate::corpus::sound::job;
use crate::corpus::{Job, Retract, Shape};
use holdpoint_shared::checks::Value;

/// A small job whose feeds of beads are changed from some mm/s to others, mm/min.
pub(in crate::corpus) fn slow(what: &str, speed: [u32; 2], layers: u32, feed: [&str; 2]) -> Job {
    let [first, above] = speed;
    let [from, to] = feed;
    plain(what, |plan| {
        (plan.shape, plan.layers, plan.note) = (Shape::Block(12.0, 10.0), layers, Note::MaterialOnly);
        (plan.speed, plan.purge) = ([first, above, above, 120], Purge::None);
    })
    .with_all(&format!("F{from}\n"), &format!("F{to}\n"))
}

fn relative(what: &str, change: impl FnOnce(&mut Plan)) -> Job {
    job(what, &PLA, bench(), |plan| {
        (plan.note, plan.dialect.relative_feed) = (Note::MaterialOnly, true);
        change(plan);
    })
}

/// Pulls of 0.8 mm, so many of which come back by this much only, mm.
pub(in crate::corpus) fn short_of_a_prime(what: &str, times: usize, back: &str) -> Job {
    relative(what, |plan| plan.dialect.retract = Retract::Moves(0.8)).edited(|text| {
        let (head, body) = text.split_once("; layer 3 of").expect("a third layer");
        format!("{head}; layer 3 of{}", body.replacen("G1 E0.8 F2100", &format!("G1 E{back} F2100"), times))
    })
}

/// So many ways of a length in a row over the part, without a bead; one leads there, and one back.
pub(in crate::corpus) fn ways(what: &str, count: usize, length: u32, change: impl FnOnce(&mut Plan)) -> Job {
    plain(what, |plan| {
        change(plan);
        let ways: Vec<String> =
            (0..count).map(|way| format!("G0 X{}", 60 + if way % 2 == 0 { length } else { 0 })).collect();
        plan.insert = vec![(2, format!("G0 Z20 F600\nG0 Y60 F9000\n{}", ways.join("\n")))];
    })
}

/// One long bead of the sixth layer with so much more filament, percent.
pub(in crate::corpus) fn one_thick_bead(what: &str, percent: f64) -> Job {
    relative(what, |plan| plan.layers = 40).edited(|text| {
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let layer = lines.iter().position(|line| line.contains("layer 6 of")).expect("a sixth layer");
        let lays = |line: &String| line.starts_with("G1 X") && line.contains(" E");
        // Rare enough to be a fault.
        assert!(lines.iter().filter(|line| lays(line)).count() > 300);
        let amount = |line: &String| line.split(" E").nth(1)?.split(' ').next()?.parse::<f64>().ok();
        let at = (layer..lines.len() - 2)
            // A bead of 5 mm and more, between others.
            .find(|at| {
                (at - 1..=at + 2).all(|place| lays(&lines[place]))
                    && amount(&lines[*at]).is_some_and(|e| e > 0.15)
            })
            .expect("a long bead between two");
        let e = amount(&lines[at]).expect("fed");
        let old =
            lines[at].split(" E").nth(1).and_then(|rest| rest.split(' ').next()).expect("fed").to_owned();
        lines[at] = lines[at].replace(&format!("E{old}"), &format!("E{:.5}", e * (1.0 + percent / 100.0)));
        lines.join("\n") + "\n"
    })
}

/// The machine's own retracts, with their lengths stated.
pub(in crate::corpus) fn own_retracts(what: &str, words: &str) -> Job {
    relative(what, |plan| {
        plan.dialect.retract = Retract::Words;
        plan.insert = vec![(0, words.to_owned())];
    })
}

/// A flow factor in force for some layers.
pub(in crate::corpus) fn factor(what: &str, percent: u32) -> Job {
    relative(what, |plan| {
        plan.speed = [12, 20, 22, 120];
        plan.insert = vec![(4, format!("M221 S{percent}")), (8, "M221 S100".to_owned())];
    })
}

/// The bed heats, and nobody waits for it.
pub(in crate::corpus) fn without_bed_wait(stuff: &Stuff, instead: &str) -> Job {
    let job =
        job(&format!("bed not waited for, {}", stuff.name), stuff, closed_box("textured", 400), |plan| {
            plan.note = Note::MaterialOnly;
        });
    job.with(&format!("M190 S{}\n", stuff.bed[0]), instead)
}

pub(super) fn jobs() -> Vec<Fault> {
    let mut faults = vec![
        fault(slow("4.9 mm/s", [5, 5], 3, ["300", "294"]), look(101, 0)),
        fault(slow("2.9 mm/s", [3, 3], 3, ["180", "174"]), hold(101, 0)),
        fault(slow("first layer at 2.9 mm/s", [3, 20], 30, ["180", "174"]), look(101, 1)),
        fault(short_of_a_prime("0.42 of 0.8 mm missing", 1, "0.38"), look(102, 0).value(1, Value::Count(1))),
        fault(short_of_a_prime("eight gaps", 8, "0.1"), look(102, 0).value(1, Value::Count(8))),
        fault(short_of_a_prime("nine gaps", 9, "0.1"), hold(102, 0).value(1, Value::Count(9))),
        fault(ways("sixty-one ways", 59, 20, |plan| plan.shape = Shape::Block(60.0, 40.0)), hold(103, 0)),
        fault(
            ways("forty-six ways over a small part", 44, 8, |plan| {
                (plan.shape, plan.layers) = (Shape::Block(8.0, 6.0), 3);
            }),
            hold(103, 0),
        ),
        fault(one_thick_bead("one bead of 115 %", 15.0), look(105, 0)),
        fault(one_thick_bead("one bead of 60 %", -40.0), look(105, 0)),
        fault(
            own_retracts("the machine's own retract of 4.1 mm", "M207 S4.1 F2100"),
            look(38, 0).values([um(4_100)]).value(2, um(4_000)),
        ),
        fault(
            own_retracts("the machine's own retract of 31 mm", "M207 S31 F2100"),
            hold(38, 0).values([um(31_000)]),
        ),
        fault(
            own_retracts("a return that pushes 21 mm more", "M207 S1\nM208 S21"),
            look(38, 1).values([um(21_000)]),
        ),
        fault(factor("flow 150 % for four layers", 150), look(39, 1).values([Value::Percent(150)])),
        fault(factor("flow 125 % for four layers", 125), look(39, 1).values([Value::Percent(125)])),
        fault(factor("flow 75 % for four layers", 75), look(39, 1).values([Value::Percent(75)])),
    ];
    for stuff in [ABS, HIPS] {
        let least = c(90);
        faults.push(fault(
            without_bed_wait(&stuff, ""),
            look(49, 3)
                .values([c(stuff.bed[0].try_into().expect("a temperature")), text(stuff.name)])
                .value(2, least),
        ));
    }
    faults.push(fault(
        job("bed set when the nozzle is hot, and not waited for", &PETG, bench(), |plan| {
            plan.note = Note::MaterialOnly;
        })
        .with("M140 S80\n", "")
        .with("M190 S80\n", "")
        .with("M109 S240\n", "M109 S240\nM140 S80\n"),
        look(49, 3).values([c(80), text("PETG"), c(70)]),
    ));
    faults
}
