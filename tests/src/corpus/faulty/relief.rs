//! Faults that the height map must see. One fault of this sort shows in several ways: each names the points of which one
//! must be raised as a HOLD, and more may be.

use holdpoint_shared::checks::Level;

use super::plain;
use crate::corpus::by_hand::by_hand;
use crate::corpus::cases::PLA;
use crate::corpus::plan::{Plan, Purge};
use crate::corpus::rooms::{big, centred};
use crate::corpus::shape::Point;
use crate::corpus::sound::job;
use crate::corpus::{Job, Outcome, Shape};

/// A job and the checks of which one must hold it.
#[derive(Clone, Debug)]
pub struct ReliefFault {
    pub job: Job,
    pub checks: Vec<u8>,
}

impl ReliefFault {
    /// Whether it is held, and by one of its checks.
    #[must_use]
    pub fn is_held(&self, outcome: &Outcome) -> bool {
        let held = |check: u8| {
            outcome.findings.iter().any(|found| found.check == check && found.level == Level::Hold)
        };
        self.checks.iter().any(|check| held(*check))
    }
}

fn held(job: Job, checks: &[u8]) -> ReliefFault {
    ReliefFault { job, checks: checks.to_vec() }
}

/// All of them.
#[must_use]
pub fn jobs() -> Vec<ReliefFault> {
    let mut jobs = through();
    jobs.extend(one_by_one());
    jobs.extend(gaps());
    jobs.extend(raised());
    jobs.extend(shifted());
    jobs.extend(piled());
    jobs.extend(repeated());
    jobs.extend(low());
    jobs.extend(homes());
    jobs
}

/// The habits that a fault is tried with.
fn habit(plan: &mut Plan, number: usize) {
    plan.dialect.relative_feed = number.is_multiple_of(2);
    plan.dialect.hop = number.is_multiple_of(3);
}

/// Text before the first layer, of each layer, and behind the last one.
fn layers(text: &str) -> Vec<String> {
    let mut parts = vec![String::new()];
    for line in text.lines() {
        if line.starts_with("; layer ") && line.contains(" of ") || line == "; end" {
            parts.push(String::new());
        }
        let part = parts.last_mut().expect("never empty");
        part.push_str(line);
        part.push('\n');
    }
    parts
}

/// Travels and drops into what stands.
fn through() -> Vec<ReliefFault> {
    let mut jobs = Vec::new();
    // At 14 layers of 0.2 mm the part is 2.8 mm high, X 95 to 125 and Y 100 to 120.
    for (number, (what, words)) in [
        ("ends in the part", "G0 X112 Y112 Z0.9"),
        ("ends beyond the part", "G0 X80 Y110 Z4\nG0 Z1\nG0 X140 Y110 F6000"),
        ("ends beyond the part, along Y", "G0 X110 Y80 Z4\nG0 Z2\nG0 X110 Y140 F6000"),
        ("ends beyond, aslant", "G0 X80 Y90 Z4\nG0 Z0.6\nG0 X140 Y130 F6000"),
        ("drops straight down", "G0 Z6\nG0 X110 Y110\nG0 Z1.5"),
        ("a quarter millimetre and more below a layer", "G0 X80 Y110 Z4\nG0 Z2.3\nG0 X140 F6000"),
        ("along a wall", "G0 X95.3 Y80 Z4\nG0 Z1.2\nG0 Y140 F6000"),
        ("by an arc", "G0 X97 Y90 Z4\nG0 Z1\nG2 X123 Y116 I13 J13 F6000"),
        ("rising out of it", "G0 X80 Y110 Z4\nG0 Z0.4\nG0 X140 Z3 F6000"),
        ("far below", "G0 X80 Y110 Z4\nG0 Z0.2\nG0 X140 F6000"),
    ]
    .into_iter()
    .enumerate()
    {
        let job = plain(&format!("through plastic: {what}"), |plan| {
            habit(plan, number);
            plan.layers = 20;
            plan.insert = vec![(14, format!("{words}\nG0 Z6\nG0 Z2.8"))];
        });
        jobs.push(held(job, &[23]));
    }
    // Relative lowering that is never taken back: every later layer runs through what is laid.
    for (number, drop) in [0.6, 1.0, 2.0].into_iter().enumerate() {
        let job = plain(&format!("sinks by {drop} mm from layer 13 on"), |plan| {
            habit(plan, number);
            plan.layers = 20;
            let z = 2.4 + drop;
            plan.insert = vec![(12, format!("G92 Z{z}"))];
        });
        jobs.push(held(job, &[23]));
    }
    jobs
}

