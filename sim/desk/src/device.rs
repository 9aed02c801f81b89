//! The device on a desktop: the core's [`App`] with a clock.

use anyhow::Result;
use holdpoint_shared::app::{App, Event, Now, Progress};
use holdpoint_shared::ledger::Ledger;
use holdpoint_shared::records::RecordName;
use holdpoint_shared::screens::{Frame, ScreenModel};

use crate::clock::HandClock;
use crate::flash::Flash;
use crate::setup::{Overrides, blank};
use crate::slot::Files;

/// What tells a device the time.
#[derive(Clone, Copy, Debug)]
pub enum Clock {
    /// Turned by each step, so that the same run gives the same picture.
    Hand(HandClock),
    /// Set by a world before each call.
    Set(Now),
}

/// Milliseconds that a step of a hand-driven run takes.
const STEP_MS: u64 = 10;

/// The core with its clock. The card stays with whoever runs it, as it stays with a board's slot.
#[derive(Debug)]
pub struct Device {
    app: App,
    clock: Clock,
    ledger: Ledger<Flash>,
}

impl Device {
    /// A device with no card in it. It takes up what its ledger kept, then the records that hold instead of a
    /// card's.
    ///
    /// # Errors
    /// When one of these records is malformed.
    pub fn new(overrides: &Overrides, clock: Clock, ledger: Ledger<Flash>) -> Result<Self> {
        let mut device = Self { app: App::new(blank(overrides)), clock, ledger };
        device.app.restore(device.clock.now(), &mut device.ledger);
        for record in RecordName::ALL {
            if let Some(text) = overrides.record(record) {
                device.app.give_record(record, &text.bytes)?;
            }
        }
        Ok(device)
    }

    /// The core.
    #[must_use]
    pub fn app(&self) -> &App {
        &self.app
    }

    /// The core, for what only it can do.
    pub fn app_mut(&mut self) -> &mut App {
        &mut self.app
    }

    /// Its clock.
    pub fn clock_mut(&mut self) -> &mut Clock {
        &mut self.clock
    }

    /// The name of the screen that is shown: a page's of the run, a question's with its mark, or the model's.
    #[must_use]
    pub fn page(&self) -> String {
        self.app.with_model(self.now(), |model| match model {
            ScreenModel::Run(run) => format!("{:?}", run.page),
            ScreenModel::Asked(asked) => format!("{}?", asked.question.name()),
            other => {
                let name = format!("{other:?}");
                name.split(['(', ' ', '{']).next().unwrap_or_default().to_owned()
            }
        })
    }

    /// What the screen of this moment shows, as plain data.
    pub fn model<R>(&self, look: impl FnOnce(&ScreenModel<'_>) -> R) -> R {
        self.app.with_model(self.now(), look)
    }

    /// The flash, as it is when the power goes now.
    #[must_use]
    pub fn power_off(self) -> Flash {
        self.ledger.close()
    }

    /// Hands an event to the core.
    pub fn handle(&mut self, event: Event) {
        self.app.handle(self.now(), event);
    }

    /// One bounded piece of the core's work. `true` when there is more.
    pub fn step(&mut self, card: Option<&mut Files<'_>>) -> bool {
        if let Clock::Hand(clock) = &mut self.clock {
            clock.forward_ms(STEP_MS);
        }
        self.app.step(self.clock.now(), card, Some(&mut self.ledger)) == Progress::Working
    }

    /// Works until the core has nothing more to do before the next event.
    pub fn settle(&mut self, card: &mut Files<'_>) {
        while self.step(Some(card)) {}
    }

    /// The screen as it is now.
    #[must_use]
    pub fn frame(&self) -> Frame {
        let mut frame = Frame::new();
        let Ok(()) = self.app.draw(self.now(), &mut frame);
        frame
    }

    fn now(&self) -> Now {
        self.clock.now()
    }
}

impl Clock {
    /// What it shows.
    #[must_use]
    pub fn now(&self) -> Now {
        match self {
            Self::Hand(clock) => clock.now(),
            Self::Set(now) => *now,
        }
    }
}
