//! The device: events and time in, screens out.

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;
use embedded_storage::nor_flash::NorFlash;
use heapless::{Deque, Vec};

use crate::daybook;
use crate::heat::ProbeReading;
use crate::ledger::{Ledger, Losses};
use crate::limits::PAGE_ENTRIES;
use crate::media::{JobFiles, MediaError, MediaFault};
use crate::phase::{self, Action, Beep, Gate, OutOfUse, Phase};
use crate::screens::{self, ScreenModel};
use crate::time::WallClock;

use super::extremes;
use super::given_up;
use super::keeping::Memory;
use super::lead::Wanted;
use super::lost::{LOST_PARTS, LostPart};
use super::notice::Notice;
use super::records;
use super::shelf::Shelf;
use super::slip::FirstVerdict;
use super::vetting::{Depth, Vetting};
use super::view;
use super::warmth::{Probe, Warmth};
use super::{Now, Setup};

/// What happens to the device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Event {
    /// A card was put in and its volume is there to be read.
    CardInserted,
    /// The card was taken out.
    CardRemoved,
    /// A card is in, but no volume on it can be read.
    CardUnreadable(MediaError),
    /// The knob was turned, clockwise positive, in detents.
    Turn(i8),
    /// The knob was pressed and let go, briefly.
    Press,
    /// The knob went down and is kept down; never both this and [`Event::Press`] for one touch.
    Hold,
    /// The knob that was held came up.
    LetGo,
    /// A probe was read.
    Probe(Probe, ProbeReading),
    /// Somebody set the wall clock: what it said before no longer counts.
    ClockSet,
}

/// Whether a step left something to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Progress {
    /// Nothing to do until something happens.
    Idle,
    /// Call again soon: there is more to read.
    Working,
}

/// The device's core.
///
/// Call [`App::handle`] for every event, [`App::step`] whenever there is time, and [`App::draw`] to see it. All three
/// are bounded, so that buttons and a watchdog never starve.
///
/// After each step look at [`App::gate`] and [`App::take_sound`].
#[derive(Debug)]
pub struct App {
    // First here and last in `new`: it is made and copied at once, which the compiler then leaves out.
    /// The job that is being vetted: the next of the page, or the chosen one.
    pub(super) vetting: Vetting,
    pub(super) setup: Setup,
    pub(super) phase: phase::Machine,
    pub(super) shelf: Shelf,
    /// The card's listing is still to be begun: `handle` has no card in its hands.
    pub(super) begin_listing: bool,
    /// First verdicts of the page's entries, in their order.
    pub(super) first: Vec<FirstVerdict, PAGE_ENTRIES>,
    pub(super) fault: Option<MediaError>,
    /// How much of the vetting the phases were told.
    pub(super) offered: Opens,
    /// The file in the slot is compared with the vetted one.
    pub(super) checks_seal: bool,
    /// An answer changed what the checks go by.
    pub(super) judge_again: bool,
    pub(super) warmth: Warmth,
    pub(super) memory: Memory,
    /// What waits for card or ledger.
    pub(super) due: Deque<Action, DUE>,
    /// The day book's row of the run at hand, or of the last one.
    pub(super) row: daybook::Row,
    /// It is still to be written to a card.
    pub(super) row_due: bool,
    /// Close-outs before it that no card has taken yet.
    pub(super) waiting: Vec<daybook::Row, WAITING_ROWS>,
    /// Older ones wait in the ledger.
    pub(super) rows_kept: bool,
    /// What had to be given up.
    pub(super) given_up: given_up::State,
    /// The card in the slot took no row; asked once.
    pub(super) card_refuses: bool,
    /// It took no event.
    pub(super) events_refused: bool,
    pub(super) gate_open: Gate,
    pub(super) sounds: Option<Beep>,
    pub(super) notice: Option<Notice>,
    /// What the device's memory lost, the next to be read last; and what is read after it.
    pub(super) lost: Vec<LostPart, LOST_PARTS>,
    pub(super) after_lost: Option<Notice>,
    /// It is not in the day book's events yet.
    pub(super) loss_due: Losses,
    /// All of it was read, which the ledger is not told yet.
    pub(super) losses_read: bool,
    /// What the lead's key is being entered for.
    pub(super) desk: Option<Wanted>,
    pub(super) records: records::Files,
    /// A check that was settled, or no longer is, and is not kept yet.
    pub(super) settle_due: Option<(u8, bool)>,
    /// What a lead last said of the machine's use, and when: for the events of the next card.
    pub(super) use_told: Option<(Option<WallClock>, Option<OutOfUse>)>,
    /// The clock was set, and that is not logged yet.
    pub(super) clock_due: bool,
    /// The side that the run's screen is turned to, from 0.
    pub(super) side: u8,
    /// When the plate came below what may be touched.
    pub(super) touch_from: Option<WallClock>,
    /// The stage in which the probes are read at the moment.
    pub(super) read_in: Option<phase::Stage>,
    /// What the probes read in stages that were left, for a card.
    pub(super) stages_left: extremes::Waiting,
}

