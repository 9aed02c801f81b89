//! Helpers of the tests of the whole.

pub mod generate;
