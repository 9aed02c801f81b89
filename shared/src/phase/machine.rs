//! The phases up to the verdict, and how events move between them.
//!
//! To the next person here: a new phase wants an arm in `handle` for every event (the compiler asks for each), its
//! screen in `app/view.rs`, and a line in the diagram of the room's doc.

use super::{Action, Event};

/// Where the work stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Phase {
    /// No card. Exists so that the machine's own state (spool, balance) has a place to be seen.
    #[default]
    Waiting,
    /// The card is being listed. Exists because a large card takes seconds and must not be pulled meanwhile.
    Reading,
    /// The card holds no job. Exists because a learner with only a model file needs to be told what is missing.
    Nothing,
    /// The list of jobs.
    Jobs {
        /// Rank of the chosen job, 0 = newest.
        chosen: u16,
        /// Jobs on the card.
        jobs: u16,
    },
    /// The confirmation screen of the chosen job.
    Verdict {
        /// Rank of the chosen job.
        chosen: u16,
        /// Jobs on the card.
        jobs: u16,
        /// Points found so far.
        points: u8,
    },
    /// One point of the chosen job.
    Points {
        /// Rank of the chosen job.
        chosen: u16,
        /// Jobs on the card.
        jobs: u16,
        /// Points found so far, at least 1.
        points: u8,
        /// The point on the screen, 0 = worst.
        point: u8,
        /// Whether its remedy is shown rather than its facts.
        remedy: bool,
    },
    /// The card cannot be read. Exists so that the reason and the remedy stay until the card is taken out.
    Fault,
}

impl Phase {
    /// Whether a card is in.
    const fn has_card(self) -> bool {
        match self {
            Self::Waiting => false,
            Self::Reading
            | Self::Nothing
            | Self::Jobs { .. }
            | Self::Verdict { .. }
            | Self::Points { .. }
            | Self::Fault => true,
        }
    }
}

/// The state machine.
#[derive(Clone, Debug, Default)]
pub struct Machine {
    phase: Phase,
}

impl Machine {
    /// A machine in [`Phase::Waiting`].
    #[must_use]
    pub const fn new() -> Self {
        Self { phase: Phase::Waiting }
    }

    /// Where the work stands.
    #[must_use]
    pub const fn phase(&self) -> Phase {
        self.phase
    }

    /// Takes an event; says what is to be done. Bounded; never panics.
    #[must_use]
    pub fn handle(&mut self, event: Event) -> Action {
        let (phase, action) = match event {
            // From a phase with a card it is a second insertion without a removal: the contact bounced. Read again.
            Event::CardIn => (Phase::Reading, Action::ListCard),
            Event::CardOut if self.phase.has_card() => (Phase::Waiting, Action::ForgetCard),
            Event::CardFault if self.phase.has_card() => (Phase::Fault, Action::Redraw),
            Event::CardOut | Event::CardFault => (self.phase, Action::Refused),
            Event::Listed { jobs } => self.listed(jobs),
            Event::Vetted { points } => self.vetted(points),
            Event::Turned(detents) => self.turned(detents),
            Event::Pressed => self.pressed(),
        };
        self.phase = phase;
        action
    }

    fn listed(&self, jobs: u16) -> (Phase, Action) {
        match self.phase {
            Phase::Reading if jobs == 0 => (Phase::Nothing, Action::Redraw),
            Phase::Reading => (Phase::Jobs { chosen: 0, jobs }, Action::ShowJob(0)),
            // Another page of a card whose count cannot change while it is in.
            Phase::Jobs { .. } => (self.phase, Action::Redraw),
            Phase::Waiting | Phase::Nothing | Phase::Verdict { .. } | Phase::Points { .. } | Phase::Fault => {
                (self.phase, Action::Refused)
            }
        }
    }

    fn vetted(&self, found: u8) -> (Phase, Action) {
        match self.phase {
            Phase::Verdict { chosen, jobs, .. } => {
                (Phase::Verdict { chosen, jobs, points: found }, Action::Redraw)
            }
            Phase::Points { chosen, jobs, .. } if found == 0 => {
                (Phase::Verdict { chosen, jobs, points: 0 }, Action::Redraw)
            }
            Phase::Points { chosen, jobs, point, remedy, .. } => (
                Phase::Points { chosen, jobs, points: found, point: point.min(found - 1), remedy },
                Action::Redraw,
            ),
            Phase::Waiting | Phase::Reading | Phase::Nothing | Phase::Jobs { .. } | Phase::Fault => {
                (self.phase, Action::Refused)
            }
        }
    }

    fn turned(&self, detents: i8) -> (Phase, Action) {
        match self.phase {
            Phase::Jobs { chosen, jobs } => {
                let chosen = step(chosen, detents, jobs);
                (Phase::Jobs { chosen, jobs }, Action::ShowJob(chosen))
            }
            Phase::Verdict { chosen, jobs, points } if points > 0 && detents > 0 => {
                (Phase::Points { chosen, jobs, points, point: 0, remedy: false }, Action::Redraw)
            }
            // Back to the slips: the same way that leads out of the points.
            Phase::Verdict { chosen, jobs, .. } if detents < 0 => {
                (Phase::Jobs { chosen, jobs }, Action::ShowJob(chosen))
            }
            Phase::Points { chosen, jobs, points, point: 0, .. } if detents < 0 => {
                (Phase::Verdict { chosen, jobs, points }, Action::Redraw)
            }
            Phase::Points { chosen, jobs, points, point, .. } => {
                let to = step(u16::from(point), detents, u16::from(points));
                // `step` keeps it below `points`, a u8.
                let point = u8::try_from(to).unwrap_or(point);
                (Phase::Points { chosen, jobs, points, point, remedy: false }, Action::Redraw)
            }
            Phase::Waiting | Phase::Reading | Phase::Nothing | Phase::Verdict { .. } | Phase::Fault => {
                (self.phase, Action::Refused)
            }
        }
    }

