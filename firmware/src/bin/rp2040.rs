//! Holdpoint on board two, a module with an RP2040.

#![no_std]
#![no_main]

use core::cell::RefCell;

use cortex_m::singleton;
use cortex_m_rt::entry;
use holdpoint_firmware::board::Board;
use holdpoint_firmware::boards::rp2040::{
    self, CardDevice, Feeder, GateContact, KnobContacts, LedgerFlash, OnBus, Parts, Probes, Tone,
};
use holdpoint_firmware::boards::stack;
use holdpoint_firmware::drivers::beeper::Beeper;
use holdpoint_firmware::drivers::page_oled::PageOled;
use holdpoint_firmware::drivers::sd_card::Slot;
use holdpoint_firmware::drivers::wall_clock::WallClockChip;
use holdpoint_firmware::run::run;
use holdpoint_firmware::setup::without_records;
use holdpoint_shared::app::{App, Event, Probe};
use holdpoint_shared::heat::ProbeReading;
use holdpoint_shared::ledger::{Ledger, LedgerError, Refused};
use holdpoint_shared::phase::{Beep, Gate};
use holdpoint_shared::screens::Frame;
use holdpoint_shared::time::{Instant, WallClock};
use rp2040_hal::timer::Timer;

/// Between two readings of the clock chip: between them the last one stands.
const WALL_MS: u64 = 1_000;

struct Module {
    timer: Timer,
    display: PageOled<OnBus>,
    clock: WallClockChip<OnBus>,
    /// What the clock chip said last, and when it is asked again.
    wall: (Option<WallClock>, Instant),
    knob: KnobContacts,
    probes: Probes,
    gate: GateContact,
    beeper: Beeper,
    tone: Tone,
    watchdog: Feeder,
}

impl Board for Module {
    type Flash = LedgerFlash;

    fn instant(&mut self) -> Instant {
        rp2040::instant(self.timer)
    }

    fn wall(&mut self) -> Option<WallClock> {
        let now = self.instant();
        if self.wall.1 <= now {
            let read = self.clock.read();
            if let Err(error) = read {
                defmt::warn!("clock: {}", error);
            }
            self.wall = (read.ok().flatten(), now.after_ms(WALL_MS));
        }
        self.wall.0
    }

    fn set_wall(&mut self, wall: WallClock) -> bool {
        self.wall.1 = Instant::default();
        self.clock.set(wall).is_ok()
    }

    fn knob(&mut self, event: impl FnMut(Event)) {
        self.knob.sample(event);
    }

    fn probes(&mut self, read: impl FnMut(Probe, ProbeReading)) {
        self.probes.read(read);
    }

    fn gate(&mut self, gate: Gate) {
        self.gate.set(gate);
    }

    fn sound(&mut self, beep: Beep) {
        let now = self.instant();
        self.beeper.start(now, beep);
    }

    fn alive(&mut self) {
        self.watchdog.feed();
        let now = self.instant();
        self.tone.set(self.beeper.level(now));
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
        rp2040::sleep();
    }
}

type CardSlot = RefCell<Slot<CardDevice, Timer>>;

// What is large lies in statics, where the sizes report sees it, and is made apart from `main`, whose stack is never
// given back.

#[inline(never)]
fn slot(line: CardDevice, timer: Timer) -> Option<&'static mut CardSlot> {
    singleton!(: CardSlot = RefCell::new(Slot::new(line, timer)))
}

#[inline(never)]
fn app() -> Option<&'static mut App> {
    singleton!(: App = App::new(without_records()))
}

/// The ledger; only flash without a byte of data is begun. What is no ledger stays as it is, for somebody to look at.
#[inline(never)]
fn ledger(flash: LedgerFlash) -> Option<&'static mut Ledger<LedgerFlash>> {
    let opened = match Ledger::open(flash) {
        Err(Refused { error: LedgerError::Blank, flash }) => Ledger::format(flash),
        opened => opened,
    };
    let ledger = opened.map_err(|refused| defmt::error!("ledger: {}", refused.error)).ok()?;
    singleton!(: Ledger<LedgerFlash> = ledger)
}

#[entry]
fn main() -> ! {
    let Some(parts) = Parts::take() else { defmt::panic!("the board cannot be set up") };
    let Parts { timer, card, display, clock, knob, probes, gate, tone, watchdog, flash, fault } = parts;
    let (Some(slot), Some(app)) = (slot(card, timer), app()) else { defmt::panic!("set up twice") };
    let (wall, beeper) = ((None, Instant::default()), Beeper::default());
    let mut module = Module { timer, display, clock, wall, knob, probes, gate, beeper, tone, watchdog };
    let mut ledger = ledger(flash);
    if ledger.is_none() {
        app.without_memory();
    }
    // From here on what hangs starts the chip anew: the clock's bus may be what did.
    module.watchdog.start();
    if let Some(fault) = fault {
        defmt::error!("started anew after {}", fault);
        let event = fault.event(module.wall());
        if let Some(Err(error)) = ledger.as_mut().map(|ledger| ledger.log(event)) {
            defmt::error!("ledger: {}", error);
        }
    }
    run(&mut module, slot, app, ledger, fault)
}