/// A part, and a way across it to the next one.
fn one_by_one() -> Vec<ReliefFault> {
    let centres: [(Point, Point); 3] =
        [([50.0, 60.0], [150.0, 160.0]), ([60.0, 110.0], [160.0, 110.0]), ([110.0, 50.0], [110.0, 160.0])];
    let mut jobs = Vec::new();
    for (number, (a, b)) in centres.into_iter().enumerate() {
        for lift in [1.0, 2.4] {
            // The head goes back across the first part at a low height before it lays the second one.
            let (ax, ay) = (a[0], a[1]);
            let what = format!("passes a finished part at {lift} mm, from {ax} {ay}");
            jobs.push(held(
                by_hand(
                    &what,
                    crate::corpus::rooms::bench(),
                    |plan| habit(plan, number),
                    |hand| {
                        for (part, centre) in [a, b].into_iter().enumerate() {
                            for layer in 0..18 {
                                hand.raise_to(0.2 * f64::from(layer + 1));
                                hand.block(
                                    centre,
                                    [16.0, 12.0],
                                    0.2,
                                    if layer == 0 { 0.42 } else { 2.4 },
                                    layer,
                                );
                            }
                            if part == 0 {
                                hand.text(&format!("G0 Z8\nG0 X{} Y{ay}", ax - 20.0));
                                hand.text(&format!("G0 Z{lift}"));
                                hand.text(&format!("G0 X{} Y{ay} F6000", ax + 20.0));
                                hand.text("G0 Z8");
                            }
                        }
                        hand.raise_to(8.0);
                    },
                ),
                &[23],
            ));
        }
    }
    jobs
}

/// Layers that are missing: for the whole job, or for one of four parts.
fn gaps() -> Vec<ReliefFault> {
    let mut jobs = Vec::new();
    for (number, (from, count, layer)) in
        [(3, 3, 0.2), (5, 4, 0.2), (6, 8, 0.2), (10, 5, 0.2), (4, 4, 0.28), (8, 10, 0.12)]
            .into_iter()
            .enumerate()
    {
        let job = plain(&format!("{count} layers of {layer} missing from layer {from} on"), |plan| {
            habit(plan, number);
            (plan.layers, plan.layer, plan.dialect.reset_feed) = (24, layer, true);
        });
        let job = job.edited(|text| {
            let mut parts = layers(&text);
            parts.drain(from..from + count);
            parts.concat()
        });
        jobs.push(held(job, &[42]));
    }
    for (from, count, at) in [(5, 4, 0), (8, 6, 1), (4, 10, 2), (10, 3, 3)] {
        let what = format!("part {at} of four lacks {count} layers from {from} on");
        let centres = [[80.0, 80.0], [140.0, 80.0], [140.0, 140.0], [80.0, 140.0]];
        jobs.push(held(
            by_hand(
                &what,
                crate::corpus::rooms::bench(),
                |plan| habit(plan, at),
                |hand| {
                    for layer in 0..22 {
                        hand.raise_to(0.2 * f64::from(layer + 1));
                        for (number, centre) in centres.into_iter().enumerate() {
                            if number != at || !(from..from + count).contains(&layer) {
                                hand.block(
                                    centre,
                                    [16.0, 14.0],
                                    0.2,
                                    if layer == 0 { 0.42 } else { 2.4 },
                                    layer,
                                );
                            }
                        }
                    }
                    hand.raise_to(8.0);
                },
            ),
            &[42],
        ));
    }
    // A second part one after the other that begins in the air.
    for lift in [1.0, 4.0] {
        jobs.push(held(
            by_hand(
                &format!("second part hangs at {lift} mm"),
                crate::corpus::rooms::bench(),
                |_| {},
                |hand| {
                    for (centre, up) in [([60.0, 60.0], 0.0), ([150.0, 150.0], lift)] {
                        for layer in 0..12 {
                            hand.raise_to(up + 0.2 * f64::from(layer + 1));
                            hand.block(centre, [16.0, 12.0], 0.2, if layer == 0 { 0.42 } else { 2.4 }, layer);
                        }
                        hand.raise_to(9.0);
                    }
                },
            ),
            &[42],
        ));
    }
    jobs
}

