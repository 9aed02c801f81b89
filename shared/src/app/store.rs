//! What is kept in the device's own flash: the run, the balances, what was learned, how the last run ended.

use chrono::NaiveDate;
use embedded_storage::nor_flash::NorFlash;
use heapless::Vec;
use serde::Serialize;

use crate::ledger::{Ledger, LoggedEvent};
use crate::limits::{LEDGER_VALUE_BYTES, RUN_STATE_BYTES, up_to};
use crate::phase::{CODES, CloseOut, FailReason, LEARNED_RUNS, Outcome};
use crate::records::{Filler, Grade};
use crate::time::WallClock;
use crate::units::Milligrams;

use super::device::App;
use super::kept::{Kept, KeptRow};
use super::memory::{day_2000, since_2000_s};
use super::setup::Now;

/// Where the ratios of true to estimated time stand among the ledger's learned values.
pub(super) const TIME_KEY: u8 = 0;

/// What was learned of plate and hot end, the same.
pub(super) const HEAT_KEY: u8 = 1;

/// The codes of owners who used this machine last, the same.
pub(super) const OWNERS_KEY: u8 = 2;

/// The number of the last run that was started, the same: one that was never closed out is known by it.
pub(super) const START_KEY: u8 = 3;

/// The day of the plate's last wash in days since 2000, the same.
pub(super) const WASH_KEY: u8 = 4;

/// An hour of abrasive filament wears the nozzle like so many of a plain one (judgement of the room's lead, row 72).
const ABRASIVE: u32 = 10;

/// No clock that is right says anything before this version was written.
pub(super) fn written() -> Option<WallClock> {
    NaiveDate::from_ymd_opt(2026, 11, 1)?.and_hms_opt(0, 0, 0)
}

/// What is logged among the ledger's last events; 1 is a fault of the board itself, logged by its firmware.
#[derive(Clone, Copy, Debug)]
pub(super) enum Logged {
    /// An answer: question and answer, each as it is kept; of a person the code's own number.
    Answer = 2,
    /// A row of the day book: which, and its record number.
    Row = 3,
    /// The gate: open or shut.
    Gate = 4,
    /// The wall clock was set.
    Clock = 5,
}

/// A value of the phases as it is kept, its first byte lowest: their order is stored, so that the number stays.
pub(super) fn stored(value: &impl Serialize) -> i32 {
    let mut bytes = [0; 4];
    // Of what is logged none takes more.
    let _ = postcard::to_slice(value, &mut bytes);
    i32::from_le_bytes(bytes)
}

impl App {
    /// The ledger's balance stands for the ticket's, unless the ticket was written anew: then it was weighed.
    pub(super) fn balance<S: NorFlash>(&mut self, ledger: &mut Ledger<S>) {
        let Some(spool) = &mut self.setup.spool else { return };
        let Some(kept) = self.notices.flash(ledger.balance(&spool.id)) else { return };
        let Some(left) = spool.left else { return };
        let error = spool.left_error.unwrap_or_default();
        match kept {
            // What it held when it was weighed is what is left and what was used since.
            Some(kept)
                if Milligrams(kept.left.0.saturating_add(kept.used.0)) == left && kept.error == error =>
            {
                spool.left = Some(kept.left);
                self.setup.known.history.used_since_weighing = Some(kept.used);
            }
            Some(_) | None => {
                self.notices.flash(ledger.weigh(&spool.id, left, error));
                self.setup.known.history.used_since_weighing = Some(Milligrams(0));
            }
        }
    }

