//! Plastic over a gap: tables on supports, plates on stems, bridges, heads that grow.

use super::{FULL, layers};
use crate::corpus::Job;
use crate::corpus::by_hand::by_hand;
use crate::corpus::rooms::bench;

/// A table on a leg, its top carried by zigzags that end a gap below it.
pub(super) fn supports() -> Vec<Job> {
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
pub(super) fn trees() -> Vec<Job> {
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
pub(super) fn bridges() -> Vec<Job> {
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
