//! The three records a job is checked against (machine sheet, spool ticket, room rules) and the material table.
//!
//! Takes JSON text; gives validated values. A malformed record is refused whole, with its line and column.

mod error;
mod machine;
mod machine_keys;
mod material;
mod room;
mod spool;

pub use error::{RecordError, RecordErrorKind, RecordName};
pub use machine::{Corner, FeedPath, Heaters, Machine, Motion, NozzleMetal, Plate, PlateFace};
pub use material::{Base, Filler, Grade, GradeRow};
pub use room::{Attended, Language, OpenHours, Room};
pub use spool::Spool;
