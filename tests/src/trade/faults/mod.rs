//! Faults planted in sound jobs: each is dangerous or makes the print useless, and must never be CLEAR.

pub mod edit;
mod feed;
mod heat;
mod laid;
mod reading;
mod rest;
mod words;

use super::rng::Rng;
use super::{Draft, Wish, sound};

/// Plants a fault, or says that it does not apply to this job.
pub type Plant = fn(&mut Draft, &mut Rng) -> bool;

/// A fault by its class and its name. Classes: `1` what a controller reads and a reader may not, `2` words, `3` how it is
/// laid, `4` feed, `5` heat, `6` first layers and feet, `job` what a job's own statements get wrong.
#[derive(Clone, Copy, Debug)]
pub struct Fault {
    pub class: &'static str,
    pub name: &'static str,
    pub plant: Plant,
    /// The kind of job that it needs.
    pub wish: fn() -> Wish,
}

fn any() -> Wish {
    Wish::default()
}

const fn fault(class: &'static str, name: &'static str, plant: Plant) -> Fault {
    Fault { class, name, plant, wish: any }
}

/// All of them.
#[must_use]
pub fn all() -> Vec<Fault> {
    [reading::ALL, words::ALL, laid::ALL, feed::ALL, heat::ALL, rest::ALL].concat()
}

/// A job with this fault, from a seed: the first of a row of sound jobs that it applies to.
#[must_use]
pub fn planted(fault: &Fault, seed: u64) -> Option<Draft> {
    let mut rng = Rng::new(seed);
    for _ in 0..200 {
        let mut draft = sound(rng.bits() >> 32, (fault.wish)());
        if (fault.plant)(&mut draft, &mut rng) {
            draft.what = format!("{} {}: {}", fault.class, fault.name, draft.what);
            return Some(draft);
        }
    }
    None
}
