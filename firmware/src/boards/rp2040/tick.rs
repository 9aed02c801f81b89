//! The tick of a millisecond: it counts the knob's detents, whatever the loop is about, and wakes the loop.

use core::cell::RefCell;
use core::sync::atomic::{AtomicU32, Ordering};

use cortex_m::peripheral::SYST;
use cortex_m::peripheral::syst::SystClkSource;
use cortex_m_rt::exception;
use critical_section::Mutex;
use embedded_hal::digital::InputPin as _;

use super::Contact;
use crate::drivers::knob::Turns;

/// The contacts that turning works.
pub(super) struct TurnContacts {
    pub(super) a: Contact,
    pub(super) b: Contact,
}

static CONTACTS: Mutex<RefCell<Option<(TurnContacts, Turns)>>> = Mutex::new(RefCell::new(None));
static DETENTS: AtomicU32 = AtomicU32::new(0);

/// Starts the tick.
pub(super) fn start(mut tick: SYST, ticks_per_second: u32, contacts: TurnContacts) {
    critical_section::with(|cs| CONTACTS.borrow_ref_mut(cs).replace((contacts, Turns::new())));
    tick.set_clock_source(SystClkSource::Core);
    tick.set_reload(ticks_per_second / 1000 - 1);
    tick.clear_current();
    tick.enable_counter();
    tick.enable_interrupt();
}

/// Detents since the start, clockwise, wrapping.
pub(super) fn detents() -> u32 {
    DETENTS.load(Ordering::Relaxed)
}

#[exception]
fn SysTick() {
    critical_section::with(|cs| {
        if let Some((TurnContacts { a, b }, turns)) = &mut *CONTACTS.borrow_ref_mut(cs) {
            let (Ok(a), Ok(b)) = (a.is_low(), b.is_low());
            DETENTS.store(turns.sample(a, b), Ordering::Relaxed);
        }
    });
}
