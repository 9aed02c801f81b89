//! The subcommands, one file each.

pub mod card;
pub mod checks;
pub mod show;
pub mod vet;
