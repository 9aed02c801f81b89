//! Joins the rooms; contains no rule of its own.
//!
//! [`App`] is the device: events and time in, screens out, a bounded piece of work a call. [`Vetting`] is the way of
//! one job from its place on a card to its verdict, for whoever wants nothing but that.

mod browse;
mod daybook;
mod device;
mod effects;
mod events;
mod first_verdict;
mod given_up;
mod job_page;
mod kept;
mod lead;
mod lost;
mod memory;
mod notice;
mod picture;
mod plan;
mod records;
mod restore;
mod setup;
mod stages_left;
mod store;
mod takeover;
mod vetting;
mod view;

pub use crate::heat::Probe;
pub use device::{App, Event, Progress};
pub use setup::{Known, Now, Setup};
pub use vetting::{Depth, Report, Vetting};

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;
use embedded_storage::nor_flash::NorFlash;

use crate::ledger::Ledger;
use crate::media::{JobFiles, MediaFault};
use crate::phase::{self, Phase};
use crate::screens::{self, ScreenModel};

impl App {
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
            _ if self.chosen.compares_file => self.compare_file(now, card),
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

    /// Draws the current screen.
    ///
    /// # Errors
    /// Those of the target.
    pub fn draw<D>(&self, now: Now, target: &mut D) -> Result<(), D::Error>
    where
        D: DrawTarget<Color = BinaryColor>,
    {
        view::with_model(self, now, |model| screens::draw(model, self.setup.room.language, target))
    }

    /// Passes the model of the current screen to `look`.
    pub fn with_model<R>(&self, now: Now, look: impl FnOnce(&ScreenModel<'_>) -> R) -> R {
        view::with_model(self, now, look)
    }
}
