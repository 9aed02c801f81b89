//! moves → survey: it measures and has no opinion; no threshold lives here.

mod stretch;
mod values;

pub use stretch::{Class, Settled, Stretch};
pub use values::*;
