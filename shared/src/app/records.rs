//! The three records: found on a card or in the ledger, compared with those in use, taken over or refused.
//!
//! A device without a record takes the first card's. Later ones are taken with the lead's key only; a card without records, or
//! with the same ones, changes nothing. What was settled is the ledger's to say: a card that anybody may write settles
//! nothing here.

use embedded_storage::nor_flash::NorFlash;

use crate::header::HeaderErrorKind;
use crate::ledger::Ledger;
use crate::media::{JobFiles, MediaError, MediaFault};
use crate::phase::Phase;
use crate::records::{RecordError, RecordErrorKind, RecordName};
use crate::words::run::RunPage;

use super::device::{App, Opens};
use super::notice::{Notice, RefusedRecord};
use super::takeover::{RecordText, Takeover, kept_as, read, sum};

impl App {
    /// Takes over a record that is neither on a card nor in the ledger: the command line's of a simulator. The card's do not
    /// replace it without the lead's key.
    ///
    /// # Errors
    /// Its first fault.
    pub fn give_record(&mut self, record: RecordName, text: &[u8]) -> Result<(), RecordError> {
        self.setup.take(record, text)?;
        self.records.set_sum(record, Some(sum(text)));
        self.thermal.take_over(&self.setup.machine, &self.setup.room);
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
            Ok(RecordText::Whole(length)) => self.found(record, length, ledger),
            Ok(RecordText::TooLong) => {
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
                    self.notices.top = Some(Notice::Records);
                }
                return;
            }
            Some(_) | None => {}
        }
        match self.setup.take(record, text) {
            Ok(()) => {
                if let Some(ledger) = ledger {
                    // In use all the same, until the power goes.
                    self.notices.flash(ledger.take_over(kept_as(record), text));
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
        self.notices.top =
            Some(Notice::Refused(RefusedRecord { file, kind, line, column, more: error.more }));
    }

    /// All of the card's records were looked at.
    fn searched<S: NorFlash>(&mut self, ledger: Option<&mut Ledger<S>>) {
        if core::mem::take(&mut self.records.taken) {
            self.records_changed(ledger);
        }
        if self.records.takeover == Takeover::Granted {
            self.records.takeover = Takeover::None;
            self.notices.top = Some(Notice::Due(RunPage::TakenOver));
            // What was vetted by the records before is vetted anew.
            match self.phase.phase() {
                Phase::Reading | Phase::Jobs { .. } => {
                    self.jobs.first_verdicts.clear();
                    self.vetting.stop();
                }
                _ => {
                    self.vetting.again();
                    self.chosen.offered = Opens::Nothing;
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
        self.thermal.take_over(&self.setup.machine, &self.setup.room);
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
