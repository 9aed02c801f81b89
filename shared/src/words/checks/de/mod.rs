//! The wordings in German.

mod file;
mod heat;
mod machine;
mod own;
mod room;
mod spool;

use super::wording::Wording;

/// All wordings, by section of the catalogue.
pub(super) const WORDINGS: [&[Wording]; 6] =
    [file::WORDINGS, machine::WORDINGS, heat::WORDINGS, spool::WORDINGS, room::WORDINGS, own::WORDINGS];
