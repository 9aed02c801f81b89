//! Whether a push-button is pressed or held: the event of a short press comes when it is let go.

use debouncr::{DebouncerStateful, Edge, Repeat2, debounce_stateful_2};
use holdpoint_shared::app::Event;

/// Samples, 10 ms apart, after which a button that is still down is held: 0.4 s (judgement; a quick press is over in a
/// fifth of a second).
const HELD_SAMPLES: u8 = 40;

/// A push-button over time.
pub struct PressOrHold {
    level: DebouncerStateful<u8, Repeat2>,
    /// Samples since it went down; `None` = it is up, or was down before it was ever seen up.
    down: Option<u8>,
}

impl PressOrHold {
    /// A button that counts as held until it was seen released: one that is stuck does nothing.
    #[must_use]
    pub fn new() -> Self {
        Self { level: debounce_stateful_2(true), down: None }
    }

    /// Takes a sample, to be called every 10 ms; gives what it comes to.
    pub fn sample(&mut self, is_down: bool) -> Option<Event> {
        match self.level.update(is_down) {
            Some(Edge::Rising) => {
                self.down = Some(0);
                None
            }
            Some(Edge::Falling) => {
                let samples = self.down.take()?;
                Some(if samples < HELD_SAMPLES { Event::Press } else { Event::LetGo })
            }
            None => {
                let samples = self.down.as_mut()?;
                if *samples >= HELD_SAMPLES {
                    return None;
                }
                *samples += 1;
                (*samples == HELD_SAMPLES).then_some(Event::Hold)
            }
        }
    }
}

impl Default for PressOrHold {
    fn default() -> Self {
        Self::new()
    }
}

impl core::fmt::Debug for PressOrHold {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("PressOrHold").field("down", &self.down).finish_non_exhaustive()
    }
}
