//! What the loop needs of a board.

use holdpoint_shared::app::Event;
use holdpoint_shared::screens::Frame;
use holdpoint_shared::time::{Instant, WallClock};

/// A board: time, display, knob; its card slot is a [`CardSlot`](crate::card::CardSlot) of its own. Log lines go through defmt, whose way out each board links.
pub trait Board {
    /// Milliseconds since power-up.
    fn instant(&mut self) -> Instant;

    /// The room's local time; `None` where the board has no clock, or it is not set.
    fn wall(&mut self) -> Option<WallClock>;

    /// Hands over each turn and press of the knob since the last call. Called every 10 ms.
    fn knob(&mut self, event: impl FnMut(Event));

    /// Shows a frame. A display that fails is logged by the board: there is nobody else to tell.
    fn show(&mut self, frame: &Frame);

    /// The most stack that was used since the start, for the log.
    fn stack_used_bytes(&mut self) -> usize;

    /// Nothing to do: sleeps until something may have changed, at most 10 ms.
    fn sleep(&mut self);
}
