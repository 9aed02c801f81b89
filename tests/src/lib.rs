//! Helpers of the tests of the whole.

pub mod reference_time;
