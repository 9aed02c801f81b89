//! facts → findings: the catalogue of checks.
//!
//! Pure functions; the only place with thresholds; each finding has a stable number and its numbers on both sides.
//!
//! A check is one file that holds its row of the catalogue, its rule and its tests, one line in
//! [`CATALOGUE`], and one wording a language.

#[cfg(test)]
pub(crate) mod bench;
mod catalogue;
mod check;
mod facts;
mod file;
mod finding;
mod findings;
mod geometry;
mod heat;
mod input;
mod machine;
mod no_job;
mod outlook;
mod own;
mod prelude;
mod room;
mod settled;
mod spool;
mod stated;
#[cfg(test)]
mod tests;

pub(crate) use catalogue::is_about_spool;
pub use catalogue::{CATALOGUE, check, check_into, find, is_never_silenced, write_markdown};
pub use check::{Check, Group, Live, Needs, Rule};
pub use facts::{Disagreement, FactKind, JobFacts, LAYER_TOLERANCE_UM, TEMPERATURE_TOLERANCE_K};
pub use file::newer_version::stem;
pub use file::same_name::looks_alike;
pub use finding::{Finding, Level, Signal, Value, Verdict};
pub use findings::{Findings, LEFT_OUT};
pub use input::{Answers, CardFacts, CheckInput, FileFacts, History, PlateAnswer, ProbeValue, Probes};
pub use no_job::{NotAJob, not_a_job};
pub use outlook::{Outlook, outlook};
pub use room::hours::{Opening, at as opening};
pub use settled::{CheckSet, NotSettled, Scope, Settlement, Settlements};
