//! The device: events and time in, screens out.

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;
use heapless::Vec;

use crate::limits::PAGE_ENTRIES;
use crate::media::{JobFiles, MediaError, MediaFault};
use crate::phase::{self, Action, Phase};
use crate::screens;

use super::shelf::Shelf;
use super::slip::FirstVerdict;
use super::vetting::{Depth, Vetting};
use super::view;
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
    /// The knob was pressed.
    Press,
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
#[derive(Debug)]
pub struct App {
    setup: Setup,
    phase: phase::Machine,
    shelf: Shelf,
    /// The card's listing is still to be begun: `handle` has no card in its hands.
    begin_listing: bool,
    /// First verdicts of the page's entries, in their order.
    first: Vec<FirstVerdict, PAGE_ENTRIES>,
    /// The job that is being vetted: the next of the page, or the chosen one.
    vetting: Vetting,
    fault: Option<MediaError>,
}

impl App {
    /// A device with no card in.
    // Out of line, like all that it is made of: each part is made where it is to stand, and none on the stack.
    #[inline(never)]
    #[must_use]
    pub fn new(setup: Setup) -> Self {
        Self {
            setup,
            phase: phase::Machine::new(),
            shelf: Shelf::default(),
            begin_listing: false,
            first: Vec::new(),
            vetting: Vetting::new(),
            fault: None,
        }
    }

    /// What jobs are checked against.
    #[must_use]
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// The same, to be changed in place; it takes effect with the next job.
    pub fn setup_mut(&mut self) -> &mut Setup {
        &mut self.setup
    }

    /// Where the work stands.
    #[must_use]
    pub fn phase(&self) -> Phase {
        self.phase.phase()
    }

    /// The chosen job's vetting, while the verdict or its points are on the screen.
    #[must_use]
    pub fn chosen(&self) -> Option<&Vetting> {
        match self.phase.phase() {
            Phase::Verdict { .. } | Phase::Points { .. } => {
                Some(&self.vetting).filter(|vetting| !vetting.is_idle())
            }
            Phase::Waiting | Phase::Reading | Phase::Nothing | Phase::Jobs { .. } | Phase::Fault => None,
        }
    }

    /// Takes an event.
    pub fn handle(&mut self, _now: Now, event: Event) {
        let event = match event {
            Event::CardInserted => phase::Event::CardIn,
            Event::CardRemoved => phase::Event::CardOut,
            Event::CardUnreadable(error) => {
                self.forget();
                self.fault = Some(error);
                // The card is in, whether it can be read or not.
                let _ = self.phase.handle(phase::Event::CardIn);
                phase::Event::CardFault
            }
            Event::Turn(detents) => phase::Event::Turned(detents),
            Event::Press => phase::Event::Pressed,
        };
        let action = self.phase.handle(event);
        self.act(action);
    }

    /// Does a bounded piece of the work that is due: one buffer or a few directory blocks are read at most.
    ///
    /// `card` is the volume of the card that is in; `None` while there is none.
    pub fn step<F: JobFiles>(&mut self, now: Now, card: Option<&mut F>) -> Progress {
        let Some(card) = card else { return Progress::Idle };
        let outcome = match self.phase.phase() {
            Phase::Waiting | Phase::Nothing | Phase::Fault => Ok(()),
            Phase::Reading | Phase::Jobs { .. } => self.step_listing(now, card),
            Phase::Verdict { .. } | Phase::Points { .. } => self.step_chosen(now, card),
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
                let action = self.phase.handle(event);
                self.act(action);
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

    fn act(&mut self, action: Action) {
        match action {
            Action::Redraw | Action::Refused => {}
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
                if let Some(entry) = self.shelf.entry(rank) {
                    self.vetting.start(entry, Depth::Whole);
                }
            }
        }
    }

    fn forget(&mut self) {
        self.shelf = Shelf::default();
        self.begin_listing = false;
        self.first.clear();
        self.vetting.stop();
        self.fault = None;
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
            let action = self.phase.handle(phase::Event::Listed { jobs });
            self.act(action);
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
            return Ok(());
        }
        let outcome = self.vetting.poll(card, &self.setup, now);
        let points = self.vetting.report().shown();
        let action = self.phase.handle(phase::Event::Vetted { points });
        self.act(action);
        outcome
    }
}
