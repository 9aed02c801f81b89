//! One folder a board; each is compiled by the feature of its name.

#[cfg(feature = "lm3s6965evb")]
pub mod lm3s6965evb;
