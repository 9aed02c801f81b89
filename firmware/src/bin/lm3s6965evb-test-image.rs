//! TEST IMAGE: a whole job on board one, for the tests on the emulator alone. It carries few of the checks, so it is never
//! for a room; screen and log say so before anything else.

#![no_std]
#![no_main]

use core::cell::RefCell;

use cortex_m::singleton;
use cortex_m_rt::entry;
use holdpoint_firmware::board::Board as _;
use holdpoint_firmware::boards::lm3s6965evb::program::{Evb, app};
use holdpoint_firmware::boards::lm3s6965evb::{Clock, OnLine};
use holdpoint_firmware::drivers::failing_blocks::FailingBlocks;
use holdpoint_firmware::drivers::sd_card::Slot;
use holdpoint_firmware::fault::page;
use holdpoint_firmware::run::run;
use holdpoint_shared::checks::{CARRIED, CATALOGUE};

/// How long the screen says what this is.
const SHOWN_MS: u64 = 1_000;

/// How many checks there are in it, for the screen.
const CHECKS: [u8; 15] = {
    assert!(CARRIED < 100 && CATALOGUE.len() < 100, "two figures are enough");
    let (carried, all) = (CARRIED as u8, CATALOGUE.len() as u8);
    let mut text = *b"00 of 00 checks";
    text[0] += carried / 10;
    text[1] += carried % 10;
    text[6] += all / 10;
    text[7] += all % 10;
    text
};

type EvbSlot = RefCell<FailingBlocks<Slot<OnLine, Clock>>>;

// The slot's block buffer is a static and made apart from `main`, whose stack is never given back.
#[inline(never)]
fn slot(line: OnLine, clock: Clock) -> Option<&'static mut EvbSlot> {
    singleton!(: EvbSlot = RefCell::new(FailingBlocks(Slot::new(line, clock))))
}

#[inline(never)]
fn say_what_this_is(board: &mut Evb) {
    let checks = core::str::from_utf8(&CHECKS).unwrap_or_default();
    board.show(&page([
        "TEST IMAGE",
        checks,
        "Never for a room.",
        "It lets jobs pass that",
        "a whole build holds.",
        "",
    ]));
    defmt::warn!("TEST IMAGE: {=usize} of {=usize} checks", CARRIED, CATALOGUE.len());
    let until = board.instant().after_ms(SHOWN_MS);
    while board.instant() < until {
        board.sleep();
    }
}

#[entry]
fn main() -> ! {
    let (mut board, line, clock) = Evb::set_up();
    say_what_this_is(&mut board);
    let Some(slot) = slot(line, clock) else { defmt::panic!("set up twice") };
    let mut app = app();
    run(&mut board, slot, &mut app, None, None)
}
