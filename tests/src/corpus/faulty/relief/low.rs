//! The nozzle too low: through plastic that is there, on the plate, before it was homed.

use super::super::plain;
use super::{ReliefFault, habit, held, layers};
use crate::corpus::by_hand::by_hand;
use crate::corpus::plan::Purge;
use crate::corpus::rooms::bench;
use crate::corpus::shape::Point;

/// Travels and drops into what stands.
pub(super) fn through() -> Vec<ReliefFault> {
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
pub(super) fn one_by_one() -> Vec<ReliefFault> {
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
                    bench(),
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

/// A first layer on the plate itself or below it.
pub(super) fn low() -> Vec<ReliefFault> {
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
pub(super) fn homes() -> Vec<ReliefFault> {
    ["G28 X Y", "G28 X0 Y0", "G28 Z", "G28 X", "G28 Y Z"]
        .into_iter()
        .map(|words| {
            let job = plain(&format!("{words} alone"), |_| {}).with("G28\n", &format!("{words}\n"));
            held(job, &[25])
        })
        .collect()
}
