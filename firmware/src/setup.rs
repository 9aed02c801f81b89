//! Machine, spool and room as a card brings them.

use holdpoint_shared::app::Setup;
use holdpoint_shared::limits::RECORD_BYTES;
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault};
use holdpoint_shared::records::{Machine, RecordError, Room, Spool};

/// What a board goes by while no card has told it more: the records' own defaults and no spool.
#[must_use]
pub fn without_records() -> Setup {
    Setup::new(Machine::default(), None, Room::default())
}

/// Takes over the records in the card's `HOLDPT` folder; what is not there, or does not read, stays as it is. Every
/// fault goes to the log. What was settled is the ledger's to say: a card that anybody may write settles nothing here.
pub fn read_records<F: JobFiles>(card: &mut F, setup: &mut Setup) {
    if let Some(machine) = read(card, "MACHINE.JSN", Machine::from_json) {
        setup.machine = machine;
    }
    if let Some(spool) = read(card, "SPOOL.JSN", Spool::from_json) {
        setup.spool = Some(spool);
    }
    if let Some(room) = read(card, "ROOM.JSN", Room::from_json) {
        setup.room = room;
    }
}

#[inline(never)]
fn read<F: JobFiles, R>(
    card: &mut F,
    name: &str,
    parse: impl FnOnce(&[u8]) -> Result<R, RecordError>,
) -> Option<R> {
    let mut text = [0; RECORD_BYTES];
    let text = match read_text(card, name, &mut text) {
        Ok(text) => text,
        Err(MediaError { fault: MediaFault::NotFound, .. }) => return None,
        Err(error) => {
            defmt::warn!("{=str}: {}", name, error);
            return None;
        }
    };
    match parse(text) {
        Ok(record) => Some(record),
        Err(error) => {
            defmt::warn!("{=str}: {}", name, error);
            None
        }
    }
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
