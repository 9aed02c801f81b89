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

#[cfg(test)]
mod tests {
    use super::*;

    /// The events of a button that is up for 50 ms and then as told, in samples of 10 ms.
    fn events(runs: &[(bool, usize)]) -> Vec<Event> {
        let mut press = PressOrHold::new();
        let levels = runs.iter().flat_map(|&(is_down, samples)| core::iter::repeat_n(is_down, samples));
        core::iter::repeat_n(false, 5).chain(levels).filter_map(|is_down| press.sample(is_down)).collect()
    }

    #[test]
    fn a_short_touch_is_a_press_when_it_is_let_go() {
        assert_eq!(events(&[(true, 20)]), []);
        assert_eq!(events(&[(true, 20), (false, 5)]), [Event::Press]);
        assert_eq!(events(&[(true, 39), (false, 5)]), [Event::Press]);
    }

    #[test]
    fn a_long_one_is_a_hold_and_never_a_press() {
        assert_eq!(events(&[(true, 45)]), [Event::Hold]);
        assert_eq!(events(&[(true, 300)]), [Event::Hold], "once");
        assert_eq!(events(&[(true, 45), (false, 5)]), [Event::Hold, Event::LetGo]);
    }

    #[test]
    fn bounce_is_no_touch_and_ends_none() {
        assert_eq!(events(&[(true, 1), (false, 1), (true, 1), (false, 5)]), []);
        assert_eq!(events(&[(true, 10), (false, 1), (true, 10), (false, 5)]), [Event::Press]);
    }

    #[test]
    fn one_that_was_down_from_the_start_does_nothing_until_it_was_up() {
        let mut press = PressOrHold::new();
        let stuck = core::iter::repeat_n(true, 100).filter_map(|is_down| press.sample(is_down)).count();
        assert_eq!(stuck, 0);
        let after = [(false, 5), (true, 5), (false, 5)];
        let levels = after.iter().flat_map(|&(is_down, samples)| core::iter::repeat_n(is_down, samples));
        assert_eq!(levels.filter_map(|is_down| press.sample(is_down)).collect::<Vec<_>>(), [Event::Press]);
    }
}
