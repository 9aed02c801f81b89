//! What the checks go by is fed: every input by the core itself, and what only the whole device can feed, by it.

#[path = "fed/answers.rs"]
mod answers;
#[path = "fed/coverage.rs"]
mod coverage;
#[path = "fed/inputs.rs"]
mod inputs;
#[path = "fed/scenes.rs"]
mod scenes;
#[path = "fed/takeover.rs"]
mod takeover;
