//! What the ledger kept, taken up again after power-up.

use chrono::Days;
use embedded_storage::nor_flash::NorFlash;

use crate::ledger::{Ledger, MachineState};
use crate::limits::{LEDGER_EVENTS, RUN_STATE_BYTES, up_to};
use crate::phase::{self, FailReason, Outcome, Phase, Stage};
use crate::records::Grade;
use crate::words::run::RunPage;

use super::device::App;
use super::kept::{Kept, KeptRow};
use super::memory::{after_2000, day_2000};
use super::notice::Notice;
use super::setup::Now;
use super::store::{HEAT_KEY, OWNERS_KEY, START_KEY, TIME_KEY, WASH_KEY, written};

impl App {
    /// Takes up what the ledger kept: to be called once after power-up, before any event. A run that was cut goes on.
    pub fn restore<S: NorFlash>(&mut self, now: Now, ledger: &mut Ledger<S>) {
        self.restore_run(now, ledger);
        self.tell_losses(ledger);
    }

    fn restore_run<S: NorFlash>(&mut self, now: Now, ledger: &mut Ledger<S>) {
        if let Ok(Some(bytes)) = ledger.learned(TIME_KEY) {
            // Pairs of bytes, least first.
            let ratios =
                bytes.chunks_exact(2).filter_map(|pair| Some(u16::from_le_bytes(pair.try_into().ok()?)));
            self.memory.ratios = up_to(ratios);
        }
        if let Ok(Some(bytes)) = ledger.learned(HEAT_KEY)
            && let Ok(learned) = postcard::from_bytes(bytes)
        {
            self.thermal.recall(learned);
        }
        if let Ok(Some(bytes)) = ledger.learned(WASH_KEY)
            && let Ok(days) = <[u8; 2]>::try_from(bytes)
        {
            self.setup.known.washed_on = day_2000()
                .and_then(|first| first.checked_add_days(Days::new(u16::from_le_bytes(days).into())));
        }
        let started = match ledger.learned(START_KEY) {
            Ok(Some(bytes)) => <[u8; 4]>::try_from(bytes).map_or(0, u32::from_le_bytes),
            Ok(None) | Err(_) => 0,
        };
        // The newest event that was logged with the clock set.
        let logged = (0..LEDGER_EVENTS).find_map(|ago| after_2000(ledger.event(ago).ok()??.time_s));
        self.setup.known.history.no_earlier_than = written().max(logged);
        if let Ok(Some(bytes)) = ledger.learned(OWNERS_KEY)
            && let Ok(owners) = postcard::from_bytes(bytes)
        {
            self.memory.owners = owners;
        }
        if let Some(state) = self.notices.flash(ledger.machine()) {
            self.recall(&state);
            // Unless it is resumed below.
            self.setup.known.history.last_run_open = started > state.run;
        }
        self.memory.run = ledger.run();
        if let Some(why) = self.recall_use(ledger) {
            self.tell(now, phase::Event::OutOfUse(Some(why)));
        }
        self.recall_records(ledger);
        self.records_changed(Some(ledger));
        let mut bytes = [0; RUN_STATE_BYTES];
        let length = self.notices.flash(ledger.saved_run(&mut bytes)).flatten();
        let kept = length.and_then(|length| postcard::from_bytes::<Kept>(bytes.get(..length)?).ok());
        let Some(kept) = kept else { return };
        self.daybook.row = kept.row.into_row();
        self.daybook.row_due = kept.row_due;
        self.daybook.waiting = up_to(kept.waiting.into_iter().map(KeptRow::into_row));
        // The power went after the ledger had taken it and before the run was saved.
        self.daybook.waiting.retain(|row| !ledger.has_row(row.rec).unwrap_or(false));
        self.daybook.stages_left = kept.stages_left;
        if let Some(state) = &kept.run {
            self.setup.known.history.last_run_open = false;
            let action = self.phase.resume(state, now.instant, now.wall);
            self.take(now, action);
            self.recall_picture(ledger);
            let targets = self.targets();
            self.thermal.start_hot(targets);
            if matches!(self.phase.phase(), Phase::Released(Stage::WarmUp | Stage::FirstLayer | Stage::Run)) {
                self.notices.top = Some(Notice::Due(RunPage::PowerBack));
            }
        }
    }

    fn recall(&mut self, state: &MachineState) {
        let known = &mut self.setup.known;
        self.memory.starts_since_wash = state.starts_since_wash;
        self.memory.nozzle_minutes = state.nozzle_minutes;
        if state.run == 0 {
            return;
        }
        self.memory.last = Outcome::ALL.get(usize::from(state.result)).copied();
        let failed = matches!(self.memory.last, Some(Outcome::Failed | Outcome::Stopped));
        let reason = FailReason::ALL.get(usize::from(state.reason)).copied().filter(|_| failed);
        known.last_failure = reason;
        let history = &mut known.history;
        history.last_grade = Grade::parse(&state.grade);
        history.last_came_off = reason == Some(FailReason::CameOff);
        history.same_failures = state.same_fault;
        history.starts_since_wash = Some(state.starts_since_wash.into());
        history.nozzle_hours = Some(state.nozzle_minutes / 60);
    }
}
