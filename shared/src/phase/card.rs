//! Cards, their jobs and the verdict: the phases before the walk-round.

use super::machine::{InList, Machine};
use super::run::Stage;
use super::terms::Walk;
use super::{Action, FailReason, Phase, RowKind, Seal};
use crate::checks::Verdict;
use crate::time::Instant;

/// So long a card that went out in the walk-round is waited for, ms (judgement: a person who put it into the printer
/// too soon is back within it).
pub const AWAY_MS: u64 = 120_000;

impl Machine {
    /// Forgets the chosen job and what was answered for it.
    fn drop_job(&mut self) {
        self.terms = None;
        self.walk = Walk::default();
    }

    pub(super) fn list_card(&mut self) {
        self.drop_job();
        self.go(Phase::Reading);
        self.push(Action::ListCard);
    }

    /// Back to where no card is in.
    pub(super) fn enter_waiting(&mut self) {
        self.drop_job();
        self.go(Phase::Waiting);
        self.push(Action::ForgetCard);
    }

    pub(super) fn card_in(&mut self, now: Instant) -> bool {
        self.card = true;
        match self.phase {
            // From a phase with a card it is a second insertion without a removal: the contact bounced. Read again.
            Phase::Waiting
            | Phase::Reading
            | Phase::Nothing
            | Phase::Jobs { .. }
            | Phase::Verdict { .. }
            | Phase::Points { .. }
            | Phase::Fault
            | Phase::Key { .. } => self.list_card(),
            // Answers given so far hold if the file is the same.
            Phase::Walk | Phase::Release | Phase::Away => {
                self.go(Phase::Away);
                self.walk.away_until = now.after_ms(AWAY_MS);
                self.push(Action::CheckSeal);
            }
            // It was on its way to the printer and may have been changed elsewhere.
            Phase::Released(Stage::Start) => self.push(Action::CheckSeal),
            // Nobody else's turn yet; read once the run is closed out.
            Phase::Released(
                Stage::WarmUp
                | Stage::FirstLayer
                | Stage::Run
                | Stage::CoolDown
                | Stage::Plate
                | Stage::CloseOut,
            ) => {}
        }
        true
    }

    pub(super) fn card_out(&mut self, now: Instant) -> bool {
        let was_in = core::mem::replace(&mut self.card, false);
        match self.phase {
            Phase::Waiting => return false,
            Phase::Verdict { .. } | Phase::Points { .. } | Phase::Key { .. } => {
                if self.is_barred() {
                    self.push(Action::Row(RowKind::Refusal));
                }
                self.enter_waiting();
            }
            Phase::Reading | Phase::Nothing | Phase::Jobs { .. } | Phase::Fault => self.enter_waiting(),
            Phase::Walk | Phase::Release if !was_in => return false,
            // Turned away in the walk-round: by a sticker that does not fit.
            Phase::Walk | Phase::Release if self.is_barred() => {
                self.push(Action::Row(RowKind::Refusal));
                self.enter_waiting();
            }
            Phase::Walk | Phase::Release | Phase::Away => {
                if self.terms.is_some_and(|terms| terms.verdict.is_some()) {
                    self.go(Phase::Away);
                    self.walk.away_until = now.after_ms(AWAY_MS);
                } else {
                    // Not vetted to its end: nothing is known of the file that could be compared.
                    self.enter_waiting();
                }
            }
            // As it should be: it goes to the printer.
            Phase::Released(_) => {}
        }
        true
    }

    /// Whether a HOLD stands that nobody opened.
    fn is_barred(&self) -> bool {
        self.terms.is_some_and(|terms| match terms.verdict {
            Some(Verdict::Hold | Verdict::NoVerdict) => self.walk.lead.is_none(),
            Some(Verdict::Clear | Verdict::Look) | None => false,
        })
    }

    pub(super) fn card_fault(&mut self) -> bool {
        match self.phase {
            // After the release the job is the printer's; what is wrong with a card here concerns no run.
            Phase::Waiting | Phase::Released(_) => false,
            Phase::Reading
            | Phase::Nothing
            | Phase::Jobs { .. }
            | Phase::Verdict { .. }
            | Phase::Points { .. }
            | Phase::Fault
            | Phase::Key { .. }
            | Phase::Walk
            | Phase::Release
            | Phase::Away => {
                self.drop_job();
                self.go(Phase::Fault);
                true
            }
        }
    }

    pub(super) fn sealed(&mut self, now: Instant, seal: Seal) -> bool {
        match (self.phase, seal) {
            (Phase::Away, Seal::Same) if self.card => self.onward(now),
            (Phase::Away, Seal::Changed) if self.card => {
                self.push(Action::Row(RowKind::Refusal));
                self.list_card();
            }
            (Phase::Released(Stage::Start), Seal::Same) => {}
            // Released for a file that is no longer there: taken back before it was started.
            (Phase::Released(Stage::Start), Seal::Changed) => {
                self.run.reason = Some(FailReason::WrongJob);
                self.never_started(now);
            }
            (
                Phase::Waiting
                | Phase::Reading
                | Phase::Nothing
                | Phase::Jobs { .. }
                | Phase::Verdict { .. }
                | Phase::Points { .. }
                | Phase::Fault
                | Phase::Key { .. }
                | Phase::Walk
                | Phase::Release
                | Phase::Away
                | Phase::Released(_),
                Seal::Same | Seal::Changed,
            ) => return false,
        }
        true
    }

