//! The records' files: what is known of those in use and of the card's, and how one is read and taken over.

use crate::ledger::Record;
use crate::limits::RECORD_BYTES;
use crate::media::{JobFiles, MediaError, MediaFault};
use crate::records::{Machine, RecordError, RecordName, Room, Spool, UnknownKey};
use crate::survey::Crc32;

use super::setup::Setup;

/// Reads of one record that bring nothing yet: far more than any card asks for.
const MOST_POLLS: u8 = 64;

/// Whether a card's records differ from those in use, and what became of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Takeover {
    /// Those in use are the card's, or the card has none.
    #[default]
    None,
    /// The card has others, and the screen says so.
    Asked,
    /// The lead's key fitted.
    Granted,
}

/// What is known of the records' files.
#[derive(Debug, Default)]
pub(super) struct Files {
    /// Sums of the records in use, in the order of [`RecordName::ALL`]; `None` = there is none.
    pub(super) sums: [Option<u32>; 3],
    /// Which record of the card is read next; `None` = none is.
    pub(super) next: Option<u8>,
    /// One of the card's was taken over.
    pub(super) taken: bool,
    pub(super) takeover: Takeover,
}

impl Setup {
    /// Takes over a record from its file's bytes.
    ///
    /// # Errors
    /// Its first fault; the record before stays in use.
    pub fn take(&mut self, record: RecordName, text: &[u8]) -> Result<(), RecordError> {
        // The readers are out of line, so that the stack they take is given back.
        let unknown = match record {
            RecordName::Machine => taken(text, Machine::read, &mut self.machine)?,
            RecordName::Spool => {
                let mut spool = Spool::default();
                let unknown = taken(text, Spool::read, &mut spool)?;
                self.spool = Some(spool);
                unknown
            }
            RecordName::Room => {
                let unknown = taken(text, Room::read, &mut self.room)?;
                self.room.language = self.language.unwrap_or(self.room.language);
                unknown
            }
        };
        if let Some(place) = self.unknown_keys.get_mut(record as usize) {
            *place = unknown;
        }
        self.set_refused(record, false);
        Ok(())
    }

    /// Says that a record could not be read and none is in its place: what needs it gets NO VERDICT.
    pub fn set_refused(&mut self, record: RecordName, refused: bool) {
        if let Some(place) = self.refused.get_mut(record as usize) {
            *place = refused;
        }
    }
}

#[inline(never)]
fn taken<R>(
    text: &[u8],
    read: impl FnOnce(&[u8]) -> Result<(R, Option<UnknownKey>), RecordError>,
    place: &mut R,
) -> Result<Option<UnknownKey>, RecordError> {
    let (record, unknown) = read(text)?;
    *place = record;
    Ok(unknown)
}

/// The record's place in the ledger.
pub(super) const fn kept_as(record: RecordName) -> Record {
    match record {
        RecordName::Machine => Record::Machine,
        RecordName::Spool => Record::Spool,
        RecordName::Room => Record::Room,
    }
}

pub(super) fn sum(text: &[u8]) -> u32 {
    let mut crc = Crc32::new();
    crc.update(text);
    crc.value()
}

impl Files {
    pub(super) fn sum(&self, record: RecordName) -> Option<u32> {
        self.sums.get(record as usize).copied().flatten()
    }

    pub(super) fn set_sum(&mut self, record: RecordName, sum: Option<u32>) {
        if let Some(place) = self.sums.get_mut(record as usize) {
            *place = sum;
        }
    }
}

/// A record's text as it was read.
pub(super) enum RecordText {
    /// Its bytes.
    Whole(usize),
    /// More than any record may have.
    TooLong,
}

/// Reads a record of the card.
///
/// # Errors
/// `NotFound` when there is none; card faults.
pub(super) fn read<F: JobFiles>(
    card: &mut F,
    record: RecordName,
    text: &mut [u8],
) -> Result<RecordText, MediaError> {
    let size = card.open_record(record.file())?;
    let (mut filled, mut polls) = (0_usize, 0);
    while let Some(free) = text.get_mut(filled..).filter(|free| !free.is_empty()) {
        match card.poll_read(free) {
            Ok(0) => break,
            Ok(read) => filled = filled.saturating_add(read),
            Err(nb::Error::WouldBlock) if polls < MOST_POLLS => polls += 1,
            Err(nb::Error::WouldBlock) => return Err(MediaError::new(MediaFault::ReadFailed)),
            Err(nb::Error::Other(error)) => return Err(error),
        }
    }
    Ok(if size > RECORD_BYTES as u64 { RecordText::TooLong } else { RecordText::Whole(filled) })
}
