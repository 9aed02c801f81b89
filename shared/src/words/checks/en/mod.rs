//! The wordings in English.

mod file;
mod heat;
mod machine;
mod own;
mod parts;
mod room;
mod spool;

use super::packed::{Tables, Texts, texts};

/// All wordings, by section of the catalogue.
pub(super) const WORDINGS: Tables =
    [file::WORDINGS, machine::WORDINGS, heat::WORDINGS, spool::WORDINGS, room::WORDINGS, own::WORDINGS];

/// What of them a device carries.
pub(super) static TEXTS: Texts = texts!(WORDINGS, parts::PARTS);
