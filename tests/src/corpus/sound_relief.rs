//! Sound jobs whose plastic is uneven: skins that slope, seams that ramp, supports, bridges, thin things close together.
//! Each must pass with nothing above NOTE.

use std::f64::consts::TAU;

use super::by_hand::{Hand, by_hand};
use super::cases::PLA;
use super::plan::{End, Heat, Purge};
use super::rooms::{bench, big, centred, closed_box, round};
use super::shape::Point;
use super::sound::job;
use super::{Arcs, Job, Retract, Shape};

/// Lines side by side of a full layer, mm apart.
const FULL: f64 = 0.42;

/// All of them.
#[must_use]
pub fn jobs() -> Vec<Job> {
    let mut jobs = skins();
    jobs.extend(seams());
    jobs.extend(supports());
    jobs.extend(trees());
    jobs.extend(bridges());
    jobs.extend(vases());
    jobs.extend(thin());
    jobs.extend(fillings());
    jobs.extend(planned());
    jobs
}

/// Sound ones that another check still looks at: nothing may hold them.
#[must_use]
pub fn looked_at() -> Vec<Job> {
    second_layers()
}

fn layers(hand: &mut Hand, count: u32, mut each: impl FnMut(&mut Hand, u32)) {
    for layer in 0..count {
        hand.raise_to(0.2 * f64::from(layer + 1));
        each(hand, layer);
    }
}

/// A block with a skin that waves by 0.4 mm over 16 mm, along lines turned by so many degrees.
fn skins() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (number, (degrees, side, at)) in [
        (0.0, 30.0, [110.0, 110.0]),
        (10.0, 30.0, [60.0, 150.0]),
        (45.0, 40.0, [110.0, 100.0]),
        (20.0, 24.0, [171.0, 43.0]),
        (30.0, 50.0, [100.0, 120.0]),
        (0.0, 64.0, [113.7, 107.3]),
    ]
    .into_iter()
    .enumerate()
    {
        let what = format!("skin that waves, turned by {degrees}, {side} mm");
        jobs.push(by_hand(
            &what,
            bench(),
            |plan| plan.dialect.relative_feed = number % 2 == 0,
            |hand| {
                layers(hand, 6, |hand, layer| {
                    hand.block(at, [side, side], 0.2, if layer == 0 { FULL } else { 2.4 }, layer)
                });
                for skin in 1..=3 {
                    skin_layer(hand, at, side - 1.0, degrees, 1.4 + 0.2 * f64::from(skin));
                }
                hand.raise_to(4.0);
            },
        ));
    }
    jobs
}

fn skin_layer(hand: &mut Hand, [cx, cy]: Point, side: f64, degrees: f64, z: f64) {
    let (sin, cos) = f64::sin_cos(f64::to_radians(degrees));
    let reach = side / 2.0 / (sin.abs() + cos.abs());
    let rows = (2.0 * reach / FULL) as i32;
    hand.raise_to(z + 0.4);
    for row in 0..rows {
        let v = f64::from(row) * FULL - reach;
        let points: Vec<[f64; 3]> = (0..=24)
            .map(|step| {
                let u = (f64::from(step) / 12.0 - 1.0) * reach * if row % 2 == 0 { 1.0 } else { -1.0 };
                let (x, y) = (cx + u * cos - v * sin, cy + u * sin + v * cos);
                [x, y, z + 0.2 * (TAU * x / 16.0).sin()]
            })
            .collect();
        hand.slope(&points, 0.2);
    }
}

/// Walls whose seam ramps up from the layer below over so many millimetres, and thins out over its own begin.
fn seams() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (ramp, side, height, at) in [
        (10.0, 30.0, 0.2, [110.0, 110.0]),
        (20.0, 30.0, 0.2, [60.0, 60.0]),
        (20.0, 50.0, 0.28, [100.0, 140.0]),
        (30.0, 80.0, 0.2, [120.0, 100.0]),
        (8.0, 12.0, 0.16, [43.0, 171.0]),
        (15.0, 20.0, 0.12, [150.0, 52.0]),
    ] {
        let what = format!("seam that ramps over {ramp} mm, layers of {height}");
        jobs.push(by_hand(
            &what,
            bench(),
            |_| {},
            |hand| {
                for layer in 0..14 {
                    let z = 0.2 + height * f64::from(layer);
                    hand.raise_to(z);
                    let inner = side - 2.0;
                    hand.block(
                        at,
                        [inner, inner],
                        if layer == 0 { 0.2 } else { height },
                        if layer == 0 { FULL } else { 3.0 },
                        layer,
                    );
                    let [x, y] = [at[0] - side / 2.0, at[1] - side / 2.0];
                    let low = if layer == 0 { z } else { z - height * 0.9 };
                    let steps = 8;
                    let mut points: Vec<[f64; 3]> = (0..=steps)
                        .map(|step| {
                            let share = f64::from(step) / f64::from(steps);
                            [x + ramp * share, y, low + (z - low) * share]
                        })
                        .collect();
                    let (far_x, far_y) = (x + side, y + side);
                    points.extend([[far_x, y, z], [far_x, far_y, z], [x, far_y, z], [x, y, z]]);
                    hand.slope(&points, height);
                    hand.chain(&[[x, y], [x + ramp, y]], height * 0.5);
                }
                hand.raise_to(6.0);
            },
        ));
    }
    jobs
}

