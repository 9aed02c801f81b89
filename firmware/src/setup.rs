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
    let mut text = [0; RECORD_BYTES];
    take(read(card, "MACHINE.JSN", &mut text), Machine::from_json, &mut setup.machine);
    take(read(card, "ROOM.JSN", &mut text), Room::from_json, &mut setup.room);
    let mut spool = Spool::default();
    if take(read(card, "SPOOL.JSN", &mut text), Spool::from_json, &mut spool) {
        setup.spool = Some(spool);
    }
}

/// Takes over a record if its text reads; whether it does. Out of line, so that what parsing takes is given back.
#[inline(never)]
fn take<R>(text: Option<&[u8]>, parse: impl FnOnce(&[u8]) -> Result<R, RecordError>, place: &mut R) -> bool {
    let Some(text) = text else { return false };
    match parse(text) {
        Ok(record) => {
            *place = record;
            true
        }
        Err(error) => {
            refused(&error);
            false
        }
    }
}

#[cold]
#[inline(never)]
fn refused(error: &RecordError) {
    defmt::warn!("{=str}: {}", error.record.file(), error);
}

/// The text of a record, where there is one.
#[inline(never)]
fn read<'t, F: JobFiles>(card: &mut F, name: &str, text: &'t mut [u8; RECORD_BYTES]) -> Option<&'t [u8]> {
    match read_text(card, name, text) {
        Ok(text) => Some(text),
        Err(MediaError { fault: MediaFault::NotFound, .. }) => None,
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
