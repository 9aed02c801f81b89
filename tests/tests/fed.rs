//! What the checks go by is fed: every input by the core itself, and what only the whole device can feed, by it.

#[path = "fed/device.rs"]
mod device;
#[path = "fed/inputs.rs"]
mod inputs;
#[path = "fed/takeover.rs"]
mod takeover;
