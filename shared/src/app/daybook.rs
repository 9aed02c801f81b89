//! The day book's rows and events: what is known of a run, on its way to the card.

use embedded_storage::nor_flash::NorFlash;

use crate::daybook::{EVENT_BYTES, EVENTS_FILE, Event, HEADER, REFUSED, ROW_BYTES, ROWS_FILE, What};
use crate::heat::Span;
use crate::ledger::Ledger;
use crate::media::{JobFiles, MediaFault};
use crate::phase::{Outcome, RowKind};
use crate::time::WallClock;
use crate::units::Milligrams;

use super::device::App;
use super::notice::Notice;
use super::setup::Now;
use super::stages_left::{PROBE_WORDS, StageLeft, word};

/// The version that stands in each row.
const FIRMWARE: &str = env!("CARGO_PKG_VERSION");

impl App {
    /// Fills the row of a start, its end, or a job that was not let through.
    pub(super) fn fill_row<S: NorFlash>(
        &mut self,
        now: Now,
        which: RowKind,
        ledger: &mut Option<&mut Ledger<S>>,
    ) {
        match which {
            RowKind::Start | RowKind::Refusal => {
                self.keep_waiting(ledger);
                self.memory.run = self.number(ledger);
                self.daybook.row = crate::daybook::Row { rec: self.memory.run, ..self.job_row(now) };
                if which == RowKind::Refusal {
                    self.daybook.row.result = REFUSED;
                } else {
                    self.keep_owner(ledger);
                    self.keep_start(ledger);
                    self.keep_picture(ledger);
                    self.thermal.begin_job();
                    (self.daybook.touch_from, self.panel.side) = (None, 0);
                    self.setup.known.started_on = now.wall.map(|wall| wall.date());
                }
            }
            RowKind::CloseOut => self.close_row(now, ledger),
        }
        self.daybook.row_due = true;
    }

