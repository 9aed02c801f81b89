//! What every check needs.

pub(crate) use super::check::{Check, Group, Live, Needs};
pub(crate) use super::finding::{Level, Signal, Value};
pub(crate) use super::findings::Findings;
pub(crate) use super::input::{CheckInput, PlateAnswer, ProbeValue};
