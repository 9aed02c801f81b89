//! One folder a board; each is compiled by the feature of its name.

#[cfg(any(armv6m, test))]
mod intrinsics;
#[cfg(feature = "lm3s6965evb")]
pub mod lm3s6965evb;
#[cfg(feature = "rp2040")]
pub mod rp2040;
#[cfg(any(feature = "lm3s6965evb", feature = "rp2040"))]
pub mod stack;
