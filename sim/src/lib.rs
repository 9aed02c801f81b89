//! Holdpoint on a desktop.

pub mod commands;
pub mod faults;
pub mod folder;
pub mod image;
pub mod stamp;
