//! moves → survey: it measures and has no opinion; no threshold lives here.

mod stretch;

pub use stretch::{Class, Settled, Stretch};
