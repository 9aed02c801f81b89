//! bytes → lines → words: the RS-274 scanner.
//!
//! Bad input is an outcome, never an error, and never stops the reading. Hand-written, because reading job files
//! fast on a small board is what Holdpoint is for: general parsers need two to four times the instructions and
//! hand out binary floats.

mod line;
mod long;
mod marks;
mod number;
mod scan;
#[cfg(target_pointer_width = "64")]
mod swar;
mod unusual;
mod word;

pub use line::{LineAt, LineSink, Lines};
pub use marks::{Checksum, Marks, Odd};
pub use number::MICRO;
pub use scan::scan;
pub use word::{Code, Words};
