//! The device: events and time in, screens out.

use heapless::{Deque, Vec};

use crate::daybook;
use crate::heat::{Probe, ProbeReading, Thermal};
use crate::ledger::Losses;
use crate::limits::PAGE_ENTRIES;
use crate::media::MediaError;
use crate::phase::{self, Action, Beep, Gate, OutOfUse, Phase};
use crate::time::WallClock;

use super::first_verdict::FirstVerdict;
use super::job_page::Shelf;
use super::kept::WAITING_ROWS;
use super::memory::{GivenUpRows, Memory};
use super::notice::{LOST_PARTS, LostPart, Notice};
use super::setup::Setup;
use super::stages_left;
use super::takeover;
use super::vetting::Vetting;

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
    pub(super) thermal: Thermal,
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
    pub(super) given_up: GivenUpRows,
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
    pub(super) records: takeover::Files,
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
    pub(super) stages_left: stages_left::Waiting,
}

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

/// What the key is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Wanted {
    /// To settle this check's point here, or to undo that.
    Settle(u8),
    /// To take over the records on the card in the slot.
    Records,
    /// To take the machine out of use, or to give it back.
    Use,
}

impl App {
    /// A device with no card in.
    // Out of line, like all that it is made of: each part is made where it is to stand, and none on the stack. The compiler
    // sees that only as long as few fields are written here: else 24 KB would stand on the stack a second time.
    #[inline(never)]
    #[must_use]
    pub fn new(setup: Setup) -> Self {
        Self {
            thermal: Thermal::new(&setup.machine, &setup.room),
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
            given_up: GivenUpRows::default(),
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
            records: takeover::Files::default(),
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
}
