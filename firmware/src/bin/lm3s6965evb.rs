//! Holdpoint on board one, the emulated LM3S6965 evaluation board.

#![no_std]
#![no_main]

use core::cell::RefCell;

use cortex_m::singleton;
use cortex_m_rt::entry;
use holdpoint_firmware::board::Board;
use holdpoint_firmware::boards::lm3s6965evb::{self, Clock, Input, OnLine, Output, Parts};
use holdpoint_firmware::boards::stack;
use holdpoint_firmware::drivers::buttons::Buttons;
use holdpoint_firmware::drivers::grey_oled::GreyOled;
use holdpoint_firmware::drivers::no_flash::NoFlash;
use holdpoint_firmware::drivers::sd_card::Slot;
use holdpoint_firmware::run::run;
use holdpoint_firmware::setup::without_records;
use holdpoint_shared::app::{App, Event, Probe};
use holdpoint_shared::heat::ProbeReading;
use holdpoint_shared::phase::{Beep, Gate};
use holdpoint_shared::screens::Frame;
use holdpoint_shared::time::{Instant, WallClock};

struct Evb {
    clock: Clock,
    display: GreyOled<OnLine, Output>,
    buttons: Buttons<Input>,
}

impl Board for Evb {
    const HAS_CLOCK: bool = false;

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

    fn alive(&mut self) {}

    fn show(&mut self, frame: &Frame) {
        if let Err(error) = self.display.show(frame) {
            defmt::error!("display: {}", error);
        }
    }

    fn stack_used_bytes(&mut self) -> usize {
        stack::used_bytes()
    }

    fn sleep(&mut self) {
        lm3s6965evb::sleep();
    }
}

type EvbSlot = RefCell<Slot<OnLine, Clock>>;

// The slot's block buffer is a static and made apart from `main`, whose stack is never given back.
#[inline(never)]
fn slot(line: OnLine, clock: Clock) -> Option<&'static mut EvbSlot> {
    singleton!(: EvbSlot = RefCell::new(Slot::new(line, clock)))
}

/// The core, made straight where `main` keeps it for good: to be moved into a static it would stand on the stack a second
/// time. Apart, so that what it is made of is given back.
#[inline(never)]
fn app() -> App {
    App::new(without_records())
}

#[entry]
fn main() -> ! {
    let Parts { clock, card_line, display, buttons } = match Parts::take() {
        Some(Ok(parts)) => parts,
        Some(Err(error)) => defmt::panic!("display: {}", error),
        None => defmt::panic!("set up twice"),
    };
    let Some(slot) = slot(card_line, clock) else { defmt::panic!("set up twice") };
    let mut app = app();
    run(&mut Evb { clock, display, buttons }, slot, &mut app, None, None)
}
