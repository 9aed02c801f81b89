//! Holdpoint on board one, the emulated LM3S6965 evaluation board.

#![no_std]
#![no_main]

use cortex_m_rt::entry;
use holdpoint_firmware::board::Board;
use holdpoint_firmware::boards::lm3s6965evb::{self, Parts};
use holdpoint_firmware::drivers::sd_card::Change;
use holdpoint_firmware::run::run;
use holdpoint_shared::phase::Event;
use holdpoint_shared::screens::Frame;
use holdpoint_shared::time::{Instant, WallClock};

struct Evb(Parts);

impl Board for Evb {
    fn instant(&mut self) -> Instant {
        Instant(self.0.clock.milliseconds())
    }

    fn wall(&mut self) -> Option<WallClock> {
        None
    }

    fn look_at_slot(&mut self) -> Option<Change> {
        self.0.card.look()
    }

    fn knob(&mut self, event: impl FnMut(Event)) {
        self.0.buttons.sample(event);
    }

    fn show(&mut self, frame: &Frame) {
        if let Err(error) = self.0.display.show(frame) {
            defmt::error!("display: {}", error);
        }
    }

    fn sleep(&mut self) {
        lm3s6965evb::sleep();
    }
}

#[entry]
fn main() -> ! {
    match Parts::take() {
        Some(Ok(parts)) => run(&mut Evb(parts)),
        Some(Err(error)) => defmt::panic!("display: {}", error),
        None => defmt::panic!("set up twice"),
    }
}