/// A table on a leg, its top carried by zigzags that end a gap below it.
fn supports() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (gap, apart, top, at) in [
        (0.2, 2.5, 40.0, [110.0, 110.0]),
        (0.25, 2.5, 50.0, [70.0, 130.0]),
        (0.3, 2.0, 30.0, [150.0, 60.0]),
        (0.1, 3.0, 60.0, [110.0, 100.0]),
        (0.2, 4.0, 44.0, [61.3, 57.7]),
        (0.0, 3.0, 36.0, [140.0, 150.0]),
        (0.3, 3.0, 70.0, [107.0, 111.0]),
    ] {
        let what = format!("table on supports {apart} mm apart, {gap} mm below a top of {top}");
        jobs.push(by_hand(
            &what,
            bench(),
            |plan| plan.dialect.hop = top > 45.0,
            |hand| {
                layers(hand, 20, |hand, layer| {
                    hand.block(at, [12.0, 12.0], 0.2, if layer == 0 { FULL } else { 2.4 }, layer);
                    for side in [-1.0, 1.0] {
                        let middle = [at[0] + side * (top / 4.0 + 4.0), at[1]];
                        hand.fill(middle, [top / 2.0 - 8.0, top], 0.2, apart, 0);
                    }
                    for side in [-1.0, 1.0] {
                        hand.fill(
                            [at[0], at[1] + side * (top / 4.0 + 4.0)],
                            [10.0, top / 2.0 - 8.0],
                            0.2,
                            apart,
                            0,
                        );
                    }
                });
                for layer in 0..4 {
                    hand.raise_to(4.2 + gap + 0.2 * f64::from(layer));
                    hand.block(at, [top, top], 0.2, FULL, layer);
                }
                hand.raise_to(8.0);
            },
        ));
    }
    jobs
}

/// A plate carried by the tips of thin stems.
fn trees() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (apart, side, at) in [
        (4.0, 24.0, [110.0, 110.0]),
        (5.0, 30.0, [60.0, 140.0]),
        (6.0, 36.0, [150.0, 80.0]),
        (3.5, 21.0, [43.3, 57.1]),
        (4.5, 45.0, [105.0, 108.0]),
    ] {
        let what = format!("plate on stems {apart} mm apart, {side} mm wide");
        jobs.push(by_hand(
            &what,
            bench(),
            |_| {},
            |hand| {
                let count = (side / apart) as i32;
                layers(hand, 25, |hand, layer| {
                    for column in 0..=count {
                        for row in 0..=count {
                            // They lean together towards their feet.
                            let lean = 0.6 + 0.4 * f64::from(layer) / 24.0;
                            let place = |number: i32| (f64::from(number) * apart - side / 2.0) * lean;
                            hand.ring([at[0] + place(column), at[1] + place(row)], 0.8, 0.2);
                        }
                    }
                });
                for layer in 0..4 {
                    hand.raise_to(5.4 + 0.2 * f64::from(layer));
                    hand.block(at, [side, side], 0.2, FULL, layer);
                }
                hand.raise_to(8.0);
            },
        ));
    }
    jobs
}

/// Two piers and a deck of straight lines between, turned.
fn bridges() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (span, along_x, at) in [
        (10.0, true, [110.0, 110.0]),
        (20.0, true, [60.0, 150.0]),
        (20.0, false, [100.0, 100.0]),
        (35.0, true, [110.0, 60.0]),
        (50.0, false, [151.7, 103.9]),
        (70.0, true, [110.0, 110.0]),
    ] {
        let what = format!("bridge of {span} mm, {}", if along_x { "along X" } else { "along Y" });
        jobs.push(by_hand(
            &what,
            bench(),
            |plan| plan.dialect.relative_feed = along_x,
            |hand| {
                let turned =
                    |u: f64, v: f64| if along_x { [at[0] + u, at[1] + v] } else { [at[0] + v, at[1] + u] };
                let size = |u: f64, v: f64| if along_x { [u, v] } else { [v, u] };
                layers(hand, 25, |hand, layer| {
                    for side in [-1.0, 1.0] {
                        let middle = turned(side * (span / 2.0 + 5.0), 0.0);
                        hand.block(middle, size(10.0, 20.0), 0.2, if layer == 0 { FULL } else { 2.4 }, layer);
                    }
                });
                for layer in 0..4 {
                    hand.raise_to(5.2 + 0.2 * f64::from(layer));
                    hand.walls(at, size(span + 20.0, 20.0), 0.2);
                    let along = if along_x { 0 } else { 1 };
                    hand.fill(
                        at,
                        size(span + 18.0, 18.0),
                        0.2,
                        FULL,
                        if layer == 0 { along } else { along + layer },
                    );
                }
                hand.raise_to(8.0);
            },
        ));
    }
    jobs
}

fn vases() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (radius, layers) in [(6.0, 40), (12.0, 60), (18.0, 40), (25.0, 30), (35.0, 20), (50.0, 16)] {
        jobs.push(job(&format!("vase of {radius} mm"), &PLA, bench(), |plan| {
            (plan.shape, plan.layers, plan.purge) = (Shape::Vase(radius), layers, Purge::None);
            if radius < 10.0 {
                plan.skirt = Some(3.0);
            }
        }));
    }
    jobs
}

/// Thin towers closer together than a cell, walls with gaps, holes.
fn thin() -> Vec<Job> {
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
fn second_layers() -> Vec<Job> {
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
fn fillings() -> Vec<Job> {
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
fn planned() -> Vec<Job> {
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
