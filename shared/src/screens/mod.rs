//! model → pixels: draws any [`embedded_graphics`] target of 128x64 from plain data.

mod frame;

pub use frame::Frame;
