//! Machine, spool and room as a card brings them.

use crc::{CRC_32_ISO_HDLC, Crc, NoTable};
use embedded_storage::nor_flash::NorFlash;
use holdpoint_shared::app::{App, Setup};
use holdpoint_shared::ledger::{Ledger, Record};
use holdpoint_shared::limits::RECORD_BYTES;
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault};
use holdpoint_shared::records::{Machine, RecordError, Room, Spool};

/// What a board goes by while no card has told it more: the records' own defaults and no spool.
#[must_use]
pub fn without_records() -> Setup {
    Setup::new(Machine::default(), None, Room::default())
}

/// Takes over the records in the card's `HOLDPT` folder as far as the core wants them: a device that has none takes those
/// of the first card, later ones only with the lead's key. What is not there, or does not read, stays as it is; every
/// fault goes to the log. What was settled is the ledger's to say: a card that anybody may write settles nothing here.
pub fn read_records<F: JobFiles, S: NorFlash>(card: &mut F, app: &mut App, ledger: &mut Option<Ledger<S>>) {
    let mut text = [0; RECORD_BYTES];
    for record in RECORDS {
        let Some(text) = read(card, file(record), &mut text) else { continue };
        if !app.record_found(record, sum(text), false) {
            continue;
        }
        match take(record, text, app.setup_mut()) {
            Ok(()) => {
                if let Some(ledger) = ledger
                    && let Err(error) = ledger.take_over(record, text)
                {
                    // In use all the same, until the power goes.
                    defmt::warn!("{=str} is not kept: {}", file(record), error);
                }
            }
            Err(error) => {
                defmt::warn!("{=str}: {}", file(record), error);
                app.record_refused(record, &error);
            }
        }
    }
    app.records_changed(ledger.as_mut());
}

/// Takes the records that the ledger kept.
pub fn recall_records<S: NorFlash>(app: &mut App, ledger: &mut Ledger<S>) {
    let mut text = [0; RECORD_BYTES];
    for record in RECORDS {
        if let Ok(Some(length)) = ledger.record(record, &mut text)
            && let Some(text) = text.get(..length)
            && app.record_found(record, sum(text), true)
            && let Err(error) = take(record, text, app.setup_mut())
        {
            defmt::warn!("{=str}, as it was kept: {}", file(record), error);
            app.record_refused(record, &error);
        }
    }
}

const RECORDS: [Record; 3] = [Record::Machine, Record::Spool, Record::Room];

const fn file(record: Record) -> &'static str {
    match record {
        Record::Machine => "MACHINE.JSN",
        Record::Spool => "SPOOL.JSN",
        Record::Room => "ROOM.JSN",
    }
}

fn sum(text: &[u8]) -> u32 {
    Crc::<u32, NoTable>::new(&CRC_32_ISO_HDLC).checksum(text)
}

/// Takes over a record, if its text reads. The parsers are out of line, so that what they take is given back.
fn take(record: Record, text: &[u8], setup: &mut Setup) -> Result<(), RecordError> {
    match record {
        Record::Machine => parsed(text, Machine::from_json, &mut setup.machine),
        Record::Room => parsed(text, Room::from_json, &mut setup.room),
        Record::Spool => {
            let mut spool = Spool::default();
            parsed(text, Spool::from_json, &mut spool)?;
            setup.spool = Some(spool);
            Ok(())
        }
    }
}

#[inline(never)]
fn parsed<R>(
    text: &[u8],
    parse: impl FnOnce(&[u8]) -> Result<R, RecordError>,
    place: &mut R,
) -> Result<(), RecordError> {
    *place = parse(text)?;
    Ok(())
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
