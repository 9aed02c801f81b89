//! Plastic on plastic: layers on one plane, layers and lines laid again.

use super::super::plain;
use super::{ReliefFault, habit, held, layers};
use crate::corpus::Shape;
use crate::corpus::by_hand::by_hand;
use crate::corpus::cases::PLA;
use crate::corpus::rooms::{bench, big, centred};
use crate::corpus::sound::job;

/// Several layers on one plane.
pub(super) fn piled() -> Vec<ReliefFault> {
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
                bench(),
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
pub(super) fn repeated() -> Vec<ReliefFault> {
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
