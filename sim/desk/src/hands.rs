//! What the keys do to a live world: one for the terminal and the window.

use std::time::Duration;

use holdpoint_shared::app::{App, Event};
use holdpoint_shared::phase::Gate;

use crate::printer::Doing;
use crate::world::World;

/// What a key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// Turns the knob.
    Turn(i8),
    /// Presses it briefly.
    Press,
    /// Down where it was up, and up where it was down.
    Hold,
    /// Puts the card in, or takes it out.
    Card,
    /// Starts the printer, or stops it.
    Printer,
    /// Fast, or real time.
    Speed,
    /// The device's power.
    Power,
    /// Ends it.
    Leave,
}

/// How the live world is played.
#[derive(Clone, Copy, Debug)]
pub struct Play<'p> {
    /// Names the card in the line below the screen.
    pub card: &'p str,
    /// One more line worth knowing.
    pub note: Option<&'p str>,
    /// How many times as fast the world goes when it goes fast.
    pub speed: u32,
    /// It goes fast by itself once a job was released.
    pub fast_after_release: bool,
}

/// What the keys do to the world.
#[derive(Debug)]
pub struct Hands<'w> {
    /// The world.
    pub world: &'w mut World,
    /// How it is played.
    pub play: &'w Play<'w>,
    /// The knob is down.
    pub held: bool,
    /// The world goes fast.
    pub fast: bool,
    was_released: bool,
    /// What could not be done, until the next key.
    pub said: Option<String>,
}

impl<'w> Hands<'w> {
    /// Puts the card in.
    pub fn new(world: &'w mut World, play: &'w Play<'w>) -> Self {
        let said = world.insert().err().map(|error| error.to_string());
        Self { world, play, held: false, fast: false, was_released: false, said }
    }

    /// Does what a key asks for; `false` = leave.
    pub fn take(&mut self, ask: Ask) -> bool {
        self.said = None;
        if self.held && ask != Ask::Power {
            // A terminal tells no key that comes up: any key lets the knob go.
            self.held = false;
            self.world.knob(Event::LetGo);
            if ask == Ask::Hold {
                return true;
            }
        }
        let outcome = match ask {
            Ask::Turn(detents) => {
                self.world.knob(Event::Turn(detents));
                Ok(())
            }
            Ask::Press => {
                self.world.knob(Event::Press);
                Ok(())
            }
            Ask::Hold => {
                self.held = true;
                self.world.knob(Event::Hold);
                Ok(())
            }
            Ask::Card if self.world.card_is_in() => self.world.pull(),
            Ask::Card => self.world.insert(),
            Ask::Printer if self.world.printer().doing() == Doing::Idle => self.world.start_printer(),
            Ask::Printer => {
                self.world.at_printer(|printer, plant| printer.stop(plant));
                Ok(())
            }
            Ask::Speed => {
                self.fast = !self.fast;
                Ok(())
            }
            Ask::Power if self.world.app().is_some() => {
                self.world.power_off();
                Ok(())
            }
            Ask::Power => self.world.power_on(),
            Ask::Leave => return false,
        };
        self.said = outcome.err().map(|error| error.to_string());
        true
    }

    /// Lets so much of the user's time pass.
    pub fn pass(&mut self, real: Duration) {
        let released = self.world.app().is_some_and(|app| app.phase().is_released());
        if released != self.was_released {
            self.was_released = released;
            self.fast = released && self.play.fast_after_release;
        }
        // A held knob is held in the user's time.
        let times = if self.fast && !self.held { u64::from(self.play.speed) } else { 1 };
        let ms = u64::try_from(real.as_millis()).unwrap_or(u64::MAX);
        self.world.pass(ms.saturating_mul(times));
    }

    /// The room's clock, the printer and the gate in a line.
    #[must_use]
    pub fn status(&self) -> String {
        let printer = match self.world.printer().doing() {
            Doing::Idle => "is idle",
            Doing::HeatsBed => "heats its bed",
            Doing::Homes(_) => "homes",
            Doing::HeatsNozzle => "heats its nozzle",
            Doing::Prints(_) => "prints",
            Doing::Paused(_) => "waits",
        };
        let gate = match self.world.app().map(App::gate) {
            Some(Gate::Open) => "gate open",
            Some(Gate::Shut) => "gate shut",
            None => "power off",
        };
        let times = if self.fast { self.play.speed } else { 1 };
        format!("{}  {times}x  printer {printer}  {gate}", self.world.wall().format("%H:%M:%S"))
    }
}
