//! What a room's lead does at the device with a key: settles a point for this machine or spool, undoes that, takes
//! records over from a card, and takes the machine out of use or gives it back.
//!
//! The key is entered digit by digit, at the one entry that the phases keep: wrong ones count together with those at a
//! HOLD. Nothing is done before all of it fits. A card that goes out ends it, and so does a minute without a touch.

use embedded_storage::nor_flash::NorFlash;

use crate::checks::{Level, Scope, Settlement, Settlements, is_about_spool};
use crate::ledger::{self, Ledger, MachineHold};
use crate::phase::{OutOfUse, Phase};
use crate::words::run::RunPage;

use super::device::App;
use super::device::Wanted;
use super::memory::{after_2000, since_2000_s};
use super::notice::Notice;
use super::setup::Now;
use super::setup::Setup;

impl App {
    /// Asks for the key, unless it rests.
    pub(super) fn ask_key(&mut self, now: Now, wanted: Wanted) {
        let key = self.phase.key_mut();
        if key.rests_ms(now.instant) > 0 {
            self.notices.top = Some(Notice::Due(RunPage::KeyRests));
            return;
        }
        key.open(now.instant);
        self.notices.top = None;
        self.lead.wanted = Some(wanted);
    }

    /// The knob is held on a point that may be settled: the key is asked for. Whether it was.
    pub(super) fn settles(&mut self, now: Now) -> bool {
        let Phase::Points { point, .. } = self.phase.phase() else { return false };
        let Some(finding) = self.vetting.report().point(point) else { return false };
        let check = finding.check;
        if finding.level != Level::Look
            || self.setup.machine.lead_code.is_none()
            || Settlements::may_settle(check).is_err()
        {
            return false;
        }
        self.ask_key(now, Wanted::Settle(check));
        true
    }

    /// The knob was held with no card in: the machine is taken out of use, or given back. Where the sheet has no key,
    /// nobody can.
    pub(super) fn desk_held(&mut self, now: Now) {
        if self.setup.machine.lead_code.is_some() {
            self.ask_key(now, Wanted::Use);
        }
    }

    /// The knob is turned at the desk.
    pub(super) fn desk_turned(&mut self, now: Now, detents: i8) {
        self.phase.key_mut().turn(now.instant, detents);
    }

    /// Whoever opened the desk and did not go on is gone.
    pub(super) fn desk_left(&mut self, now: Now) {
        if self.lead.wanted.is_some() && now.instant >= self.phase.key().open_until() {
            self.lead.wanted = None;
        }
    }

    /// Keeps that a lead took the machine out of use, or gave it back.
    pub(super) fn keep_use<S: NorFlash>(
        &mut self,
        now: Now,
        ledger: &mut Option<&mut Ledger<S>>,
        why: Option<OutOfUse>,
    ) {
        self.setup.known.history.machine_held = why.is_some();
        self.memory.held_since = now.wall.filter(|_| why.is_some());
        self.lead.use_told = Some((now.wall, why));
        let Some(ledger) = ledger.as_deref_mut() else { return };
        let hold = why.map(|why| MachineHold { reason: why as u8, since_s: since_2000_s(now.wall) });
        self.notices.flash(ledger.set_hold(hold));
    }

    /// What the ledger keeps of it: why a lead took the machine out of use, if one did.
    pub(super) fn recall_use<S: NorFlash>(&mut self, ledger: &mut Ledger<S>) -> Option<OutOfUse> {
        let hold = self.notices.flash(ledger.hold())??;
        let why = OutOfUse::ALL.get(usize::from(hold.reason)).copied().unwrap_or(OutOfUse::Other);
        self.setup.known.history.machine_held = true;
        self.memory.held_since = after_2000(hold.since_s);
        Some(why)
    }

    /// Settles a check here, or undoes it where it was settled.
    pub(super) fn settle(&mut self, now: Now, check: u8) {
        let scope = scope(check, &self.setup);
        let of = match scope {
            Scope::Machine => self.setup.machine.tag.clone(),
            Scope::Spool => self.setup.spool.as_ref().map(|spool| spool.id.clone()).unwrap_or_default(),
        };
        let undone = self.setup.settled.undo(check, scope, &of);
        if !undone {
            let day = now.wall.map(|wall| wall.date());
            if self.setup.settled.settle(Settlement { check, scope, of, day }).is_err() {
                self.notices.flash_failed();
                return;
            }
        }
        self.lead.settle_due = Some((check, !undone));
        self.chosen.judge_again = true;
        self.notices.top = Some(Notice::Settled { check, undone });
    }

    /// Keeps what was just settled.
    pub(super) fn keep_settled<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>) {
        let Some((check, on)) = self.lead.settle_due.take() else { return };
        let Some(ledger) = ledger.as_deref_mut() else { return };
        let spool = self.setup.spool.as_ref().map(|spool| spool.id.as_str());
        let of = match (scope(check, &self.setup), spool) {
            (Scope::Spool, Some(spool)) => ledger::SettledFor::Spool(spool),
            (Scope::Spool | Scope::Machine, _) => ledger::SettledFor::Machine,
        };
        self.notices.flash(ledger.settle(check, of, on));
    }

    /// What the ledger keeps as settled for this machine and its spool. Their days are not kept.
    pub(super) fn recall_settled<S: NorFlash>(&mut self, ledger: &mut Ledger<S>) {
        let tag = self.setup.machine.tag.clone();
        let id = self.setup.spool.as_ref().map(|spool| spool.id.clone());
        let places = [
            Some((ledger::SettledFor::Machine, Scope::Machine, tag)),
            id.as_ref().map(|id| (ledger::SettledFor::Spool(id), Scope::Spool, id.clone())),
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
}

/// Points about the spool are settled for the spool, all others for the machine.
fn scope(check: u8, setup: &Setup) -> Scope {
    if is_about_spool(check) && setup.spool.is_some() { Scope::Spool } else { Scope::Machine }
}
