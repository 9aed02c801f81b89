//! What a room's lead does at the device with a key: settles a point for this machine or spool, undoes that, and takes
//! records over from a card.
//!
//! The key is entered digit by digit; nothing is done before all of it fits. A card that goes out ends it.

use embedded_storage::nor_flash::NorFlash;

use crate::checks::{Group, Level, Scope, Settlement, Settlements, find};
use crate::header::HeaderErrorKind;
use crate::ledger::{self, Ledger, Record};
use crate::phase::{Beep, CODE_DIGITS, Phase};
use crate::records::{RecordError, RecordErrorKind};
use crate::words::run::RunPage;

use super::device::App;
use super::notice::{Notice, RefusedRecord};
use super::{LEDGER, Now};

/// What the key is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Wanted {
    /// To settle this check's point here, or to undo that.
    Settle(u8),
    /// To take over the records on the card in the slot.
    Records,
}

/// A key as it is entered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Desk {
    pub(super) wanted: Wanted,
    pub(super) entered: u8,
    pub(super) digit: u8,
    code: u32,
}

impl Desk {
    pub(super) const fn new(wanted: Wanted) -> Self {
        Self { wanted, entered: 0, digit: 0, code: 0 }
    }
}

impl App {
    /// The knob is held on a point that may be settled: the key is asked for. Whether it was.
    pub(super) fn settles(&mut self) -> bool {
        // What keeps nothing settles nothing.
        if !LEDGER {
            return false;
        }
        let Phase::Points { point, .. } = self.phase.phase() else { return false };
        let Some(finding) = self.vetting.report().point(point) else { return false };
        let check = finding.check;
        if finding.level != Level::Look
            || self.setup.machine.lead_code.is_none()
            || Settlements::may_settle(check).is_err()
        {
            return false;
        }
        self.desk = Some(Desk::new(Wanted::Settle(check)));
        true
    }

    /// The card's records are wanted: by the lead's key, or at once where the machine has none.
    pub(super) fn desk_opened(&mut self) {
        if self.setup.machine.lead_code.is_some() {
            self.desk = Some(Desk::new(Wanted::Records));
        } else {
            self.records = Records::Granted;
        }
    }

    /// The knob is turned at the desk.
    pub(super) fn desk_turned(&mut self, detents: i8) {
        if let Some(desk) = &mut self.desk {
            let digit = (i16::from(desk.digit) + i16::from(detents)).rem_euclid(10);
            desk.digit = u8::try_from(digit).unwrap_or(0);
        }
    }

    /// A digit is in; the last one decides.
    pub(super) fn desk_pressed(&mut self, now: Now) {
        let Some(desk) = &mut self.desk else { return };
        desk.code = desk.code.saturating_mul(10).saturating_add(desk.digit.into());
        desk.digit = 0;
        desk.entered += 1;
        if desk.entered < CODE_DIGITS {
            return;
        }
        let desk = *desk;
        self.desk = None;
        if self.setup.machine.lead_code != Some(desk.code) {
            self.notice = Some(Notice::Due(RunPage::KeyWrong));
            self.sound(now, Beep::Attention);
            return;
        }
        match desk.wanted {
            Wanted::Settle(check) if LEDGER => self.settle(now, check),
            Wanted::Settle(_) => {}
            Wanted::Records => self.records = Records::Granted,
        }
    }

    /// Settles a check here, or undoes it where it was settled.
    fn settle(&mut self, now: Now, check: u8) {
        let scope = scope(check, &self.setup);
        let of = match scope {
            Scope::Machine => self.setup.machine.tag.clone(),
            Scope::Spool => self.setup.spool.as_ref().map(|spool| spool.id.clone()).unwrap_or_default(),
        };
        let undone = self.setup.settled.undo(check, scope, &of);
        if !undone {
            let day = now.wall.map(|wall| wall.date());
            if self.setup.settled.settle(Settlement { check, scope, of, day }).is_err() {
                self.notice = Some(Notice::Ledger);
                return;
            }
        }
        self.settle_due = Some((check, !undone));
        self.judge_again = true;
        self.notice = Some(Notice::Settled { check, undone });
    }

