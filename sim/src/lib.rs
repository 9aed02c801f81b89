//! Holdpoint on a desktop.

pub mod commands;
pub mod fat_folders;
pub mod faults;
pub mod folder;
pub mod image;
pub mod stamp;
