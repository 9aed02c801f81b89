//! What the phases ask for after the release, and before it: rows, events, balance, what is learned and kept.
//!
//! Kept first, then written to the card, then shown: whoever runs the core draws after [`App::step`].

use embedded_storage::nor_flash::NorFlash;

use crate::checks::PlateAnswer;
use crate::daybook::{EVENT_BYTES, EVENTS_FILE, Event, HEADER, REFUSED, ROW_BYTES, ROWS_FILE, What};
use crate::heat::MilliCelsius;
use crate::ledger::Ledger;
use crate::media::{JobFiles, MediaFault};
use crate::phase::{Action, Answer, Beep, Hand, InCharge, Outcome, Phase, Question, Row, Seen, Shown, Stage};
use crate::records::OwnerCode;
use crate::time::WallClock;
use crate::units::Milligrams;

use super::device::App;
use super::keeping::{Logged, stored};
use super::notice::Notice;
use super::plan::{self, stickers};
use super::vetting::Depth;
use super::{Now, Opens};

/// The version that stands in each row.
const FIRMWARE: &str = env!("CARGO_PKG_VERSION");

impl App {
    /// Does at once what needs neither card nor ledger; what needs them waits for [`App::step`].
    pub(super) fn act(&mut self, now: Now, action: Action) {
        match action {
            Action::Redraw | Action::Refused | Action::Gate(_) => {}
            Action::ListCard => {
                self.forget();
                self.begin_listing = true;
            }
            Action::ForgetCard => self.forget(),
            Action::ShowJob(rank) => {
                self.shelf.want(rank);
                self.vetting.stop();
            }
            Action::Vet(rank) => {
                self.shelf.want(rank);
                self.vetting.stop();
                self.offered = Opens::Nothing;
                self.setup.known.told = Default::default();
                if let Some(entry) = self.shelf.entry(rank) {
                    self.vetting.start(entry, Depth::Whole);
                }
            }
            Action::CheckSeal => {
                self.checks_seal = true;
                self.vetting.again();
            }
            Action::Beep(beep) => self.sound(now, beep),
            Action::Answered(question, answer) => {
                self.told(now, question, answer);
                self.put_off(action);
            }
            Action::Desk => self.desk_held(now),
            Action::Row(_)
            | Action::Persist
            | Action::ForgetRun
            | Action::Deduct(_)
            | Action::Learn(_)
            | Action::OutOfUse(_) => {
                self.put_off(action);
            }
        }
    }

    /// There is room: the phases hold back more than they can ask for at once, and each step empties the list.
    fn put_off(&mut self, action: Action) {
        let _ = self.due.push_back(action);
    }

    /// A sound, unless the room is shut: then there is light only. Nobody who is asleep is to be woken by a plate.
    pub(super) fn sound(&mut self, now: Now, beep: Beep) {
        let muted = now.wall.is_some_and(|wall| {
            matches!(crate::checks::opening(&self.setup.room, wall), crate::checks::Opening::Shut(_))
        });
        if !muted {
            self.sounds = Some(beep);
        }
    }

    /// What a person answered is a fact for the checks, and the job at hand is judged by it.
    fn told(&mut self, now: Now, question: Question, answer: Answer) {
        self.judge_again |= matches!(question, Question::Hand(_));
        let told = &mut self.setup.known.told;
        match (question, answer) {
            (_, Answer::Sticker(at)) => {
                let list = stickers(&self.setup, self.vetting.report().facts.grade);
                self.setup.known.told.sticker = list.get(usize::from(at)).copied();
            }
            (Question::Hand(hand), Answer::Seen(seen)) => match hand {
                Hand::OuterTurn => told.spool_free = Some(seen == Seen::TurnsFreely),
                Hand::Plate => {
                    told.plate = Some(match seen {
                        Seen::Bare => PlateAnswer::Bare,
                        Seen::NoPlate => PlateAnswer::Missing,
                        _ => PlateAnswer::Occupied,
                    });
                }
                Hand::Pins => told.pins = Some(seen == Seen::TwoPins),
                Hand::PurgeArea => told.purge_gone = Some(seen == Seen::PurgeClear),
                Hand::Film => told.release_film = Some(seen == Seen::FilmOn),
                Hand::Vent => told.vent_on = Some(seen == Seen::VentOn),
                Hand::DoorShut | Hand::DoorOpen => told.door_shut = Some(seen == Seen::DoorShut),
                Hand::Clean => {
                    if seen == Seen::Clean {
                        self.washed(now);
                    }
                }
                Hand::Sticker | Hand::Nozzle | Hand::Face | Hand::Around => {}
            },
            (Question::Shown, Answer::Shown(Shown::OtherJob)) => {
                told.same_job = Some(false);
                // After a power cut the vetted job is no longer here.
                if self.vetting.is_done() {
                    self.vetting.judge(&self.setup, now);
                    self.row.set_verdict(&self.vetting.report().findings);
                }
            }
            _ => {}
        }
    }