    /// Keeps what was just settled.
    pub(super) fn keep_settled<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>) {
        let Some((check, on)) = self.settle_due.take() else { return };
        let Some(ledger) = ledger.as_deref_mut().filter(|_| LEDGER) else { return };
        let spool = self.setup.spool.as_ref().map(|spool| spool.id.as_str());
        let of = match (scope(check, &self.setup), spool) {
            (Scope::Spool, Some(spool)) => ledger::Scope::Spool(spool),
            (Scope::Spool | Scope::Machine, _) => ledger::Scope::Machine,
        };
        if ledger.settle(check, of, on).is_err() {
            self.notice = Some(Notice::Ledger);
        }
    }

    /// What the ledger keeps as settled for this machine and its spool. Their days are not kept.
    pub(super) fn recall_settled<S: NorFlash>(&mut self, ledger: &mut Ledger<S>) {
        let tag = self.setup.machine.tag.clone();
        let id = self.setup.spool.as_ref().map(|spool| spool.id.clone());
        let places = [
            Some((ledger::Scope::Machine, Scope::Machine, tag)),
            id.as_ref().map(|id| (ledger::Scope::Spool(id), Scope::Spool, id.clone())),
        ];
        for (kept, scope, of) in places.into_iter().flatten() {
            // A spool that the ledger does not know has nothing settled.
            let Ok(checks) = ledger.settled(kept) else { continue };
            for check in checks.iter() {
                if self
                    .setup
                    .settled
                    .find(check, &self.setup.machine.tag, id.as_deref().unwrap_or_default())
                    .is_none()
                {
                    // Full, or a check of another version: it is asked about again.
                    let _ = self.setup.settled.settle(Settlement { check, scope, of: of.clone(), day: None });
                }
            }
        }
    }

    /// A record was found: on a card, or (`kept`) in the device's own flash. Says whether it is to be taken over now; where
    /// another one is in use, the lead is asked.
    ///
    /// `sum` is the CRC-32 of its text.
    pub fn record_found(&mut self, record: Record, sum: u32, kept: bool) -> bool {
        let granted = self.records == Records::Granted;
        let Some(place) = self.sums.get_mut(record as usize) else { return false };
        match *place {
            Some(in_use) if in_use == sum => false,
            // What keeps nothing goes by each card's own records.
            Some(_) if LEDGER && !granted && !kept => {
                if self.records == Records::InUse && !self.phase.phase().is_released() {
                    self.records = Records::Asked;
                    self.notice = Some(Notice::Records);
                }
                false
            }
            Some(_) | None => {
                *place = Some(sum);
                true
            }
        }
    }

    /// A record that was found does not read: what was in use stays, and the screen says where the fault is.
    pub fn record_refused(&mut self, record: Record, error: &RecordError) {
        if let Some(sum) = self.sums.get_mut(record as usize) {
            *sum = None;
        }
        let kind = match error.kind {
            RecordErrorKind::TooLong => HeaderErrorKind::TooLong,
            RecordErrorKind::Json(fault) => HeaderErrorKind::Json(fault),
        };
        let (file, line, column) = (error.record.file(), error.line, error.column);
        self.notice = Some(Notice::Refused(RefusedRecord { file, kind, line, column }));
    }

    /// Fingerprint of the three records, for the day book.
    pub(super) fn settings_sum(&self) -> Option<u32> {
        let known = self.sums.iter().flatten();
        known.copied().reduce(|all, sum| all.rotate_left(1) ^ sum)
    }

    /// Whether the lead has granted that the card's records be taken over: hand them to [`App::record_found`] once more,
    /// then say so by [`App::records_taken`].
    #[must_use]
    pub fn grants_records(&self) -> bool {
        self.records == Records::Granted
    }

    /// The records that the lead granted are in use.
    pub fn records_taken(&mut self) {
        self.records = Records::InUse;
        self.notice = Some(Notice::Due(RunPage::TakenOver));
    }
}

/// Whether a card's records differ from those in use, and what became of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Records {
    /// Those in use are the card's, or the card has none.
    #[default]
    InUse,
    /// The card has others; the lead was told.
    Asked,
    /// The lead's key fitted.
    Granted,
}

/// Points about the spool are settled for the spool, all others for the machine.
fn scope(check: u8, setup: &super::Setup) -> Scope {
    match find(check).map(|row| row.group) {
        Some(Group::Spool) if setup.spool.is_some() => Scope::Spool,
        Some(_) | None => Scope::Machine,
    }
}
