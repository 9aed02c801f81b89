//! The simulator's commands, one file each.

pub mod card;
mod card_layout;