/// Z called lower than it is, so that the rest goes up.
fn raised() -> Vec<ReliefFault> {
    let mut jobs = Vec::new();
    for (number, (layer, up, at)) in [
        (3, 1.0, [110.0, 110.0]),
        (6, 0.6, [60.0, 60.0]),
        (8, 2.0, [150.0, 150.0]),
        (10, 5.0, [110.0, 60.0]),
        (5, 0.8, [43.0, 171.0]),
        (12, 10.0, [110.0, 110.0]),
    ]
    .into_iter()
    .enumerate()
    {
        let job = plain(&format!("goes up by {up} mm at layer {layer}"), |plan| {
            habit(plan, number);
            (plan.layers, plan.centres) = (18, vec![at]);
            let called = 0.2 * f64::from(layer) - up;
            plan.insert = vec![(layer, format!("G92 Z{called:.3}"))];
        });
        jobs.push(held(job, &[42]));
    }
    jobs
}

/// The upper part of the job lies beside the lower one.
fn shifted() -> Vec<ReliefFault> {
    let mut jobs = Vec::new();
    for (number, (layer, [x, y], size)) in [
        (6, [40.0, 0.0], [30.0, 20.0]),
        (8, [0.0, 35.0], [30.0, 20.0]),
        (5, [-25.0, 0.0], [30.0, 20.0]),
        (10, [20.0, 20.0], [40.0, 40.0]),
        (9, [0.0, -18.0], [30.0, 30.0]),
        (4, [15.0, 0.0], [30.0, 20.0]),
        (7, [-50.0, 30.0], [20.0, 20.0]),
        (12, [14.0, 0.0], [24.0, 40.0]),
    ]
    .into_iter()
    .enumerate()
    {
        let job = plain(&format!("shifted by {x} {y} mm at layer {layer}"), |plan| {
            habit(plan, number);
            (plan.layers, plan.shape) = (16, Shape::Block(size[0], size[1]));
            let (called_x, called_y) = (110.0 - x, 110.0 - y);
            plan.insert = vec![(layer, format!("G0 X110 Y110 F6000\nG92 X{called_x} Y{called_y}"))];
        });
        jobs.push(held(job, &[42]));
    }
    jobs
}

/// Several layers on one plane.
fn piled() -> Vec<ReliefFault> {
    let mut jobs = Vec::new();
    for (number, (from, count, shape)) in [
        (4, 6, Shape::Block(30.0, 20.0)),
        (3, 6, Shape::Ring(22.0, 14.0)),
        (8, 7, Shape::Gear(12, 18.0)),
        (5, 6, Shape::Bracket(40.0, 30.0, 12.0)),
        (6, 9, Shape::Tower(14.0, 8.0)),
        (4, 4, Shape::Block(50.0, 40.0)),
    ]
    .into_iter()
    .enumerate()
    {
        let job = plain(&format!("no Z for {count} layers of {shape:?}"), |plan| {
            habit(plan, number);
            plan.dialect.hop = false;
            (plan.layers, plan.shape) = (20, shape);
        });
        let job = job.edited(|text| {
            let mut parts = layers(&text);
            for part in parts.iter_mut().skip(from).take(count) {
                let lines = part.lines().filter(|line| !line.starts_with("G0 Z"));
                *part = lines.map(|line| format!("{line}\n")).collect();
            }
            parts.concat()
        });
        jobs.push(held(job, &[99]));
    }
    // Full layers that differ from one another.
    for (count, growth) in [(4, 0.8), (6, 0.5)] {
        jobs.push(held(
            by_hand(
                &format!("{count} full layers on one plane"),
                crate::corpus::rooms::bench(),
                |_| {},
                |hand| {
                    for layer in 0..10 {
                        let side = 20.0 + growth * f64::from(layer);
                        hand.raise_to(
                            0.2 * f64::from(if (4..4 + count).contains(&layer) { 5 } else { layer + 1 }),
                        );
                        hand.block([110.0, 110.0], [side, side], 0.2, 0.42, layer as u32);
                    }
                    hand.raise_to(6.0);
                },
            ),
            &[99, 42],
        ));
    }
    jobs
}