/// Close-outs that wait for a card, besides the newest: a first layer that was run again with its card in the printer. As
/// many as the flash keeps beside a run; older ones go to the ledger's own places ([`super::given_up`]).
pub(super) const WAITING_ROWS: usize = 1;

#[inline(never)]
fn blank_row() -> daybook::Row {
    daybook::Row::default()
}

/// Actions that wait for card or ledger: what two events ask for at most.
const DUE: usize = 24;

/// How far the vetting was when the phases were offered the job.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Opens {
    /// Not yet.
    #[default]
    Nothing,
    /// The walk-round: a first verdict stands.
    WalkRound,
    /// The release as well: all of it was read.
    Release,
}

impl App {
    /// A device with no card in.
    // Out of line, like all that it is made of: each part is made where it is to stand, and none on the stack. The compiler
    // sees that only as long as few fields are written here: else 24 KB would stand on the stack a second time.
    #[inline(never)]
    #[must_use]
    pub fn new(setup: Setup) -> Self {
        Self {
            warmth: Warmth::new(&setup.machine, &setup.room),
            setup,
            phase: phase::Machine::new(),
            shelf: Shelf::new(),
            begin_listing: false,
            first: Vec::new(),
            fault: None,
            offered: Opens::Nothing,
            checks_seal: false,
            judge_again: false,
            memory: Memory::default(),
            due: Deque::new(),
            row: blank_row(),
            row_due: false,
            waiting: Vec::new(),
            rows_kept: false,
            given_up: given_up::State::default(),
            card_refuses: false,
            events_refused: false,
            gate_open: Gate::Shut,
            sounds: None,
            notice: None,
            lost: Vec::new(),
            after_lost: None,
            loss_due: Losses::default(),
            losses_read: false,
            desk: None,
            records: records::Files::default(),
            settle_due: None,
            use_told: None,
            clock_due: false,
            side: 0,
            touch_from: None,
            read_in: None,
            stages_left: Vec::new(),
            vetting: Vetting::new(),
        }
    }

    /// What jobs are checked against.
    #[must_use]
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// What the gate's contact is to be: it may only ever inhibit a start.
    #[must_use]
    pub fn gate(&self) -> Gate {
        self.gate_open
    }

    /// The sound that is due; told once.
    pub fn take_sound(&mut self) -> Option<Beep> {
        self.sounds.take()
    }

    /// Where the work stands.
    #[must_use]
    pub fn phase(&self) -> Phase {
        self.phase.phase()
    }

    /// The chosen job's vetting, from its verdict to the end of its run; `None` where none was vetted since power-up.
    #[must_use]
    pub fn chosen(&self) -> Option<&Vetting> {
        match self.phase.phase() {
            Phase::Verdict { .. }
            | Phase::Points { .. }
            | Phase::Key { .. }
            | Phase::Walk
            | Phase::Release
            | Phase::Away
            | Phase::Released(_) => Some(&self.vetting).filter(|vetting| !vetting.is_idle()),
            Phase::Waiting | Phase::Reading | Phase::Nothing | Phase::Jobs { .. } | Phase::Fault => None,
        }
    }

    /// Does a bounded piece of the work that is due: one buffer or a few directory blocks are read at most, and what
    /// was asked for is kept and written.
    ///
    /// `card` is the volume of the card that is in; `None` while there is none. `ledger` is the device's own flash;
    /// without one nothing outlives a power cut.
    pub fn step<F: JobFiles, S: NorFlash>(
        &mut self,
        now: Now,
        mut card: Option<&mut F>,
        mut ledger: Option<&mut Ledger<S>>,
    ) -> Progress {
        self.pass(now);
        self.do_due(now, &mut card, &mut ledger);
        let Some(card) = card else { return Progress::Idle };
        let outcome = match self.phase.phase() {
            _ if self.searches_records() => self.step_records(card, ledger),
            _ if self.checks_seal => self.step_seal(now, card),
            Phase::Waiting | Phase::Nothing | Phase::Fault | Phase::Away | Phase::Released(_) => Ok(()),
            Phase::Reading | Phase::Jobs { .. } => self.step_listing(now, card),
            Phase::Verdict { .. }
            | Phase::Points { .. }
            | Phase::Key { .. }
            | Phase::Walk
            | Phase::Release => self.step_chosen(now, card),
        };
        match outcome {
            Ok(()) => Progress::Idle,
            Err(nb::Error::WouldBlock) => Progress::Working,
            Err(nb::Error::Other(error)) => {
                self.fault = Some(error);
                let event = match error.fault {
                    MediaFault::NoCard | MediaFault::Gone => phase::Event::CardOut,
                    _ => phase::Event::CardFault,
                };
                self.tell(now, event);
                Progress::Idle
            }
        }
    }