    fn pressed(&self) -> (Phase, Action) {
        match self.phase {
            Phase::Jobs { chosen, jobs } => (Phase::Verdict { chosen, jobs, points: 0 }, Action::Vet(chosen)),
            Phase::Verdict { chosen, jobs, points: 0 } => {
                (Phase::Jobs { chosen, jobs }, Action::ShowJob(chosen))
            }
            Phase::Verdict { chosen, jobs, points } => {
                (Phase::Points { chosen, jobs, points, point: 0, remedy: false }, Action::Redraw)
            }
            Phase::Points { chosen, jobs, points, point, remedy } => {
                (Phase::Points { chosen, jobs, points, point, remedy: !remedy }, Action::Redraw)
            }
            Phase::Waiting | Phase::Reading | Phase::Nothing | Phase::Fault => (self.phase, Action::Refused),
        }
    }
}

/// `from` moved by `detents` and held within `0..count`.
fn step(from: u16, detents: i8, count: u16) -> u16 {
    from.saturating_add_signed(i16::from(detents)).min(count.saturating_sub(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn at(events: &[Event]) -> Machine {
        let mut machine = Machine::new();
        for &event in events {
            let _ = machine.handle(event);
        }
        machine
    }

    #[test]
    fn a_card_leads_to_its_newest_job() {
        let mut machine = at(&[Event::CardIn]);
        assert_eq!(machine.phase(), Phase::Reading);
        assert_eq!(machine.handle(Event::Listed { jobs: 3 }), Action::ShowJob(0));
        assert_eq!(machine.handle(Event::Turned(1)), Action::ShowJob(1));
        assert_eq!(machine.handle(Event::Pressed), Action::Vet(1));
        assert_eq!(machine.handle(Event::Vetted { points: 2 }), Action::Redraw);
        assert_eq!(machine.phase(), Phase::Verdict { chosen: 1, jobs: 3, points: 2 });
    }

    #[test]
    fn points_are_read_by_turning_and_their_remedy_by_pressing() {
        let mut machine = at(&[
            Event::CardIn,
            Event::Listed { jobs: 1 },
            Event::Pressed,
            Event::Vetted { points: 2 },
            Event::Turned(1),
        ]);
        let point = |machine: &Machine| match machine.phase() {
            Phase::Points { point, remedy, .. } => Some((point, remedy)),
            Phase::Waiting
            | Phase::Reading
            | Phase::Nothing
            | Phase::Jobs { .. }
            | Phase::Verdict { .. }
            | Phase::Fault => None,
        };
        assert_eq!(point(&machine), Some((0, false)));
        let _ = machine.handle(Event::Pressed);
        assert_eq!(point(&machine), Some((0, true)));
        let _ = machine.handle(Event::Turned(1));
        assert_eq!(point(&machine), Some((1, false)));
        let _ = machine.handle(Event::Turned(1));
        assert_eq!(point(&machine), Some((1, false)), "there is none after the last");
        let _ = machine.handle(Event::Turned(-1));
        let _ = machine.handle(Event::Turned(-1));
        assert_eq!(machine.phase(), Phase::Verdict { chosen: 0, jobs: 1, points: 2 });
    }

    #[test]
    fn an_empty_card_and_a_faulty_one_have_their_own_place() {
        assert_eq!(at(&[Event::CardIn, Event::Listed { jobs: 0 }]).phase(), Phase::Nothing);
        assert_eq!(at(&[Event::CardIn, Event::CardFault]).phase(), Phase::Fault);
    }

    fn any_event() -> impl Strategy<Value = Event> {
        prop_oneof![
            Just(Event::CardIn),
            Just(Event::CardOut),
            Just(Event::CardFault),
            (0..500_u16).prop_map(|jobs| Event::Listed { jobs }),
            (0..30_u8).prop_map(|points| Event::Vetted { points }),
            any::<i8>().prop_map(Event::Turned),
            Just(Event::Pressed),
        ]
    }

    proptest! {
        /// No event in any phase panics, ranks stay in range, and pulling the card always leads to Waiting.
        #[test]
        fn all_events_in_all_phases(events in proptest::collection::vec(any_event(), 0..60)) {
            let mut machine = Machine::new();
            for event in events {
                let before = machine.phase();
                let action = machine.handle(event);
                if action == Action::Refused {
                    prop_assert_eq!(before, machine.phase());
                }
                if let Phase::Jobs { chosen, jobs } | Phase::Verdict { chosen, jobs, .. } = machine.phase() {
                    prop_assert!(chosen < jobs);
                }
                if let Phase::Points { chosen, jobs, points, point, .. } = machine.phase() {
                    prop_assert!(chosen < jobs && point < points);
                }
            }
            let _ = machine.handle(Event::CardOut);
            prop_assert_eq!(machine.phase(), Phase::Waiting);
        }
    }
}
