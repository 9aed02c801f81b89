//! The three records: found on a card or in the ledger, compared with those in use, taken over or refused.
//!
//! A device without a record takes the first card's. Later ones are taken with the lead's key only; a card without records, or
//! with the same ones, changes nothing. What was settled is the ledger's to say: a card that anybody may write settles
//! nothing here.

use embedded_storage::nor_flash::NorFlash;

use crate::header::HeaderErrorKind;
use crate::ledger::{Ledger, Record};
use crate::limits::RECORD_BYTES;
use crate::media::{JobFiles, MediaError, MediaFault};
use crate::phase::Phase;
use crate::records::{Machine, RecordError, RecordErrorKind, RecordName, Room, Spool, UnknownKey};
use crate::survey::Seal;
use crate::words::run::RunPage;

use super::Setup;
use super::device::{App, Opens};
use super::notice::{Notice, RefusedRecord};

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
    sums: [Option<u32>; 3],
    /// Which record of the card is read next; `None` = none is.
    next: Option<u8>,
    /// One of the card's was taken over.
    taken: bool,
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
const fn kept_as(record: RecordName) -> Record {
    match record {
        RecordName::Machine => Record::Machine,
        RecordName::Spool => Record::Spool,
        RecordName::Room => Record::Room,
    }
}

fn sum(text: &[u8]) -> u32 {
    let mut seal = Seal::new();
    seal.update(text);
    seal.value()
}

impl App {
    /// Takes over a record that is neither on a card nor in the ledger: the command line's of a simulator. The card's do not
    /// replace it without the lead's key.
    ///
    /// # Errors
    /// Its first fault.
    pub fn give_record(&mut self, record: RecordName, text: &[u8]) -> Result<(), RecordError> {
        self.setup.take(record, text)?;
        self.records.set_sum(record, Some(sum(text)));
        self.warmth.take_over(&self.setup.machine, &self.setup.room);
        Ok(())
    }

    /// Takes the records that the ledger kept.
    pub(super) fn recall_records<S: NorFlash>(&mut self, ledger: &mut Ledger<S>) {
        for record in RecordName::ALL {
            let (_, window) = self.vetting.picture_and_window();
            let Ok(Some(length)) = ledger.record(kept_as(record), window) else { continue };
            let text = window.get(..length).unwrap_or_default();
            match self.setup.take(record, text) {
                Ok(()) => self.records.set_sum(record, Some(sum(text))),
                Err(error) => self.refuse(record, &error),
            }
        }
    }

    /// The card in the slot is to be searched for records. A run that is on goes by what it was released with.
    pub(super) fn search_records(&mut self) {
        if self.phase.phase().is_released() {
            return;
        }
        self.setup.refused = [false; 3];
        (self.records.next, self.records.taken) = (Some(0), false);
    }

    /// The card is gone, and with it what it had to say.
    pub(super) fn end_search(&mut self) {
        (self.records.next, self.records.takeover) = (None, Takeover::None);
    }

    pub(super) fn searches_records(&self) -> bool {
        self.records.next.is_some()
    }

    /// Reads the next record of the card, as a whole: at most ten blocks.
    ///
    /// # Errors
    /// `WouldBlock`, since other work follows; that the card is gone.
    pub(super) fn step_records<F: JobFiles, S: NorFlash>(
        &mut self,
        card: &mut F,
        ledger: Option<&mut Ledger<S>>,
    ) -> nb::Result<(), MediaError> {
        let next = self.records.next.unwrap_or(0);
        let Some(record) = RecordName::ALL.get(usize::from(next)).copied() else {
            self.records.next = None;
            self.searched(ledger);
            return Err(nb::Error::WouldBlock);
        };
        // Nothing is in the window between a card's coming and its first job, or while a job is read anew.
        let (_, window) = self.vetting.picture_and_window();
        match read(card, record, window) {
            Ok(Text::Whole(length)) => self.found(record, length, ledger),
            Ok(Text::TooLong) => {
                let error = RecordError::too_long(record, window);
                self.refuse(record, &error);
            }
            Err(error) if matches!(error.fault, MediaFault::NoCard | MediaFault::Gone) => {
                return Err(nb::Error::Other(error));
            }
            // None is there, or this card does not give it: that changes nothing.
            Err(_) => {}
        }
        self.records.next = Some(next.saturating_add(1));
        Err(nb::Error::WouldBlock)
    }

