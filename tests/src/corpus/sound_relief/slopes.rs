//! Plastic that rises and falls: skins that wave, seams that ramp, vases.

use std::f64::consts::TAU;

use super::{FULL, layers};
use crate::corpus::by_hand::{Hand, by_hand};
use crate::corpus::cases::PLA;
use crate::corpus::plan::Purge;
use crate::corpus::rooms::bench;
use crate::corpus::shape::Point;
use crate::corpus::sound::job;
use crate::corpus::{Job, Shape};

/// A block with a skin that waves by 0.4 mm over 16 mm, along lines turned by so many degrees.
pub(super) fn skins() -> Vec<Job> {
    let mut jobs = Vec::new();
    for (number, (degrees, side, at)) in [
        (0.0, 30.0, [110.0, 110.0]),
        (10.0, 30.0, [60.0, 150.0]),
        (45.0, 40.0, [110.0, 100.0]),
        (20.0, 24.0, [171.0, 43.0]),
        (30.0, 50.0, [100.0, 120.0]),
        (0.0, 64.0, [113.7, 107.3]),
        (70.0, 30.0, [110.0, 110.0]),
        (90.0, 30.0, [110.0, 110.0]),
        (90.0, 40.0, [61.3, 143.9]),
        (-80.0, 50.0, [120.0, 90.0]),
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
pub(super) fn seams() -> Vec<Job> {
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

pub(super) fn vases() -> Vec<Job> {
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
