//! blocks → bytes: the card's volume, its jobs newest first, and their bytes one buffer a call.
//!
//! Takes a block device; gives entries and chunks. Every number read from a card is checked before use, and
//! every chain walk is counted: each call may read only so many blocks, whatever the card says.
//!
//! A board implements [`BlockDevice`] for its card slot, the simulator for a disk image. [`Volume::mount`] finds
//! the volume on it (FAT12, FAT16, FAT32 or exFAT; in an MBR or GPT partition, or with no partition table) and
//! is then the [`JobFiles`] that the rest of the core reads from:
//!
//! ```
//! use holdpoint_shared::media::{BlockDevice, JobFiles, MediaError, MountToken, Page, PageFrom, Volume};
//!
//! fn newest<D: BlockDevice>(card: &mut D) -> Result<Page, MediaError> {
//!     let mut token = MountToken::new();
//!     let mut volume = Volume::mount(card, &mut token)?;
//!     let mut page = Page::default();
//!     volume.start_listing(PageFrom::Newest);
//!     nb::block!(volume.poll_listing(&mut page))?;
//!     Ok(page)
//! }
//! ```

#![deny(clippy::arithmetic_side_effects, clippy::cast_possible_truncation)]

mod append;
mod block;
mod dot_entries;
mod driver;
mod error;
mod exfat;
mod files;
mod listing;
mod names;
mod partition;
mod place;
mod reader;
mod record;
mod sound;
mod volume;

pub use append::append_rows;
pub use block::{BlockDevice, BlockError, BlockErrorKind, BlockIndex, MountToken};
pub use driver::VolumeKind;
pub use error::{MediaError, MediaFault};
pub use files::{Alike, Census, Entry, EntryPlace, JobFiles, Page, PageFrom, SortKey};
pub use listing::PageBuilder;
pub use names::{FileKind, RECORDS_FOLDER, cut_name, cut_path, file_kind};
pub use volume::Volume;
