//! moves → survey: it measures and has no opinion; no threshold lives here.

mod bounds;
mod clock;
mod corner;
mod profile;
mod scale;
mod stretch;
mod values;

pub use bounds::{ClockLimits, LimitsInForce};
pub use clock::Clock;
pub use stretch::{Class, Settled, Stretch};
pub use values::*;
