//! What the loop needs of a board.

use embedded_storage::nor_flash::NorFlash;
use holdpoint_shared::app::{Event, Probe};
use holdpoint_shared::heat::ProbeReading;
use holdpoint_shared::phase::{Beep, Gate};
use holdpoint_shared::screens::Frame;
use holdpoint_shared::time::{Instant, WallClock};

/// A board: time, display, knob; its card slot is a [`CardSlot`](crate::card::CardSlot) of its own. Log lines go through defmt, whose way out each board links.
pub trait Board {
    /// Where the ledger stands.
    type Flash: NorFlash;

    /// Milliseconds since power-up.
    fn instant(&mut self) -> Instant;

    /// The room's local time; `None` where the board has no clock, or it is not set.
    fn wall(&mut self) -> Option<WallClock>;

    /// Sets the clock; whether it took the time.
    fn set_wall(&mut self, _wall: WallClock) -> bool {
        false
    }

    /// Reads every probe that is fitted. Called four times a second.
    fn probes(&mut self, read: impl FnMut(Probe, ProbeReading));

    /// Sets the gate's contact. Shut from reset on until the first call; it may only ever inhibit a start.
    fn gate(&mut self, gate: Gate);

    /// Begins a sound; whoever has no beeper shows it by a light, or not at all.
    fn sound(&mut self, beep: Beep);

    /// The loop is healthy: called by it in every round and between its longest parts, and by nobody else.
    fn alive(&mut self);

    /// Hands over each turn, press and hold of the knob since the last call. Called every 10 ms.
    fn knob(&mut self, event: impl FnMut(Event));

    /// Shows a frame. A display that fails is logged by the board: there is nobody else to tell.
    fn show(&mut self, frame: &Frame);

    /// The most stack that was used since the start, for the log.
    fn stack_used_bytes(&mut self) -> usize;

    /// Nothing to do: sleeps until something may have changed, at most 10 ms.
    fn sleep(&mut self);
}
