//! What the device's memory lost: read by a person, one thing after the other, then written to the day book's events.

use embedded_storage::nor_flash::NorFlash;

use crate::daybook::What;
use crate::ledger::{Ledger, Losses, Lost};
use crate::limits::LEDGER_SPOOLS;
use crate::media::JobFiles;
use crate::screens::Item;
use crate::words::run::{RunPage, Term};

use super::device::App;
use super::memory::after_2000;
use super::notice::{LostPart, Notice};
use super::setup::Now;

impl App {
    /// The device's memory could not be read at all: the screen says so, and nothing is kept.
    pub fn without_memory(&mut self) {
        self.notices.top = Some(Notice::Due(RunPage::MemoryForeign));
    }

    /// What the ledger lost is shown before anything else.
    pub(super) fn tell_losses<S: NorFlash>(&mut self, ledger: &mut Ledger<S>) {
        let losses = ledger.losses();
        self.notices.loss_due = losses;
        for lost in losses.iter() {
            let mut named = false;
            for slot in (0..LEDGER_SPOOLS).filter(|slot| lost == Lost::Spool && losses.has_spool(*slot)) {
                if let Ok(Some((tag, _))) = ledger.spool_in(slot) {
                    named = true;
                    // As many as there are places for.
                    let _ = self.notices.lost.push(LostPart::Spool(tag));
                }
            }
            if !named {
                let _ = self.notices.lost.push(LostPart::Kind(lost));
            }
        }
        self.recall_given_up(ledger);
        if !self.notices.lost.is_empty() {
            self.notices.lost.reverse();
            self.notices.after_lost = self.notices.top.replace(Notice::Lost);
        }
    }

    /// A notice was read: what is read next, if there is more.
    pub(super) fn next_notice(&mut self, read: Option<Notice>) {
        if read == Some(Notice::Lost) {
            self.notices.lost.pop();
            self.notices.losses_read = self.notices.lost.is_empty();
        }
        if self.notices.lost.is_empty() {
            self.notices.top = self.notices.after_lost.take();
        } else {
            self.notices.top = Some(Notice::Lost);
        }
    }

    /// Writes down that it was read, and what it was.
    pub(super) fn keep_losses<F: JobFiles, S: NorFlash>(
        &mut self,
        now: Now,
        card: &mut Option<&mut F>,
        ledger: &mut Option<&mut Ledger<S>>,
    ) {
        if card.is_some() && !self.daybook.events_refused {
            for lost in self.notices.loss_due.iter() {
                self.log(now, card, &What::Lost { what: lost.word() });
            }
            if !self.daybook.events_refused {
                self.notices.loss_due = Losses::default();
            }
        }
        self.tell_given_up(now, card, ledger);
        if self.notices.losses_read
            && let Some(ledger) = ledger.as_deref_mut()
        {
            self.notices.losses_read = false;
            self.notices.flash(ledger.losses_are_read());
        }
    }

    /// Writes what was given up to the events of the card that is in.
    fn tell_given_up<F: JobFiles, S: NorFlash>(
        &mut self,
        now: Now,
        card: &mut Option<&mut F>,
        ledger: &mut Option<&mut Ledger<S>>,
    ) {
        if card.is_none()
            || self.daybook.events_refused
            || !(self.daybook.given_up.in_ledger || self.daybook.given_up.here)
        {
            return;
        }
        let named = match ledger.as_deref_mut().filter(|_| self.daybook.given_up.in_ledger) {
            Some(ledger) => ledger.given_up(0).ok().flatten(),
            None => None,
        };
        self.daybook.given_up.in_ledger = named.is_some();
        let here = named.is_none();
        let Some(row) =
            named.or_else(|| self.daybook.given_up.last.clone().filter(|_| self.daybook.given_up.here))
        else {
            return;
        };
        let what = What::RowLost { job: &row.job, started: after_2000(row.started_s), more: row.more };
        self.append_event(now.wall, Some(row.number), card, &what);
        if self.daybook.events_refused {
            return;
        }
        if here {
            self.daybook.given_up.here = false;
        } else if let Some(ledger) = ledger.as_deref_mut()
            && self.notices.flash(ledger.given_up_is_told(row.number)).is_none()
        {
            // Logged again after the next power-up.
            self.daybook.given_up.in_ledger = false;
        }
    }

    /// The page of the next thing that was lost.
    pub(super) fn lost_page(&self) -> RunPage {
        match self.notices.lost.last() {
            Some(LostPart::Spool(_)) => RunPage::BalanceLost,
            Some(LostPart::Row) => RunPage::RowLost,
            Some(LostPart::Kind(_)) | None => RunPage::MemoryLost,
        }
    }

    /// Its item; a row has more of them.
    pub(super) fn lost_item(&self) -> Item<'_> {
        match self.notices.lost.last() {
            Some(LostPart::Spool(tag)) => Item::Text(tag),
            Some(LostPart::Row) => Item::Text(self.daybook.given_up.job()),
            Some(LostPart::Kind(lost)) => Item::Term(term(*lost)),
            None => Item::Unknown,
        }
    }
}

/// The word for it.
const fn term(lost: Lost) -> Term {
    match lost {
        Lost::Unknown => Term::LostUnknown,
        Lost::RunNumber => Term::LostRunNumber,
        Lost::Machine => Term::LostMachine,
        Lost::Hold => Term::LostHold,
        Lost::Settled => Term::LostSettled,
        Lost::Spool => Term::LostSpool,
        Lost::Events => Term::LostEvents,
        Lost::Learned => Term::LostLearned,
        Lost::Run => Term::LostRun,
        Lost::MachineSheet => Term::LostMachineSheet,
        Lost::SpoolTicket => Term::LostSpoolTicket,
        Lost::RoomRules => Term::LostRoomRules,
        Lost::Picture => Term::LostPicture,
        Lost::Rows => Term::LostRows,
    }
}
