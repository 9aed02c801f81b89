//! How long a surface may be touched, and how the machine warms and cools: what its probes say, what it must be by the
//! clock where they say nothing, and when the two do not fit together.
//!
//! Thresholds are published ones; following them does not exclude a burn. The room's rules and the makers' manuals
//! come first, and no screen ever says that something is without danger.

mod body;
mod course;
mod exponential;
mod extremes;
mod history;
mod learn;
mod model;
mod news;
mod release;
mod thermal;
mod thermistor;
mod touch;
mod usual;
mod watch;

pub use body::{Body, TimeLeft};
pub use course::{EndAlarm, EndWindow, Turn};
pub use extremes::Probe;
pub(crate) use extremes::{PROBES, Span};
pub use learn::{Learned, Lesson};
pub use model::{Evidence, HeatModel, HeatVerdict, STALE_MS};
pub use news::{Heat, HeatNews, Stall};
pub use release::{BARE_HANDS, release, touch_limit};
pub(crate) use thermal::{News, Targets, Thermal};
pub use thermistor::{Curve, ProbeReading, Thermistor};
pub use touch::{Contact, MilliCelsius, Surface, burn_threshold, longest_contact};
pub(crate) use usual::{ROOM_AIR, milli, usual_cool_down_s, usual_warm_up_s, whole};
pub use watch::Alarm;
