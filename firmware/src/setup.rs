//! What a board begins with, and a small file of the card.

use holdpoint_shared::app::Setup;
use holdpoint_shared::media::{JobFiles, MediaError};
use holdpoint_shared::records::{Machine, Room};

/// What a board goes by while no card has told it more: the records' own defaults and no spool.
#[must_use]
pub fn without_records() -> Setup {
    Setup::new(Machine::default(), None, Room::default())
}

/// The record's text. One that is longer than the buffer is cut, which its parser then reports.
///
/// # Errors
/// When there is none, or the card does not read.
pub fn read_text<'t, F: JobFiles>(
    card: &mut F,
    name: &str,
    text: &'t mut [u8],
) -> Result<&'t [u8], MediaError> {
    card.open_record(name)?;
    let mut filled = 0;
    loop {
        let count = nb::block!(card.poll_read(&mut text[filled..]))?;
        filled += count;
        if count == 0 || filled == text.len() {
            return Ok(&text[..filled]);
        }
    }
}
