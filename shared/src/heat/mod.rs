//! How long a surface may be touched, and how the machine warms and cools: what its probes say, what it must be by the
//! clock where they say nothing, and when the two do not fit together.
//!
//! Thresholds are published ones; following them does not exclude a burn. The room's rules and the makers' manuals
//! come first, and no screen ever says that something is without danger.

mod body;
mod course;
mod exponential;
mod history;
mod learn;
mod model;
mod release;
mod thermistor;
mod touch;
mod watch;

pub use body::{Body, TimeLeft};
pub use course::{EndAlarm, EndWindow, Turn};
pub use learn::{Learned, Lesson};
pub use model::{Evidence, HeatModel, HeatVerdict, STALE_MS};
pub use release::{BARE_HANDS, release, touch_limit};
pub use thermistor::{Curve, Probe, ProbeReading};
pub use touch::{Contact, MilliCelsius, Surface, burn_threshold, longest_contact};
pub use watch::Alarm;
