//! Plastic close together: thin towers, thick fillings, ironed tops, and plans on other plates.

use super::{FULL, layers};
use crate::corpus::by_hand::by_hand;
use crate::corpus::cases::PLA;
use crate::corpus::plan::{End, Heat, Purge};
use crate::corpus::rooms::{bench, big, centred, closed_box, round};
use crate::corpus::shape::Point;
use crate::corpus::sound::job;
use crate::corpus::{Arcs, Job, Retract, Shape};

/// Thin towers closer together than a cell, walls with gaps, holes.
pub(super) fn thin() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (apart, count, radius) in [(2.5, 4, 1.0), (3.0, 6, 1.2), (4.0, 5, 1.5), (6.0, 3, 2.0), (9.0, 3, 1.4)]
    {
        let what = format!("{count} rows of towers {apart} mm apart");
        jobs.push(by_hand(
            &what,
            bench(),
            |plan| plan.dialect.hop = count == 5,
            |hand| {
                let side = apart * f64::from(count) + 6.0;
                hand.raise_to(0.2);
                hand.block([110.0, 110.0], [side, side], 0.2, FULL, 0);
                for layer in 1..40 {
                    hand.raise_to(0.2 * f64::from(layer + 1));
                    for column in 0..count {
                        for row in 0..count {
                            let place = |number: i32| {
                                110.0 + (f64::from(number) - f64::from(count - 1) / 2.0) * apart
                            };
                            hand.ring([place(column), place(row)], radius, 0.2);
                        }
                    }
                }
                hand.raise_to(12.0);
            },
        ));
    }
    for (outer, inner) in [(20.0, 17.0), (9.0, 6.0), (30.0, 28.0)] {
        jobs.push(job(&format!("ring of {outer} round a hole of {inner}"), &PLA, bench(), |plan| {
            (plan.shape, plan.layers) = (Shape::Ring(outer, inner), 25);
        }));
    }
    for length in [20.0, 50.0, 80.0] {
        jobs.push(job(&format!("walls of {length} mm"), &PLA, bench(), |plan| {
            (plan.shape, plan.layers, plan.dialect.hop) = (Shape::Walls(length), 20, true);
        }));
    }
    jobs
}

/// Filling on every second layer only, twice as thick.
pub(super) fn second_layers() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (height, apart, size, at) in [
        (0.2, 4.0, [30.0, 20.0], [110.0, 110.0]),
        (0.15, 6.0, [40.0, 40.0], [60.0, 60.0]),
        (0.2, 10.0, [60.0, 50.0], [120.0, 120.0]),
        (0.12, 5.0, [26.0, 44.0], [153.0, 61.0]),
    ] {
        let what = format!("filling {apart} mm apart on every second layer of {height}");
        jobs.push(by_hand(
            &what,
            bench(),
            |_| {},
            |hand| {
                for layer in 0..20 {
                    hand.raise_to(0.2 + height * f64::from(layer));
                    hand.walls(at, size, if layer == 0 { 0.2 } else { height });
                    let inner = [size[0] - 2.0, size[1] - 2.0];
                    if layer == 0 {
                        hand.fill(at, inner, 0.2, FULL, 0);
                    } else if layer % 2 == 0 {
                        hand.fill(at, inner, 2.0 * height, apart, layer / 2);
                    }
                }
                hand.raise_to(8.0);
            },
        ));
    }
    jobs
}

/// Cones that grow, tops that are ironed.
pub(super) fn fillings() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (growth, at) in [(0.2, [110.0, 110.0]), (0.4, [60.0, 150.0]), (0.6, [140.0, 61.0])] {
        jobs.push(by_hand(
            &format!("cone that grows by {growth} mm a layer"),
            bench(),
            |_| {},
            |hand| {
                layers(hand, 30, |hand, layer| {
                    let side = 14.0 + 2.0 * growth * f64::from(layer);
                    hand.block(at, [side, side], 0.2, if layer < 3 { FULL } else { 2.0 }, layer);
                });
                hand.raise_to(12.0);
            },
        ));
    }
    for (side, flow) in [(20.0, 0.1), (40.0, 0.15), (70.0, 0.1)] {
        jobs.push(by_hand(
            &format!("ironed top of {side} mm"),
            bench(),
            |_| {},
            |hand| {
                layers(hand, 6, |hand, layer| hand.block([110.0, 110.0], [side, side], 0.2, FULL, layer));
                hand.fill([110.0, 110.0], [side - 2.2, side - 2.2], 0.2 * flow, FULL / 2.0, 1);
                hand.raise_to(5.0);
            },
        ));
    }
    jobs
}

/// Plans on other plates, with other habits.
pub(super) fn planned() -> Vec<Job> {
    let one_by_one = |what: &str, centres: &[Point], layers: u32| {
        job(what, &PLA, bench(), |plan| {
            (plan.shape, plan.one_by_one, plan.layers) = (Shape::Block(16.0, 12.0), true, layers);
            plan.centres = centres.to_vec();
            plan.dialect.hop = layers > 30;
        })
    };
    vec![
        one_by_one("two one by one", &[[50.0, 60.0], [150.0, 160.0]], 20),
        one_by_one("four one by one", &[[40.0, 40.0], [110.0, 40.0], [40.0, 110.0], [110.0, 110.0]], 40),
        one_by_one("three one by one, from the back", &[[150.0, 160.0], [150.0, 90.0], [70.0, 90.0]], 60),
        job("heights that vary", &PLA, bench(), |plan| {
            (plan.layers, plan.heights) = (30, vec![0.28, 0.2, 0.12, 0.08, 0.16, 0.24]);
        }),
        job("hops and long pulls in the box", &PLA, closed_box("textured", 400), |plan| {
            (plan.shape, plan.layers, plan.dialect.hop) = (Shape::Gear(14, 22.0), 20, true);
            plan.heat = Heat::Together;
        }),
        job("round plate, true circles", &PLA, round(), |plan| {
            (plan.shape, plan.layers, plan.dialect.arcs) = (Shape::Disc(30.0), 12, Arcs::Centre);
            (plan.dialect.retract, plan.end) = (Retract::Moves(4.0), End::HomeAll);
        }),
        job("zero in the middle, off to a corner", &PLA, centred(), |plan| {
            (plan.centres, plan.layers) = (vec![[-90.0, 80.0], [100.0, -70.0]], 10);
            plan.dialect.relative_positions = true;
        }),
        job("big plate, four parts", &PLA, big(), |plan| {
            plan.shape = Shape::Bracket(50.0, 40.0, 14.0);
            plan.centres = [[80.0, 80.0], [300.0, 90.0], [310.0, 300.0], [90.0, 310.0]].to_vec();
        }),
        job("parts a millimetre apart", &PLA, bench(), |plan| {
            (plan.shape, plan.layers) = (Shape::Block(9.0, 9.0), 20);
            plan.centres = (0..4).map(|number| [95.0 + 10.0 * f64::from(number), 110.0]).collect();
        }),
        job("strip much higher than the first layer, beside it", &PLA, bench(), |plan| {
            plan.purge = Purge::Line { x: 80.0, length: 60.0, y: 96.0, z: 0.38 };
        }),
    ]
}
