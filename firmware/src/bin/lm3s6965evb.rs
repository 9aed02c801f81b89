//! Holdpoint on board one, the emulated LM3S6965 evaluation board.

#![no_std]
#![no_main]

use cortex_m_rt::entry;
use holdpoint_firmware::board::Board;
use holdpoint_firmware::boards::lm3s6965evb::{self, Clock, Input, OnLine, Output, Parts};
use holdpoint_firmware::drivers::buttons::Buttons;
use holdpoint_firmware::drivers::grey_oled::GreyOled;
use holdpoint_firmware::drivers::sd_card::{Change, Slot};
use holdpoint_firmware::run::run;
use holdpoint_shared::phase::Event;
use holdpoint_shared::screens::Frame;
use holdpoint_shared::time::{Instant, WallClock};

struct Evb {
    clock: Clock,
    slot: Slot<OnLine, Clock>,
    display: GreyOled<OnLine, Output>,
    buttons: Buttons<Input>,
}

impl Board for Evb {
    fn instant(&mut self) -> Instant {
        Instant(self.clock.milliseconds())
    }

    fn wall(&mut self) -> Option<WallClock> {
        None
    }

    fn look_at_slot(&mut self) -> Option<Change> {
        self.slot.look()
    }

    fn knob(&mut self, event: impl FnMut(Event)) {
        self.buttons.sample(event);
    }

    fn show(&mut self, frame: &Frame) {
        if let Err(error) = self.display.show(frame) {
            defmt::error!("display: {}", error);
        }
    }

    fn sleep(&mut self) {
        lm3s6965evb::sleep();
    }
}

#[entry]
fn main() -> ! {
    let Parts { clock, card_line, display, buttons } = match Parts::take() {
        Some(Ok(parts)) => parts,
        Some(Err(error)) => defmt::panic!("display: {}", error),
        None => defmt::panic!("set up twice"),
    };
    let slot = Slot::new(card_line, clock);
    run(&mut Evb { clock, slot, display, buttons })
}
