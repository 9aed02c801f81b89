//! A rotary knob with push.

use holdpoint_shared::app::Event;
use quadrature_decoder::{Change, FullStep, IncrementalDecoder};

use super::press::PressOrHold;

/// The two contacts that turning works, as detents.
///
/// A detent counts when both contacts went once all the way round, so bounce, which goes back the way it came, and a
/// half turn count nothing. For knobs with as many pulses as detents, as most have.
pub struct Turns {
    decoder: IncrementalDecoder<FullStep, i32>,
    /// Detents since the start; clockwise adds.
    detents: u32,
}

impl Turns {
    /// A knob that rests.
    #[must_use]
    pub fn new() -> Self {
        Self { decoder: IncrementalDecoder::default(), detents: 0 }
    }

    /// Takes a sample of both contacts (closed = `true`), to be called every millisecond: a quick hand makes an edge
    /// in three. Gives the detents since the start, clockwise, wrapping.
    pub fn sample(&mut self, a: bool, b: bool) -> u32 {
        // The library goes by levels: an open contact is high.
        match self.decoder.update(!a, !b) {
            Ok(Some(Change::Positive)) => self.detents = self.detents.wrapping_add(1),
            Ok(Some(Change::Negative)) => self.detents = self.detents.wrapping_sub(1),
            // Both contacts at once: an edge was missed, and the detent with it.
            Ok(None) | Err(_) => {}
        }
        self.detents
    }
}

impl Default for Turns {
    fn default() -> Self {
        Self::new()
    }
}

impl core::fmt::Debug for Turns {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Turns").field("detents", &self.detents).finish_non_exhaustive()
    }
}

/// Turns and presses as events.
#[derive(Debug, Default)]
pub struct Knob {
    detents: u32,
    press: PressOrHold,
}

impl Knob {
    /// To be called every 10 ms with what [`Turns`] counted and the push contact (closed = `true`).
    pub fn sample(&mut self, detents: u32, is_down: bool, mut event: impl FnMut(Event)) {
        let turned = detents.wrapping_sub(self.detents).cast_signed();
        // More than an i8 of detents in one go is no hand's; what is cut is told the next time.
        let turned = turned.clamp(i8::MIN.into(), i8::MAX.into()) as i8;
        if turned != 0 {
            self.detents = self.detents.wrapping_add_signed(turned.into());
            event(Event::Turn(turned));
        }
        if let Some(pressed) = self.press.sample(is_down) {
            event(pressed);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One detent clockwise: A closes, B closes, A opens, B opens.
    const CLOCKWISE: [(bool, bool); 5] =
        [(false, false), (true, false), (true, true), (false, true), (false, false)];

    fn turn<'s>(turns: &mut Turns, samples: impl Iterator<Item = &'s (bool, bool)>) -> i32 {
        let mut detents = 0;
        for &(a, b) in samples {
            detents = turns.sample(a, b);
        }
        detents.cast_signed()
    }

    #[test]
    fn a_round_of_both_contacts_is_a_detent_either_way() {
        let mut turns = Turns::new();
        assert_eq!(turn(&mut turns, CLOCKWISE.iter()), 1);
        assert_eq!(turn(&mut turns, CLOCKWISE.iter()), 2);
        for expected in [1, 0, -1] {
            assert_eq!(turn(&mut turns, CLOCKWISE.iter().rev()), expected);
        }
    }

    #[test]
    fn bounce_and_half_turns_count_nothing() {
        let mut turns = Turns::new();
        let bouncing = [
            (false, false),
            (true, false),
            (false, false),
            (true, false),
            (true, true),
            (true, false),
            (true, true),
            (false, true),
            (true, true),
            (false, true),
            (false, false),
            (false, true),
            (false, false),
        ];
        assert_eq!(turn(&mut turns, bouncing.iter()), 1);
        // Half way and back.
        let back = [(true, false), (true, true), (true, false), (false, false)];
        assert_eq!(turn(&mut turns, back.iter()), 1);
        assert_eq!(turn(&mut turns, CLOCKWISE.iter()), 2, "and the next detent counts");
    }

    #[test]
    fn detents_become_one_event_and_none_is_lost() {
        let mut knob = Knob::default();
        let mut events = Vec::new();
        for detents in [0, 3, 3, 2, 202, 202_u32, 202] {
            knob.sample(detents, false, |event| events.push(event));
        }
        assert_eq!(events, [Event::Turn(3), Event::Turn(-1), Event::Turn(127), Event::Turn(73)]);
    }

    #[test]
    fn backwards_past_the_start_is_backwards() {
        let mut knob = Knob::default();
        let mut events = Vec::new();
        knob.sample(u32::MAX, false, |event| events.push(event));
        assert_eq!(events, [Event::Turn(-1)]);
    }
}
