//! The three records a job is checked against (machine sheet, spool ticket, room rules) and the material table.
//!
//! Takes JSON text; gives validated values. A malformed record is refused whole; every fault is listed with its line and
//! column.
//!
//! Each record is one file in the folder `HOLDPT`, of at most 4,096 bytes of UTF-8: one JSON object (RFC 8259), with
//! whole numbers only. An unknown key is passed over and named, with the known one that it may have been meant for; `null`
//! counts as left out; a known key that is there twice is refused. The keys are listed at [`Machine`] (MACHINE.JSN), [`Spool`] (SPOOL.JSN) and [`Room`]
//! (ROOM.JSN), the materials with [`Base`] and [`GradeRow`].

mod error;
mod examples;
mod faults;
mod machine;
mod machine_keys;
mod material;
mod material_table;
mod material_words;
mod name;
mod owner;
mod room;
mod room_keys;
mod spool;

pub use crate::json::UnknownKey;
pub use error::{RecordError, RecordErrorKind};
pub use faults::faults;
pub use machine::{Corner, FeedPath, Heaters, KeepOut, Machine, Motion, NozzleMetal, Plate, PlateFace};
pub use material::{Filler, Grade, MARK_BYTES};
pub use material_table::{Base, Drying, Fume, GradeRow, Hold};
pub use name::RecordName;
pub use owner::OwnerCode;
pub use room::{AgeGroup, Attended, Language, OpenHours, OwnMaterial, Room, Staffed};
pub use spool::Spool;

#[cfg(test)]
mod record_tests;
