//! The device on a desktop: the core's [`App`] with a clock.

use holdpoint_shared::app::{App, Event, Now, Progress, Setup};
use holdpoint_shared::screens::Frame;

use crate::clock::{HandClock, RunningClock};
use crate::source::Files;

/// What tells a device the time.
#[derive(Clone, Copy, Debug)]
pub enum Clock {
    /// Real time.
    Running(RunningClock),
    /// Turned by each step, so that the same run gives the same picture.
    Hand(HandClock),
}

/// Milliseconds that a step of a hand-driven run takes.
const STEP_MS: u64 = 10;

/// The core with its clock. The card stays with whoever runs it, as it stays with a board's slot.
#[derive(Debug)]
pub struct Device {
    app: App,
    clock: Clock,
}

impl Device {
    /// A device with no card in it.
    #[must_use]
    pub fn new(setup: Setup, clock: Clock) -> Self {
        Self { app: App::new(setup), clock }
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
        self.app.step(self.now(), card) == Progress::Working
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
        match &self.clock {
            Clock::Running(clock) => clock.now(),
            Clock::Hand(clock) => clock.now(),
        }
    }
}
