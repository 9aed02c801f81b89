//! facts → findings: the catalogue of checks.
//!
//! Pure functions; the only place with thresholds; each finding has a stable number and its numbers on both sides.

mod finding;

pub use finding::{Finding, Level, Signal, Value, Verdict};
