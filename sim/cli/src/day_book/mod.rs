//! The day books of many cards, read, put together and added up.
//!
//! Whole milligrams, seconds and hundredths of the currency throughout: a sum of a thousand rows is exact.

pub mod gather;
pub mod line;
mod lines;
pub mod report;
pub mod show;
pub mod sorter;
pub mod sums;
