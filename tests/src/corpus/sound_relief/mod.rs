//! Sound jobs whose plastic is uneven: skins that slope, seams that ramp, supports, bridges, thin things close together.
//! Each must pass with nothing above NOTE.

mod dense;
mod hanging;
mod slopes;

use super::Job;
use super::by_hand::Hand;

/// Lines side by side of a full layer, mm apart.
const FULL: f64 = 0.42;

/// All of them.
#[must_use]
pub fn jobs() -> Vec<Job> {
    let mut jobs = slopes::skins();
    jobs.extend(slopes::seams());
    jobs.extend(slopes::vases());
    jobs.extend(hanging::supports());
    jobs.extend(hanging::trees());
    jobs.extend(hanging::bridges());
    jobs.extend(dense::thin());
    jobs.extend(dense::second_layers());
    jobs.extend(dense::fillings());
    jobs.extend(dense::planned());
    jobs
}

fn layers(hand: &mut Hand, count: u32, mut each: impl FnMut(&mut Hand, u32)) {
    for layer in 0..count {
        hand.raise_to(0.2 * f64::from(layer + 1));
        each(hand, layer);
    }
}