/// Text that comes twice.
fn repeated() -> Vec<ReliefFault> {
    let mut jobs = Vec::new();
    for (number, half) in [4, 8, 10].into_iter().enumerate() {
        let job = plain(&format!("the first {half} layers twice"), |plan| {
            habit(plan, number);
            plan.layers = 20;
        });
        let job = job.edited(|text| {
            let mut parts = layers(&text);
            let again = parts[1..=half].to_vec();
            parts.splice(half + 1..half + 1, again);
            parts.concat()
        });
        jobs.push(held(job, &[23, 99]));
    }
    for (number, (layer, from, lines)) in
        [(5, 4, 60), (8, 10, 40), (3, 2, 100), (12, 6, 30)].into_iter().enumerate()
    {
        let job = plain(&format!("{lines} lines of layer {layer} twice"), |plan| {
            habit(plan, number);
            (plan.layers, plan.shape, plan.dialect.relative_feed) = (16, Shape::Gear(20, 26.0), true);
        });
        let job = job.edited(|text| {
            let mut parts = layers(&text);
            let of_layer: Vec<&str> = parts[layer].lines().collect();
            let mut doubled = of_layer.clone();
            let to = (from + lines).min(of_layer.len());
            doubled.splice(to..to, of_layer[from..to].to_vec());
            parts[layer] = doubled.join("\n") + "\n";
            parts.concat()
        });
        jobs.push(held(job, &[99]));
    }
    for (what, machine) in [("big", big()), ("centred", centred())] {
        let job = job(&format!("a layer twice, {what}"), &PLA, machine, |plan| {
            (plan.note, plan.layers) = (crate::corpus::plan::Note::Head, 12);
            plan.dialect.relative_feed = true;
        });
        let job = job.edited(|text| {
            let mut parts = layers(&text);
            let again = parts[6].clone();
            parts.insert(7, again);
            parts.concat()
        });
        jobs.push(held(job, &[99]));
    }
    jobs
}

/// A first layer on the plate itself or below it.
fn low() -> Vec<ReliefFault> {
    let mut jobs = Vec::new();
    for (number, (z, hop)) in
        [(0.0, false), (0.0, true), (-0.1, false), (-0.1, true), (0.02, true), (-0.3, true)]
            .into_iter()
            .enumerate()
    {
        let job = plain(&format!("first layer at {z}, hop {hop}"), |plan| {
            habit(plan, number);
            (plan.dialect.hop, plan.layers, plan.purge) = (hop, 8, Purge::None);
        });
        let job = job.edited(|text| {
            let mut parts = layers(&text);
            parts[1] = parts[1].replace("Z0.2", &format!("Z{z}")).replace("Z0.6", &format!("Z{}", z + 0.4));
            parts.concat()
        });
        jobs.push(held(job, &[21, 22, 34]));
    }
    jobs
}

/// Axes that move before they were homed.
fn homes() -> Vec<ReliefFault> {
    ["G28 X Y", "G28 X0 Y0", "G28 Z", "G28 X", "G28 Y Z"]
        .into_iter()
        .map(|words| {
            let job = plain(&format!("{words} alone"), |_| {}).with("G28\n", &format!("{words}\n"));
            held(job, &[25])
        })
        .collect()
}
