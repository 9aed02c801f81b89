//! Plastic over nothing: layers that are missing, heights and places called wrong.

use super::super::plain;
use super::{ReliefFault, habit, held, layers};
use crate::corpus::Shape;
use crate::corpus::by_hand::by_hand;
use crate::corpus::rooms::bench;

/// Layers that are missing: for the whole job, or for one of four parts.
pub(super) fn gaps() -> Vec<ReliefFault> {
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
                bench(),
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
                bench(),
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
pub(super) fn raised() -> Vec<ReliefFault> {
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
pub(super) fn shifted() -> Vec<ReliefFault> {
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
        // Less than two cells of 3.7 mm.
        (6, [7.0, 0.0], [30.0, 20.0]),
        (8, [0.0, -7.0], [30.0, 30.0]),
        (7, [-7.0, 0.0], [40.0, 40.0]),
        (9, [5.0, 5.0], [24.0, 24.0]),
        (5, [0.0, 6.0], [20.0, 40.0]),
        (6, [5.0, 0.0], [12.0, 12.0]),
        // What hangs is a small share of the layer.
        (6, [8.0, 0.0], [120.0, 90.0]),
        (9, [0.0, 8.0], [140.0, 110.0]),
        (7, [-9.0, 0.0], [150.0, 60.0]),
        (5, [7.0, 7.0], [110.0, 110.0]),
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