    /// A record of the card was read into the window.
    fn found<S: NorFlash>(&mut self, record: RecordName, length: usize, ledger: Option<&mut Ledger<S>>) {
        let (_, window) = self.vetting.picture_and_window();
        let text = window.get(..length).unwrap_or_default();
        let sum = sum(text);
        match self.records.sum(record) {
            Some(in_use) if in_use == sum => return,
            Some(_) if self.records.takeover != Takeover::Granted => {
                if self.records.takeover == Takeover::None {
                    self.records.takeover = Takeover::Asked;
                    self.notice = Some(Notice::Records);
                }
                return;
            }
            Some(_) | None => {}
        }
        match self.setup.take(record, text) {
            Ok(()) => {
                if let Some(ledger) = ledger
                    && ledger.take_over(kept_as(record), text).is_err()
                {
                    // In use all the same, until the power goes.
                    self.notice = Some(Notice::Ledger);
                }
                self.records.set_sum(record, Some(sum));
                self.records.taken = true;
            }
            Err(error) => self.refuse(record, &error),
        }
    }

    /// A record does not read: what was in use stays, and the screen says where the fault is.
    fn refuse(&mut self, record: RecordName, error: &RecordError) {
        if self.records.sum(record).is_none() {
            self.setup.set_refused(record, true);
        }
        let kind = match error.kind {
            RecordErrorKind::TooLong => HeaderErrorKind::TooLong,
            RecordErrorKind::Json(fault) => HeaderErrorKind::Json(fault),
        };
        let (file, line, column) = (record.file(), error.line, error.column);
        self.notice = Some(Notice::Refused(RefusedRecord { file, kind, line, column, more: error.more }));
    }

    /// All of the card's records were looked at.
    fn searched<S: NorFlash>(&mut self, ledger: Option<&mut Ledger<S>>) {
        if core::mem::take(&mut self.records.taken) {
            self.records_changed(ledger);
        }
        if self.records.takeover == Takeover::Granted {
            self.records.takeover = Takeover::None;
            self.notice = Some(Notice::Due(RunPage::TakenOver));
            // What was vetted by the records before is vetted anew.
            match self.phase.phase() {
                Phase::Reading | Phase::Jobs { .. } => {
                    self.first.clear();
                    self.vetting.stop();
                }
                _ => {
                    self.vetting.again();
                    self.offered = Opens::Nothing;
                }
            }
        }
    }

    /// The lead's key fitted, or the machine has none: the card's records are read once more, and taken over.
    pub(super) fn grant_records(&mut self) {
        self.records.takeover = Takeover::Granted;
        self.search_records();
    }

    /// The balance is the ledger's, and the heat goes by the new sheet.
    pub(super) fn records_changed<S: NorFlash>(&mut self, ledger: Option<&mut Ledger<S>>) {
        self.warmth.take_over(&self.setup.machine, &self.setup.room);
        if let Some(ledger) = ledger {
            self.balance(ledger);
            self.recall_settled(ledger);
        }
    }

    /// Fingerprint of the three records, for the day book.
    pub(super) fn settings_sum(&self) -> Option<u32> {
        let known = self.records.sums.iter().flatten();
        known.copied().reduce(|all, sum| all.rotate_left(1) ^ sum)
    }
}

impl Files {
    fn sum(&self, record: RecordName) -> Option<u32> {
        self.sums.get(record as usize).copied().flatten()
    }

    fn set_sum(&mut self, record: RecordName, sum: Option<u32>) {
        if let Some(place) = self.sums.get_mut(record as usize) {
            *place = sum;
        }
    }
}

/// A record's text as it was read.
enum Text {
    /// Its bytes.
    Whole(usize),
    /// More than any record may have.
    TooLong,
}

/// Reads a record of the card.
///
/// # Errors
/// `NotFound` when there is none; card faults.
fn read<F: JobFiles>(card: &mut F, record: RecordName, text: &mut [u8]) -> Result<Text, MediaError> {
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
    Ok(if size > RECORD_BYTES as u64 { Text::TooLong } else { Text::Whole(filled) })
}
