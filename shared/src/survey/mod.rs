//! moves → survey: it measures and has no opinion; no threshold lives here.

mod bounds;
mod clock;
mod commands;
mod corner;
mod finish;
mod flow;
mod footprint;
mod heat_use;
mod keep_out;
mod layers;
mod measure;
mod names;
mod notes;
mod path;
mod planes;
mod profile;
mod reach;
mod remarks;
mod ring;
mod scale;
mod seal;
mod settle;
mod smoothing;
mod spiral;
mod steps;
mod stretch;
mod strip;
mod surveyor;
mod values;
mod wording;

pub use bounds::{ClockLimits, LimitsInForce};
pub use clock::Clock;
pub(crate) use seal::Seal;
pub use stretch::{Class, Settled, Stretch};
pub use surveyor::Surveyor;
pub use values::*;