    /// A close-out that no card has taken yet makes room for the next row.
    fn keep_waiting<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>) {
        if !self.daybook.row_due || self.daybook.row.result.is_empty() {
            return;
        }
        if self.daybook.waiting.is_full() {
            self.keep_oldest(ledger);
            let _ = self.daybook.waiting.remove(0);
        }
        let _ = self.daybook.waiting.push(self.daybook.row.clone());
    }

    /// What is known of the job at its release.
    fn job_row(&self, now: Now) -> crate::daybook::Row {
        let (report, setup) = (self.vetting.report(), &self.setup);
        let mut row = crate::daybook::Row {
            utc_offset_min: setup.room.utc_offset_min,
            started: now.wall,
            end_from: report.outlook.end.map(|(from, _)| from),
            end_to: report.outlook.end.map(|(_, to)| to),
            bore_um: Some(setup.machine.bore_um),
            layer_um: report.facts.layer_um.as_ref().map(|layer| layer.value),
            estimated_s: report.facts.time.as_ref().map(|time| time.value.0),
            estimated: report.outlook.need,
            left: setup.spool.as_ref().and_then(|spool| spool.left),
            left_error: report.outlook.left_error,
            watch_asked_s: Some(self.phase.plan().watch.stay_s.into()),
            owner: self.phase.owner(),
            settings_crc: self.settings_sum(),
            firmware: FIRMWARE,
            ..crate::daybook::Row::default()
        };
        row.set_machine(&setup.machine.tag);
        let entry = self.vetting.entry();
        let body_crc = self.vetting.survey().map(|survey| survey.reading.body_crc32);
        row.set_job(&entry.name, Some(entry.size_bytes), body_crc);
        row.height_um = self.vetting.survey().and_then(|survey| u32::try_from(survey.layers.top_um).ok());
        if let Some(spool) = &setup.spool {
            let told = setup.known.answers.sticker.map(|grade| grade.mark());
            row.set_spool(
                &spool.id,
                told.as_deref().unwrap_or(&spool.material),
                spool.colour.as_deref().unwrap_or_default(),
            );
        }
        row.set_verdict(&report.findings);
        if self.phase.phase().is_released()
            && let Some((from, to)) = self.phase.run_view(now.instant).end_s
        {
            // What is forecast now, rather than when the job was vetted.
            (row.end_from, row.end_to) = (ahead(now.wall, from), ahead(now.wall, to));
        }
        row.overrides = u8::from(report.verdict == crate::checks::Verdict::Hold && self.phase.was_keyed());
        row
    }

    /// How it ended, what it used and what that cost.
    fn close_row<S: NorFlash>(&mut self, now: Now, ledger: &mut Option<&mut Ledger<S>>) {
        let Some(last) = self.phase.last().copied() else { return };
        let used = Milligrams(last.used_mg.into());
        let row = &mut self.daybook.row;
        let ago = |seconds: u32| back(now.wall, seconds);
        row.started = last.started_ago_s.map_or(row.started, ago);
        row.ended = ago(last.ended_ago_s);
        row.result = last.outcome.code();
        row.reason = last.reason.map_or("", |reason| reason.code());
        row.actual_s = Some(last.actual_s);
        row.booked = Some(used);
        row.wasted = matches!(last.outcome, Outcome::Failed | Outcome::Stopped).then_some(used);
        row.left = row.left.map(|left| left.saturating_sub(used));
        row.watch_done_s = Some(last.watch_done_s);
        row.plate_max_dc = self.thermal.highest_dc();
        row.touch_from = self.daybook.touch_from;
        row.closed_out = true;
        let price = self.setup.spool.as_ref().and_then(|spool| spool.price_cent_per_kg);
        row.cost_cent = price.and_then(|price| cost_cent(price, last.used_mg));
        self.remember(now, &last, ledger);
    }

    /// Appends the row that is due to the card, once it is there and takes it.
    pub(super) fn write_row<F: JobFiles, S: NorFlash>(
        &mut self,
        now: Now,
        card: &mut Option<&mut F>,
        ledger: &mut Option<&mut Ledger<S>>,
    ) {
        let Some(card) = card else { return };
        if self.daybook.card_refuses || !(self.daybook.row_due || self.daybook.rows_kept) {
            return;
        }
        let mut buffer = [0; ROW_BYTES];
        let kept = self.kept_row(ledger);
        if kept.is_none() && !self.daybook.row_due {
            return;
        }
        let row = kept.as_ref().or(self.daybook.waiting.first()).unwrap_or(&self.daybook.row);
        match card.append_record(ROWS_FILE, HEADER.as_bytes(), row.write(&mut buffer)) {
            Ok(()) if kept.is_some() => {
                let number = row.rec;
                return self.row_is_written(number, ledger);
            }
            Ok(()) if self.daybook.waiting.is_empty() => self.daybook.row_due = false,
            // One a call: the next one comes with the next step.
            Ok(()) => drop(self.daybook.waiting.remove(0)),
            Err(error) => {
                // The row waits for the next card; what it says is kept in the device already.
                self.daybook.card_refuses = true;
                if !matches!(error.fault, MediaFault::NoCard | MediaFault::Gone) {
                    self.notices.top = Some(Notice::DayBook(error.fault));
                }
            }
        }
        self.save(now, ledger);
    }

    /// A line of the events' file: on the card that is in, if it takes it. The rows are what counts; nobody is held up
    /// for an event.
    pub(super) fn log<F: JobFiles>(&mut self, now: Now, card: &mut Option<&mut F>, what: &What<'_>) {
        let rec = self.phase.phase().is_released().then_some(self.memory.run);
        self.append_event(now.wall, rec, card, what);
    }

    /// The same, of another time.
    pub(super) fn append_event<F: JobFiles>(
        &mut self,
        at: Option<WallClock>,
        rec: Option<u32>,
        card: &mut Option<&mut F>,
        what: &What<'_>,
    ) {
        let Some(card) = card else { return };
        if self.daybook.events_refused {
            return;
        }
        let event = Event {
            at,
            utc_offset_min: self.setup.room.utc_offset_min,
            machine: &self.setup.machine.tag,
            rec,
            what: *what,
        };
        let mut buffer = [0; EVENT_BYTES];
        if card.append_record(EVENTS_FILE, &[], event.write(&mut buffer)).is_err() {
            self.daybook.events_refused = true;
        }
    }

    /// To be called whenever the phases may have gone on: what the probes read in the stage that was left waits for a
    /// card from now on.
    pub(super) fn follow_stage(&mut self, now: Now) {
        let stage = self.phase.phase().stage();
        if stage == self.daybook.read_in {
            return;
        }
        let left = core::mem::replace(&mut self.daybook.read_in, stage);
        let spans = core::mem::take(&mut self.thermal.extremes.stage);
        let Some(stage) = left.filter(|stage| word(*stage).is_some()) else { return };
        if spans.iter().all(Option::is_none) {
            return;
        }
        if self.daybook.stages_left.is_full() {
            let _ = self.daybook.stages_left.remove(0);
        }
        let _ = self.daybook.stages_left.push(StageLeft { run: self.memory.run, stage, at: now.wall, spans });
    }

    /// Appends one line of a stage that was left to the card that is in, if it takes it.
    pub(super) fn write_stage<F: JobFiles, S: NorFlash>(
        &mut self,
        now: Now,
        card: &mut Option<&mut F>,
        ledger: &mut Option<&mut Ledger<S>>,
    ) {
        if self.daybook.events_refused || card.is_none() {
            return;
        }
        let Some(StageLeft { run, stage, at, spans }) = self.daybook.stages_left.first().cloned() else {
            return;
        };
        let next = spans
            .iter()
            .zip(PROBE_WORDS)
            .enumerate()
            .find_map(|(place, (span, probe))| Some((place, (*span)?, probe)));
        if let (Some((place, Span { least_dc, most_dc }, probe)), Some(phase)) = (next, word(stage)) {
            let what = What::Probe { phase, probe, least_dc: Some(least_dc), most_dc: Some(most_dc) };
            self.append_event(at, Some(run), card, &what);
            let written = self.daybook.stages_left.first_mut().and_then(|left| left.spans.get_mut(place));
            if let Some(written) = written.filter(|_| !self.daybook.events_refused) {
                *written = None;
            }
        }
        if self.daybook.stages_left.first().is_some_and(|left| left.spans.iter().all(Option::is_none)) {
            let _ = self.daybook.stages_left.remove(0);
        }
        if self.daybook.stages_left.is_empty() {
            // After a power cut before this the run's lines stand twice, with the same time.
            self.save(now, ledger);
        }
    }
}

/// `seconds` from now; `None` without a clock.
fn ahead(wall: Option<WallClock>, seconds: u32) -> Option<WallClock> {
    wall?.checked_add_signed(chrono::TimeDelta::seconds(seconds.into()))
}

/// `seconds` before now; `None` without a clock.
fn back(wall: Option<WallClock>, seconds: u32) -> Option<WallClock> {
    wall?.checked_sub_signed(chrono::TimeDelta::seconds(seconds.into()))
}

/// Filament's cost, hundredths, to the nearest.
fn cost_cent(price_cent_per_kg: u32, used_mg: u32) -> Option<u32> {
    let cost = (u64::from(price_cent_per_kg) * u64::from(used_mg) + 500_000) / 1_000_000;
    u32::try_from(cost).ok()
}
