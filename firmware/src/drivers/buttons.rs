//! Five navigation buttons as the knob: up and left turn it back, down and right forward, select presses it.

use debouncr::{DebouncerStateful, Edge, Repeat2, debounce_stateful_2};
use embedded_hal::digital::InputPin;
use holdpoint_shared::app::Event;

use super::press::PressOrHold;

/// The buttons, each an input that reads low while it is held.
pub struct Buttons<P> {
    /// Those that turn.
    turns: [Button<P>; 4],
    select: P,
    press: PressOrHold,
}

struct Button<P> {
    pin: P,
    state: DebouncerStateful<u8, Repeat2>,
    event: Event,
}

impl<P: InputPin> Buttons<P> {
    /// The knob made of these five.
    pub fn new(up: P, down: P, left: P, right: P, select: P) -> Self {
        let button = |pin, event| Button {
            pin,
            // Each counts as held until it was seen released, so a button that is stuck, or held while the
            // power comes, does nothing.
            state: debounce_stateful_2(true),
            event,
        };
        Self {
            turns: [
                button(up, Event::Turn(-1)),
                button(down, Event::Turn(1)),
                button(left, Event::Turn(-1)),
                button(right, Event::Turn(1)),
            ],
            select,
            press: PressOrHold::new(),
        }
    }

    /// Reads all buttons once and hands each new press to `pressed`. To be called every 5 to 20 ms: a level counts
    /// when it was read twice in a row, which outlasts the bounce of common push-buttons (common practice, no source).
    pub fn sample(&mut self, mut pressed: impl FnMut(Event)) {
        for button in &mut self.turns {
            // A pin that cannot be read counts as released: nothing happens by itself.
            let held = button.pin.is_low().unwrap_or(false);
            if button.state.update(held) == Some(Edge::Rising) {
                pressed(button.event);
            }
        }
        if let Some(event) = self.press.sample(self.select.is_low().unwrap_or(false)) {
            pressed(event);
        }
    }
}

impl<P> core::fmt::Debug for Buttons<P> {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Buttons").finish_non_exhaustive()
    }
}
