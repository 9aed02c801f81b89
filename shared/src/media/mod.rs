//! blocks → bytes: the card's volume, its jobs newest first, and their bytes one buffer a call.
//!
//! Takes a block device; gives entries and chunks. Every number read from a card is checked before use, and
//! every chain walk is counted.

mod error;
mod files;

pub use error::{MediaError, MediaFault};
pub use files::{Census, Entry, EntryPlace, JobFiles, Page, PageFrom, SortKey};
