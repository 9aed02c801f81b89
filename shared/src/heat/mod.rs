//! How long a surface may be touched, and (with the run) how the machine warms and cools.
//!
//! Thresholds are published ones; following them does not exclude a burn. The room's rules and the makers' manuals
//! come first, and no screen ever says that something is without danger.

mod touch;

pub use touch::{Contact, MilliCelsius, Surface, burn_threshold, longest_contact};
