//! Helpers of the tests of the whole.

pub mod cards;
pub mod exfat;
pub mod images;
pub mod canvas;
pub mod reference_time;