    /// Does what was put off: first what must not be lost, then the card's lines.
    pub(super) fn do_due<F: JobFiles, S: NorFlash>(
        &mut self,
        now: Now,
        card: &mut Option<&mut F>,
        ledger: &mut Option<&mut Ledger<S>>,
    ) {
        self.keep_settled(ledger);
        self.keep_clock(now, ledger);
        while let Some(action) = self.due.pop_front() {
            match action {
                Action::Row(row) => {
                    self.fill_row(now, row, ledger);
                    let rec = i32::try_from(self.memory.run).unwrap_or(i32::MAX);
                    self.note(now, ledger, Logged::Row, [row as i32, rec]);
                }
                Action::Persist => self.save(now, ledger),
                Action::ForgetRun => {
                    self.save(now, ledger);
                    self.warmth.begin_job();
                }
                Action::Deduct(mg) => self.deduct(ledger, Milligrams(mg.into())),
                Action::Learn(ratio) => self.learn_time(ledger, ratio),
                Action::OutOfUse(why) => self.keep_use(now, ledger, why),
                Action::Answered(question, answer) => {
                    if (question, answer) == (Question::Hand(Hand::Clean), Answer::Seen(Seen::Clean)) {
                        self.keep_wash(ledger);
                    }
                    // Of a person the code, as the number that it is kept as.
                    let code = self.told_code(answer).and_then(|code| u32::from(code).try_into().ok());
                    let answered = code.unwrap_or(stored(&answer));
                    self.note(now, ledger, Logged::Answer, [stored(&question), answered]);
                    let (question, answer) = (question.name(), self.answer_word(answer));
                    self.log(now, card, &What::Told { question, answer: &answer });
                }
                Action::Redraw
                | Action::Refused
                | Action::ListCard
                | Action::ForgetCard
                | Action::ShowJob(_)
                | Action::Vet(_)
                | Action::CheckSeal
                | Action::Beep(_)
                | Action::Gate(_)
                | Action::Desk => {}
            }
        }
        if card.is_some()
            && let Some((wall, why)) = self.use_told.take()
        {
            // Said while no card was in.
            let (question, answer) = (Question::Use.name(), Answer::Use(why).name());
            self.log(Now { wall, ..now }, card, &What::Told { question, answer });
        }
        if self.gate_open != self.phase.gate() {
            self.gate_open = self.phase.gate();
            let open = self.gate_open == crate::phase::Gate::Open;
            self.note(now, ledger, Logged::Gate, [open.into(), 0]);
            self.log(now, card, &What::Gate { open, by: None });
        }
        self.write_row(now, card, ledger);
        self.write_stage(now, card, ledger);
    }

    /// Fills the row of a start, its end, or a job that was not let through.
    fn fill_row<S: NorFlash>(&mut self, now: Now, which: Row, ledger: &mut Option<&mut Ledger<S>>) {
        match which {
            Row::Start | Row::Refusal => {
                self.keep_waiting();
                self.memory.run = self.number(ledger);
                self.row = crate::daybook::Row { rec: self.memory.run, ..self.job_row(now) };
                if which == Row::Refusal {
                    self.row.result = REFUSED;
                } else {
                    self.keep_owner(ledger);
                    self.keep_start(ledger);
                    self.keep_picture(ledger);
                    self.warmth.begin_job();
                    (self.touch_from, self.side) = (None, 0);
                    self.setup.known.started_on = now.wall.map(|wall| wall.date());
                }
            }
            Row::CloseOut => self.close_row(now, ledger),
        }
        self.row_due = true;
    }

