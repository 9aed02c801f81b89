//! The commands, one file each.

pub mod card;
pub mod checks;
pub mod ledger;
pub mod settle;
pub mod show;
pub mod snap;
pub mod stamp;
pub mod survey;
pub mod vet;
pub mod words;
