//! Holdpoint on board one, the emulated LM3S6965 evaluation board: it vets, and a job ends at its points.

#![no_std]
#![no_main]

use core::cell::RefCell;

use cortex_m::singleton;
use cortex_m_rt::entry;
use holdpoint_firmware::boards::lm3s6965evb::program::{Evb, app};
use holdpoint_firmware::boards::lm3s6965evb::{Clock, OnLine};
use holdpoint_firmware::drivers::sd_card::Slot;
use holdpoint_firmware::run::run;

type EvbSlot = RefCell<Slot<OnLine, Clock>>;

// The slot's block buffer is a static and made apart from `main`, whose stack is never given back.
#[inline(never)]
fn slot(line: OnLine, clock: Clock) -> Option<&'static mut EvbSlot> {
    singleton!(: EvbSlot = RefCell::new(Slot::new(line, clock)))
}

#[entry]
fn main() -> ! {
    let (mut board, line, clock) = Evb::set_up();
    let Some(slot) = slot(line, clock) else { defmt::panic!("set up twice") };
    let mut app = app();
    run(&mut board, slot, &mut app, None, None)
}
