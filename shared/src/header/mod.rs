//! bytes → the job header and the comment hints.
//!
//! Takes `&[u8]`, gives values with their source. Unknown keys are skipped, wrong ones reported by name; nothing
//! is guessed.

mod error;
mod facts;

pub use error::{HeaderError, HeaderErrorKind};
pub use facts::{JobHeader, Source, Stated};