    pub(super) fn listed(&mut self, jobs: u16) -> bool {
        match self.phase {
            Phase::Reading if jobs == 0 => self.phase = Phase::Nothing,
            Phase::Reading => self.show(0, jobs),
            // Another page of a card whose count cannot change while it is in.
            Phase::Jobs { .. } => {}
            Phase::Waiting
            | Phase::Nothing
            | Phase::Verdict { .. }
            | Phase::Points { .. }
            | Phase::Fault
            | Phase::Key { .. }
            | Phase::Walk
            | Phase::Release
            | Phase::Away
            | Phase::Released(_) => return false,
        }
        true
    }

    pub(super) fn vetted(&mut self, found: u8) -> bool {
        self.phase = match self.phase {
            Phase::Verdict { chosen, jobs, .. } => Phase::Verdict { chosen, jobs, points: found },
            Phase::Points { chosen, jobs, .. } if found == 0 => {
                self.fill = None;
                Phase::Verdict { chosen, jobs, points: 0 }
            }
            Phase::Points { chosen, jobs, point, remedy, .. } => {
                Phase::Points { chosen, jobs, points: found, point: point.min(found - 1), remedy }
            }
            Phase::Walk | Phase::Release => self.phase,
            Phase::Waiting
            | Phase::Reading
            | Phase::Nothing
            | Phase::Jobs { .. }
            | Phase::Fault
            | Phase::Key { .. }
            | Phase::Away
            | Phase::Released(_) => return false,
        };
        self.job.points = found;
        true
    }

    /// The list, with the job of this rank.
    fn show(&mut self, chosen: u16, jobs: u16) {
        self.drop_job();
        self.go(Phase::Jobs { chosen, jobs });
        self.push(Action::ShowJob(chosen));
    }

    /// The knob was turned in a phase without a question.
    pub(super) fn turned_at_card(&mut self, now: Instant, detents: i8) -> bool {
        match self.phase {
            Phase::Jobs { chosen, jobs } => {
                let chosen = step(chosen, detents, jobs);
                self.phase = Phase::Jobs { chosen, jobs };
                self.hint(Action::ShowJob(chosen));
            }
            Phase::Verdict { chosen, jobs, points } if points > 0 && detents > 0 => {
                self.phase = Phase::Points { chosen, jobs, points, point: 0, remedy: false };
            }
            // Back to the slips: the same way that leads out of the points.
            Phase::Verdict { chosen, jobs, .. } if detents < 0 => self.show(chosen, jobs),
            Phase::Points { chosen, jobs, points, point: 0, .. } if detents < 0 => {
                self.phase = Phase::Verdict { chosen, jobs, points };
            }
            Phase::Points { chosen, jobs, points, point, .. } => {
                let to = step(u16::from(point), detents, u16::from(points));
                // `step` keeps it below `points`, a u8.
                let point = u8::try_from(to).unwrap_or(point);
                self.phase = Phase::Points { chosen, jobs, points, point, remedy: false };
            }
            Phase::Key { .. } => {
                self.key.turn(now, detents);
                self.show_key();
            }
            Phase::Release if detents < 0 => self.enter_verdict(),
            Phase::Waiting
            | Phase::Reading
            | Phase::Nothing
            | Phase::Verdict { .. }
            | Phase::Fault
            | Phase::Walk
            | Phase::Release
            | Phase::Away
            | Phase::Released(_) => return false,
        }
        true
    }

    /// The knob was pressed in a phase without a question.
    pub(super) fn pressed_at_card(&mut self, now: Instant) -> bool {
        match self.phase {
            Phase::Jobs { chosen, jobs } => {
                self.drop_job();
                self.job = InList { chosen, jobs, points: 0 };
                self.phase = Phase::Verdict { chosen, jobs, points: 0 };
                self.push(Action::Vet(chosen));
            }
            Phase::Verdict { .. } if self.may_walk() => self.onward(now),
            Phase::Verdict { chosen, jobs, points: 0 } => self.show(chosen, jobs),
            Phase::Verdict { chosen, jobs, points } => {
                let point = self.unread().unwrap_or(0).min(points - 1);
                self.phase = Phase::Points { chosen, jobs, points, point, remedy: false };
            }
            // Its remedy has been read, and it was the last that had to be.
            Phase::Points { remedy: true, .. } if self.may_walk() => self.onward(now),
            Phase::Points { chosen, jobs, points, point, remedy } => {
                if point < 8 {
                    self.walk.read |= 1 << point;
                }
                self.phase = Phase::Points { chosen, jobs, points, point, remedy: !remedy };
            }
            Phase::Key { .. } => self.key_pressed(now),
            // Press and hold, there.
            Phase::Release
            | Phase::Waiting
            | Phase::Reading
            | Phase::Nothing
            | Phase::Fault
            | Phase::Walk
            | Phase::Away
            | Phase::Released(_) => return false,
        }
        true
    }
}

/// `from` moved by `detents` and held within `0..count`.
pub(super) fn step(from: u16, detents: i8, count: u16) -> u16 {
    from.saturating_add_signed(i16::from(detents)).min(count.saturating_sub(1))
}
