//! The device: events and time in, screens out.

use heapless::Deque;

use crate::heat::{Probe, ProbeReading, Thermal};
use crate::media::MediaError;
use crate::phase::{self, Action, Beep, Gate, OutOfUse, Phase};
use crate::time::WallClock;

use super::job_page::JobPage;
use super::kept::DayBook;
use super::memory::Memory;
use super::notice::Notices;
use super::setup::Setup;
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
    pub(super) jobs: JobPage,
    pub(super) chosen: Chosen,
    pub(super) fault: Option<MediaError>,
    pub(super) thermal: Thermal,
    pub(super) memory: Memory,
    /// What waits for card or ledger.
    pub(super) due: Deque<Action, DUE>,
    pub(super) daybook: DayBook,
    pub(super) notices: Notices,
    pub(super) lead: Lead,
    pub(super) records: takeover::Files,
    pub(super) panel: Panel,
}

/// How far the chosen job is.
#[derive(Debug, Default)]
pub(super) struct Chosen {
    /// How much of the vetting the phases were told.
    pub(super) offered: Opens,
    /// The file in the slot is compared with the vetted one.
    pub(super) compares_file: bool,
    /// An answer changed what the checks go by.
    pub(super) judge_again: bool,
}

/// What a lead does at the device.
#[derive(Debug, Default)]
pub(super) struct Lead {
    /// What the key is being entered for.
    pub(super) wanted: Option<Wanted>,
    /// A check that was settled, or no longer is, and is not kept yet.
    pub(super) settle_due: Option<(u8, bool)>,
    /// What was last said of the machine's use, and when: for the events of the next card.
    pub(super) use_told: Option<(Option<WallClock>, Option<OutOfUse>)>,
}

/// What is at hand besides the screen's model.
#[derive(Debug, Default)]
pub(super) struct Panel {
    pub(super) gate: Gate,
    pub(super) sound: Option<Beep>,
    /// The side that the run's screen is turned to, from 0.
    pub(super) side: u8,
}

#[inline(never)]
fn blank_day_book() -> DayBook {
    DayBook::default()
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
            jobs: JobPage::new(),
            chosen: Chosen::default(),
            fault: None,
            memory: Memory::default(),
            due: Deque::new(),
            daybook: blank_day_book(),
            notices: Notices::default(),
            lead: Lead::default(),
            records: takeover::Files::default(),
            panel: Panel::default(),
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
        self.panel.gate
    }

    /// The sound that is due; told once.
    pub fn take_sound(&mut self) -> Option<Beep> {
        self.panel.sound.take()
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

    pub(super) fn fault(&self) -> Option<MediaError> {
        self.fault
    }
}