    /// Takes what a run used off the balance: in the ledger once, however often it is asked.
    pub(super) fn deduct<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>, used: Milligrams) {
        let Some(spool) = &mut self.setup.spool else { return };
        if let Some(ledger) = ledger.as_deref_mut() {
            let deducted = self.notices.flash(ledger.deduct(&spool.id, self.memory.run, used));
            // Taken off before the power was cut: `balance` has read it.
            if deducted == Some(false) {
                return;
            }
        }
        spool.left = spool.left.map(|left| left.saturating_sub(used));
        let since = &mut self.setup.known.history.used_since_weighing;
        *since = Some(Milligrams(since.unwrap_or_default().0.saturating_add(used.0)));
    }

    /// Learns how long jobs really take here.
    pub(super) fn learn_time<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>, ratio: u16) {
        let ratios = &mut self.memory.ratios;
        if ratios.is_full() {
            let _ = ratios.remove(0);
        }
        let _ = ratios.push(ratio);
        let bytes: Vec<u8, { 2 * LEARNED_RUNS }> = up_to(ratios.iter().flat_map(|ratio| ratio.to_le_bytes()));
        if let Some(ledger) = ledger.as_deref_mut() {
            self.notices.flash(ledger.learn(TIME_KEY, &bytes));
        }
    }

    /// Keeps the code of whoever starts something, the newest first and each once.
    pub(super) fn keep_owner<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>) {
        let (Some(owner), Some(ledger)) = (self.daybook.row.owner, ledger.as_deref_mut()) else { return };
        let owners = &mut self.memory.owners;
        if owners.first() == Some(&owner) {
            return;
        }
        owners.retain(|other| *other != owner);
        owners.truncate(CODES - 1);
        let _ = owners.insert(0, owner);
        let mut bytes = [0; 4 * CODES];
        // A count, and at most three bytes each.
        let learned =
            postcard::to_slice(owners, &mut bytes).is_ok_and(|bytes| ledger.learn(OWNERS_KEY, bytes).is_ok());
        if !learned {
            self.notices.flash_failed();
        }
    }

    /// Logs an event; the oldest of them makes room.
    pub(super) fn note<S: NorFlash>(
        &mut self,
        now: Now,
        ledger: &mut Option<&mut Ledger<S>>,
        what: Logged,
        numbers: [i32; 2],
    ) {
        let Some(ledger) = ledger.as_deref_mut() else { return };
        // A clock that is wrong says nothing.
        let history = &mut self.setup.known.history;
        let wall = now.wall.filter(|wall| history.no_earlier_than.is_none_or(|past| *wall >= past));
        history.no_earlier_than = history.no_earlier_than.max(wall);
        let event = LoggedEvent { code: what as u16, numbers, time_s: since_2000_s(wall) };
        self.notices.flash(ledger.log(event));
    }

    /// Somebody set the clock: from now on it may say anything since this version was written.
    pub(super) fn clock_set(&mut self) {
        self.setup.known.history.no_earlier_than = written();
        self.memory.clock_due = true;
    }

    /// Logs that the clock was set, so that the newest event has the right time.
    pub(super) fn keep_clock<S: NorFlash>(&mut self, now: Now, ledger: &mut Option<&mut Ledger<S>>) {
        if core::mem::take(&mut self.memory.clock_due) {
            self.note(now, ledger, Logged::Clock, [0, 0]);
        }
    }

    /// The plate was washed.
    pub(super) fn washed(&mut self, now: Now) {
        self.memory.starts_since_wash = 0;
        self.setup.known.history.starts_since_wash = Some(0);
        self.setup.known.washed_on = now.wall.map(|wall| wall.date());
    }

    /// Keeps the day of the wash.
    pub(super) fn keep_wash<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>) {
        let (Some(day), Some(first)) = (self.setup.known.washed_on, day_2000()) else { return };
        let days = u16::try_from(day.signed_duration_since(first).num_days()).unwrap_or(u16::MAX);
        if let Some(ledger) = ledger.as_deref_mut() {
            self.notices.flash(ledger.learn(WASH_KEY, &days.to_le_bytes()));
        }
    }

    /// Keeps that the run at hand was started.
    pub(super) fn keep_start<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>) {
        if let Some(ledger) = ledger.as_deref_mut() {
            self.notices.flash(ledger.learn(START_KEY, &self.memory.run.to_le_bytes()));
        }
    }

    /// The number of a new run: the ledger's, so that none is given twice.
    pub(super) fn number<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>) -> u32 {
        let next = self.memory.run.saturating_add(1);
        let kept = ledger.as_deref_mut().and_then(|ledger| self.notices.flash(ledger.begin_run()));
        kept.unwrap_or(next)
    }

    /// Keeps the run and its row.
    pub(super) fn save<S: NorFlash>(&mut self, now: Now, ledger: &mut Option<&mut Ledger<S>>) {
        let Some(ledger) = ledger.as_deref_mut() else { return };
        let run = self.phase.run_state(now.instant, now.wall);
        let kept = Kept {
            run,
            row: KeptRow::of(&self.daybook.row),
            row_due: self.daybook.row_due,
            waiting: up_to(self.daybook.waiting.iter().map(KeptRow::of)),
            stages_left: self.daybook.stages_left.clone(),
        };
        let mut bytes = [0; RUN_STATE_BYTES];
        let saved = match postcard::to_slice(&kept, &mut bytes) {
            Ok(bytes) => ledger.save_run(bytes).is_ok(),
            Err(_) => false,
        };
        if !saved {
            self.notices.flash_failed();
        }
    }

    /// How the run ended, for the next person.
    pub(super) fn remember<S: NorFlash>(
        &mut self,
        now: Now,
        last: &CloseOut,
        ledger: &mut Option<&mut Ledger<S>>,
    ) {
        let known = &mut self.setup.known;
        let failed = matches!(last.outcome, Outcome::Failed | Outcome::Stopped);
        let reason = last.reason.filter(|_| failed);
        let same = reason.is_some() && reason == known.last_failure;
        known.last_failure = reason;
        // Whoever closes out has answered for the spool as well, unless something went wrong with it.
        known.spool_answered = reason.is_none().then_some(now.instant);
        let history = &mut known.history;
        history.same_failures =
            if same { history.same_failures.saturating_add(1) } else { u8::from(reason.is_some()) };
        history.last_came_off = reason == Some(FailReason::CameOff);
        history.last_run_open = false;
        let grade = known.answers.sticker.or_else(|| Grade::parse(&self.daybook.row.grade));
        history.last_grade = grade;
        self.memory.starts_since_wash = self.memory.starts_since_wash.saturating_add(1);
        history.starts_since_wash = Some(self.memory.starts_since_wash.into());
        self.memory.last = Some(last.outcome);
        let learned = self.thermal.hand_over();
        let Some(ledger) = ledger.as_deref_mut() else { return };
        let mut bytes = [0; LEDGER_VALUE_BYTES];
        let heat =
            postcard::to_slice(&learned, &mut bytes).is_ok_and(|bytes| ledger.learn(HEAT_KEY, bytes).is_ok());
        let closed = ledger.machine().and_then(|mut state| {
            state.run = self.memory.run;
            state.result = last.outcome as u8;
            state.reason = reason.map_or(0, |reason| reason as u8);
            state.same_fault = history.same_failures;
            state.starts_since_wash = self.memory.starts_since_wash;
            let abrasive = grade.and_then(|grade| grade.filler).is_some_and(Filler::abrasive);
            let worn_s = if abrasive { last.actual_s.saturating_mul(ABRASIVE) } else { last.actual_s };
            state.nozzle_minutes = state.nozzle_minutes.saturating_add(worn_s / 60);
            self.memory.nozzle_minutes = state.nozzle_minutes;
            history.nozzle_hours = Some(state.nozzle_minutes / 60);
            let mark = grade.map(|grade| grade.mark()).unwrap_or_default();
            state.grade = heapless::String::try_from(mark.as_str()).unwrap_or_default();
            ledger.close_run(&state)
        });
        if closed.is_err() || !heat {
            self.notices.flash_failed();
        }
    }
}
