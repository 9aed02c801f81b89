//! What the phases ask for after the release, and before it: rows, events, balance, what is learned and kept.
//!
//! Kept first, then written to the card, then shown: whoever runs the core draws after [`App::step`].

use embedded_storage::nor_flash::NorFlash;

use crate::checks::PlateAnswer;
use crate::daybook::What;
use crate::heat::MilliCelsius;
use crate::ledger::Ledger;
use crate::media::JobFiles;
use crate::phase::{Action, Answer, Beep, Hand, InCharge, Phase, Question, Seen, Shown, Stage};
use crate::records::OwnerCode;
use crate::units::Milligrams;

use super::device::App;
use super::device::Opens;
use super::plan::stickers;
use super::setup::Now;
use super::store::{Logged, stored};
use super::vetting::Depth;

impl App {
    /// Does at once what needs neither card nor ledger; what needs them waits for [`App::step`].
    pub(super) fn act(&mut self, now: Now, action: Action) {
        match action {
            Action::Redraw | Action::Refused | Action::Gate(_) => {}
            Action::ListCard => {
                self.forget();
                self.jobs.begin_listing = true;
            }
            Action::ForgetCard => self.forget(),
            Action::ShowJob(rank) => {
                self.jobs.want(rank);
                self.vetting.stop();
            }
            Action::Vet(rank) => {
                self.jobs.want(rank);
                self.vetting.stop();
                self.chosen.offered = Opens::Nothing;
                self.setup.known.answers = Default::default();
                if let Some(entry) = self.jobs.entry(rank) {
                    self.vetting.start(entry, Depth::Whole);
                }
            }
            Action::CheckSeal => {
                self.chosen.compares_file = true;
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

    fn forget(&mut self) {
        self.jobs.forget();
        self.vetting.stop();
        self.chosen.offered = Opens::Nothing;
        self.chosen.compares_file = false;
        self.fault = None;
        self.setup.known.answers = Default::default();
        self.setup.known.changed_since_verdict = false;
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
            self.panel.sound = Some(beep);
        }
    }

    /// What a person answered is a fact for the checks, and the job at hand is judged by it.
    fn told(&mut self, now: Now, question: Question, answer: Answer) {
        self.chosen.judge_again |= matches!(question, Question::Hand(_));
        let told = &mut self.setup.known.answers;
        match (question, answer) {
            (_, Answer::Sticker(at)) => {
                let list = stickers(&self.setup, self.vetting.report().facts.grade);
                self.setup.known.answers.sticker = list.get(usize::from(at)).copied();
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
                    self.daybook.row.set_verdict(&self.vetting.report().findings);
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
        self.keep_losses(now, card, ledger);
        while let Some(action) = self.due.pop_front() {
            match action {
                Action::Row(row) => {
                    self.fill_row(now, row, ledger);
                    let rec = i32::try_from(self.memory.run).unwrap_or(i32::MAX);
                    self.note(now, ledger, Logged::Row, [row as i32, rec]);
                    if row == crate::phase::RowKind::Refusal {
                        // No run is begun that would be kept with its row, and the card is in somebody's hand.
                        self.save(now, ledger);
                    }
                }
                Action::Persist => self.save(now, ledger),
                Action::ForgetRun => {
                    self.save(now, ledger);
                    self.thermal.begin_job();
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
            && let Some((wall, why)) = self.lead.use_told.take()
        {
            // Said while no card was in.
            let (question, answer) = (Question::Use.name(), Answer::Use(why).name());
            self.log(Now { wall, ..now }, card, &What::Told { question, answer });
        }
        if self.panel.gate != self.phase.gate() {
            self.panel.gate = self.phase.gate();
            let open = self.panel.gate == crate::phase::Gate::Open;
            self.note(now, ledger, Logged::Gate, [open.into(), 0]);
            self.log(now, card, &What::Gate { open, by: None });
        }
        self.write_row(now, card, ledger);
        self.write_stage(now, card, ledger);
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
        let (plate, measured) = self.thermal.plate();
        if self.daybook.touch_from.is_none() && measured && plate <= limit {
            self.daybook.touch_from = now.wall;
        }
    }
}
