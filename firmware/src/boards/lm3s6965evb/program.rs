//! What both images of this board run.

use holdpoint_shared::app::{App, Event, Probe};
use holdpoint_shared::heat::ProbeReading;
use holdpoint_shared::ledger::NoFlash;
use holdpoint_shared::phase::{Beep, Gate};
use holdpoint_shared::screens::Frame;
use holdpoint_shared::time::{Instant, WallClock};

use super::{Clock, Input, OnLine, Output, Parts};
use crate::board::Board;
use crate::boards::stack;
use crate::drivers::buttons::Buttons;
use crate::drivers::grey_oled::GreyOled;
use crate::setup::without_records;

/// The board, its card slot left out.
#[derive(Debug)]
pub struct Evb {
    clock: Clock,
    display: GreyOled<OnLine, Output>,
    buttons: Buttons<Input>,
    /// The last that was told of.
    second: u64,
}

impl Evb {
    /// Sets the board up; apart from it the line to the card slot, and the clock that whoever waits on it goes by.
    #[must_use]
    pub fn set_up() -> (Self, OnLine, Clock) {
        let Parts { clock, card_line, display, buttons } = match Parts::take() {
            Some(Ok(parts)) => parts,
            Some(Err(error)) => defmt::panic!("display: {}", error),
            None => defmt::panic!("set up twice"),
        };
        (Self { clock, display, buttons, second: 0 }, card_line, clock)
    }
}

impl Board for Evb {
    const HAS_NOTICES: bool = false;

    type Flash = NoFlash;

    fn instant(&mut self) -> Instant {
        Instant(self.clock.milliseconds())
    }

    fn wall(&mut self) -> Option<WallClock> {
        None
    }

    fn knob(&mut self, event: impl FnMut(Event)) {
        self.buttons.sample(event);
    }

    // This board has neither probes nor gate nor beeper: it goes by the clock, and the log says what it would do.

    fn probes(&mut self, _read: impl FnMut(Probe, ProbeReading)) {}

    fn gate(&mut self, _gate: Gate) {}

    fn sound(&mut self, _beep: Beep) {}

    fn alive(&mut self) {
        // The tests wait by the board's time.
        if cfg!(feature = "test-image") {
            let second = self.clock.milliseconds() / 1000;
            if second != self.second {
                self.second = second;
                defmt::info!("second {=u64}", second);
            }
        }
    }

    fn show(&mut self, frame: &Frame) {
        if let Err(error) = self.display.show(frame) {
            defmt::error!("display: {}", error);
        }
    }

    fn stack_used_bytes(&mut self) -> usize {
        stack::used_bytes()
    }

    fn sleep(&mut self) {
        super::sleep();
    }
}

/// The core, made straight where `main` keeps it for good: to be moved into a static it would stand on the stack a second
/// time. Apart, so that what it is made of is given back.
#[inline(never)]
#[must_use]
pub fn app() -> App {
    App::new(without_records())
}