    /// Draws the screen of this moment.
    ///
    /// # Errors
    /// Those of the target.
    pub fn draw<D>(&self, now: Now, target: &mut D) -> Result<(), D::Error>
    where
        D: DrawTarget<Color = BinaryColor>,
    {
        view::with_model(self, now, |model| screens::draw(model, self.setup.room.language, target))
    }

    /// Hands the model of this moment's screen to whoever wants more than its picture.
    pub fn with_model<R>(&self, now: Now, look: impl FnOnce(&ScreenModel<'_>) -> R) -> R {
        view::with_model(self, now, look)
    }

    pub(super) fn shelf(&self) -> &Shelf {
        &self.shelf
    }

    pub(super) fn fault(&self) -> Option<MediaError> {
        self.fault
    }

    /// The first verdict of the job of this rank, once it is there.
    pub(super) fn first_verdict(&self, rank: u16) -> Option<&FirstVerdict> {
        self.first.get(usize::from(rank.checked_sub(self.shelf.page().before)?))
    }

    pub(super) fn forget(&mut self) {
        self.shelf = Shelf::default();
        self.begin_listing = false;
        self.first.clear();
        self.vetting.stop();
        self.offered = Opens::Nothing;
        self.checks_seal = false;
        self.fault = None;
        self.setup.known.told = Default::default();
        self.setup.known.changed_since_verdict = false;
    }

    /// Goes on with the listing, then with the first verdicts of the page.
    fn step_listing<F: JobFiles>(&mut self, now: Now, card: &mut F) -> nb::Result<(), MediaError> {
        if self.begin_listing {
            self.begin_listing = false;
            self.shelf.begin(card);
            return Err(nb::Error::WouldBlock);
        }
        if self.shelf.poll(card)? {
            self.first.clear();
            self.vetting.stop();
            let jobs = self.shelf.page().census.jobs;
            self.tell(now, phase::Event::Listed { jobs });
            return Err(nb::Error::WouldBlock);
        }
        let Some(entry) = self.shelf.page().entries.get(self.first.len()) else { return Ok(()) };
        if self.vetting.is_idle() {
            self.vetting.start(entry, Depth::Ends);
        }
        self.vetting.poll(card, &self.setup, now)?;
        // There is room: the page holds as many entries as `first` has places.
        let _ = self.first.push(FirstVerdict::of(&self.vetting));
        self.vetting.stop();
        Err(nb::Error::WouldBlock)
    }

    /// Goes on with the chosen job's vetting.
    fn step_chosen<F: JobFiles>(&mut self, now: Now, card: &mut F) -> nb::Result<(), MediaError> {
        if self.vetting.is_idle() {
            // Pressed before the page with the job had come.
            if self.shelf.poll(card)? {
                self.first.clear();
            }
            let Some(entry) = self.shelf.wanted() else { return Ok(()) };
            self.vetting.start(entry, Depth::Whole);
            return Err(nb::Error::WouldBlock);
        }
        if self.vetting.is_done() {
            if core::mem::take(&mut self.judge_again) {
                self.vetting.judge(&self.setup, now);
                self.told_points(now);
                self.offer(now);
            }
            return Ok(());
        }
        let outcome = self.vetting.poll(card, &self.setup, now);
        self.told_points(now);
        let opens = match (self.vetting.is_done(), self.vetting.report().first) {
            (true, _) => Opens::Release,
            (false, Some(_)) => Opens::WalkRound,
            (false, None) => Opens::Nothing,
        };
        if opens != self.offered {
            self.offered = opens;
            self.judge_again = false;
            self.offer(now);
        }
        outcome
    }

    fn told_points(&mut self, now: Now) {
        let points = self.vetting.report().shown();
        self.tell(now, phase::Event::Vetted { points });
    }

    /// Reads the vetted file once more and compares it, byte for byte, by its sum.
    fn step_seal<F: JobFiles>(&mut self, now: Now, card: &mut F) -> nb::Result<(), MediaError> {
        if self.vetting.is_idle() {
            // Released before a power cut: what was vetted is not here any more, and nobody is accused.
            self.checks_seal = false;
            return Ok(());
        }
        self.vetting.poll(card, &self.setup, now)?;
        self.checks_seal = false;
        let same = self.vetting.survey().is_some_and(|survey| survey.reading.body_crc32 == self.phase.seal());
        if !same {
            self.notice = Some(Notice::CardChanged);
            // For the row of the refusal.
            self.setup.known.changed_since_verdict = true;
            self.vetting.judge(&self.setup, now);
        }
        self.tell(now, phase::Event::Seal(if same { phase::Seal::Same } else { phase::Seal::Changed }));
        Ok(())
    }
}