    /// A close-out that no card has taken yet makes room for the next row.
    fn keep_waiting(&mut self) {
        if !self.row_due || self.row.result.is_empty() {
            return;
        }
        if self.waiting.is_full() {
            let _ = self.waiting.remove(0);
        }
        let _ = self.waiting.push(self.row.clone());
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
        let seal = self.vetting.survey().map(|survey| survey.reading.body_crc32);
        row.set_job(&entry.name, Some(entry.size_bytes), seal);
        row.height_um = self.vetting.survey().and_then(|survey| u32::try_from(survey.layers.top_um).ok());
        if let Some(spool) = &setup.spool {
            let told = setup.known.told.sticker.map(|grade| grade.mark());
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
        let row = &mut self.row;
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
        row.plate_max_dc = self.warmth.highest_dc();
        row.touch_from = self.touch_from;
        row.closed_out = true;
        let price = self.setup.spool.as_ref().and_then(|spool| spool.price_cent_per_kg);
        row.cost_cent = price.and_then(|price| cost_cent(price, last.used_mg));
        self.remember(now, &last, ledger);
    }

    /// Appends the row that is due to the card, once it is there and takes it.
    fn write_row<F: JobFiles, S: NorFlash>(
        &mut self,
        now: Now,
        card: &mut Option<&mut F>,
        ledger: &mut Option<&mut Ledger<S>>,
    ) {
        let Some(card) = card else { return };
        if !self.row_due || self.card_refuses {
            return;
        }
        let mut buffer = [0; ROW_BYTES];
        let row = self.waiting.first().unwrap_or(&self.row);
        match card.append_record(ROWS_FILE, HEADER.as_bytes(), row.write(&mut buffer)) {
            Ok(()) if self.waiting.is_empty() => self.row_due = false,
            // One a call: the next one comes with the next step.
            Ok(()) => drop(self.waiting.remove(0)),
            Err(error) => {
                // The row waits for the next card; what it says is kept in the device already.
                self.card_refuses = true;
                if !matches!(error.fault, MediaFault::NoCard | MediaFault::Gone) {
                    self.notice = Some(Notice::DayBook(error.fault));
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
        if self.events_refused {
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
            self.events_refused = true;
        }
    }

    /// The stable word of an answer for the events' file: a sticker's mark, or the answer's own code.
    fn answer_word(&self, answer: Answer) -> heapless::String<40> {
        let mut word = heapless::String::new();
        let text = match answer {
            Answer::Sticker(at) => {
                let list = stickers(&self.setup, self.vetting.report().facts.grade);
                let mark = list.get(usize::from(at)).map(|grade| grade.mark());
                // A mark is shorter than a word's room.
                let _ = word.push_str(mark.as_deref().unwrap_or_default());
                return word;
            }
            Answer::Owner | Answer::InCharge => {
                let code = self.told_code(answer);
                let _ = word.push_str(code.as_ref().map_or("", OwnerCode::as_str));
                return word;
            }
            other => other.name(),
        };
        let _ = word.push_str(text);
        word
    }

    /// The code that was told last, where the answer is a person.
    fn told_code(&self, answer: Answer) -> Option<OwnerCode> {
        match answer {
            Answer::Owner => self.phase.owner(),
            Answer::InCharge => match self.phase.in_charge() {
                Some(InCharge::Person(code)) => Some(code),
                Some(InCharge::Nobody) | None => None,
            },
            _ => None,
        }
    }

    /// Notes when the plate came below what may be touched.
    pub(super) fn note_touch(&mut self, now: Now) {
        if !matches!(self.phase.phase(), Phase::Released(Stage::CoolDown | Stage::Plate | Stage::CloseOut)) {
            return;
        }
        let limit = MilliCelsius(i32::from(self.phase.plan().touch_c) * 1000);
        let (plate, measured) = self.warmth.plate();
        if self.touch_from.is_none() && measured && plate <= limit {
            self.touch_from = now.wall;
        }
    }

    /// The phases are offered what the vetting has come to.
    pub(super) fn offer(&mut self, now: Now) {
        let known = (self.memory.learned(), self.memory.owners.as_slice());
        let offer = plan::offer(&self.vetting, &self.setup, known, now);
        let action = self.phase.offer(now.instant, &offer);
        self.take(now, action);
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
