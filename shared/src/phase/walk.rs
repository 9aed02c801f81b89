//! From the verdict to the release: a lead's key, the walk-round, press and hold.

use super::answers::Hand;
use super::key::Entered;
use super::machine::Machine;
use super::question::{Answer, Question};
use super::run::{Run, RunClock, Stage};
use super::terms::{MUST_READ, Offer};
use super::{Action, Gate, Phase, QUICKEST_MS, RowKind};
use crate::checks::Verdict;
use crate::time::Instant;

/// How long the knob is held at the release and for a lead's key, ms: long enough that nobody does it by accident, and
/// short enough to be done with a card in the other hand (judgement).
pub const HOLD_MS: u64 = 1_500;
/// After a break this long the plate is asked about once more, ms (job catalogue, S5).
pub const BREAK_MS: u64 = 600_000;
impl Machine {
    /// Takes what the app says of the chosen job, as often as it changes; says what is to be done first.
    ///
    /// A HOLD that comes up in the walk-round leads back to the verdict; what was answered stays answered.
    #[must_use]
    #[inline(never)]
    pub fn offer(&mut self, now: Instant, offer: &Offer) -> Action {
        match self.phase {
            Phase::Verdict { .. } | Phase::Points { .. } | Phase::Walk | Phase::Release => {}
            Phase::Waiting
            | Phase::Reading
            | Phase::Nothing
            | Phase::Jobs { .. }
            | Phase::Fault
            | Phase::Key { .. }
            | Phase::Away
            | Phase::Released(_) => return Action::Refused,
        }
        self.walk.read = match self.terms {
            Some(before) if before.verdict.is_some() => {
                still_read(self.walk.read, before.first_points, offer.terms.first_points)
            }
            // Points found while vetting change their places and their numbers.
            Some(_) | None => 0,
        };
        if self.terms.is_none() {
            // Of no use but to differ from job to job: when the vetting ended, in sixteenths of a second.
            self.walk.order = (now.0 >> 6) as u8;
        }
        self.terms = Some(offer.terms);
        self.body_crc = offer.body_crc;
        self.plan.clone_from(&offer.plan);
        self.ask_another_owner();
        self.walk.offered = now;
        // Whoever reads that the spool is the wrong one may change it and answer anew.
        let reads_remedy = self.ask.is_some_and(|ask| ask.wrong.is_some());
        if matches!(self.phase, Phase::Walk | Phase::Release) && !self.may_walk() && !reads_remedy {
            self.enter_verdict();
        } else if self.phase == Phase::Release && self.person_left().is_some() {
            // Only all of the moves told when it ends.
            self.next_hand(now);
        }
        Action::Redraw
    }

    pub(super) const fn enter_verdict(&mut self) {
        let Self { job, .. } = *self;
        self.go(Phase::Verdict { chosen: job.chosen, jobs: job.jobs, points: job.points });
    }

    /// The first point that must be read and was not.
    pub(super) fn unread(&self) -> Option<u8> {
        let looks = self.terms.map_or(0, |terms| terms.looks.min(MUST_READ));
        (0..looks).find(|&point| self.walk.read & (1 << point) == 0)
    }

    /// Whether the verdict lets the person go on to the walk-round.
    pub(super) fn may_walk(&self) -> bool {
        let Some(terms) = self.terms else { return false };
        match terms.verdict {
            None | Some(Verdict::Clear) => true,
            Some(Verdict::Look) => self.unread().is_none(),
            // What an answer holds is answered anew: it was not ticked off.
            Some(Verdict::Hold) if terms.answers_hold => self.unread().is_none(),
            Some(Verdict::Hold | Verdict::NoVerdict) => self.walk.lead.is_some(),
        }
    }

    /// Whether press and hold would release: vetted, answered, and nobody holds the machine.
    pub(super) fn may_release(&self) -> bool {
        self.terms.is_some_and(|terms| terms.verdict.is_some() && !terms.answers_hold)
            && self.may_walk()
            && self.person_left().is_none()
            && self.out_of_use.is_none()
    }

    /// Hand checks that are still to be answered.
    pub(super) fn hands_left(&self) -> u16 {
        // Without a list nobody could answer what the sticker says.
        let no_list = self.terms.is_none_or(|terms| terms.grades == 0);
        let asked = if no_list { Hand::EVERY & !Hand::Sticker.bit() } else { Hand::EVERY };
        self.plan.hands & asked & !self.walk.done
    }

    /// Goes on from the verdict: the next hand check, or the release.
    pub(super) fn onward(&mut self, now: Instant) {
        if !self.may_walk() {
            return self.enter_verdict();
        }
        self.next_hand(now);
    }

    fn next_hand(&mut self, now: Instant) {
        if let Some(question) = self.person_left() {
            self.go(Phase::Walk);
            return self.ask_person(now, question);
        }
        let left = self.hands_left();
        match Hand::ALL.iter().find(|hand| left & hand.bit() != 0) {
            Some(&hand) => {
                self.go(Phase::Walk);
                self.ask(now, Question::Hand(hand));
            }
            None => self.go(Phase::Release),
        }
    }

    /// A hand check was answered.
    pub(super) fn answer_hand(&mut self, now: Instant, hand: Hand, answer: Answer) {
        let fits = match answer {
            Answer::Sticker(grade) => {
                self.terms.is_some_and(|terms| terms.wanted.is_none_or(|it| it == grade))
            }
            Answer::Seen(seen) => hand.wants() == Some(seen),
            Answer::Shown(_)
            | Answer::Strip(_)
            | Answer::FirstLayer(_)
            | Answer::AfterFault(_)
            | Answer::Running(_)
            | Answer::AfterTrouble(_)
            | Answer::StillRunning(_)
            | Answer::PartOff(_)
            | Answer::PlateBack(_)
            | Answer::Outcome(_)
            | Answer::Reason(_)
            | Answer::Lead(_)
            | Answer::Again(_)
            | Answer::Use(_)
            | Answer::Owner
            | Answer::InCharge
            | Answer::Nobody => false,
        };
        if let Some(ask) = &mut self.ask
            && hand.is_killer()
            && !ask.again
            && now.since_ms(ask.since) < QUICKEST_MS
        {
            // Nobody looks at a plate that fast.
            (ask.again, ask.place, ask.since) = (true, None, now);
            return;
        }
        self.hint(Action::Answered(Question::Hand(hand), answer));
        if fits {
            self.walk.done |= hand.bit();
            self.walk.at = now;
            self.walk.last_chance = false;
            // The verdict that stands was for another answer; what this one makes of it is offered next.
            self.next_hand(now);
        } else if let Some(ask) = &mut self.ask {
            ask.wrong = Some(answer);
        }
    }

    /// The knob is held down.
    pub(super) fn held(&mut self, now: Instant) -> bool {
        let begins = match self.phase {
            Phase::Release => {
                if !self.may_release() {
                    if self.out_of_use.is_some() {
                        self.push(Action::Row(RowKind::Refusal));
                    }
                    return false;
                }
                if now.since_ms(self.walk.at) > BREAK_MS {
                    self.walk.done &= !Hand::Plate.bit();
                    self.plan.hands |= Hand::Plate.bit();
                    self.walk.last_chance = true;
                    self.onward(now);
                    return true;
                }
                true
            }
            Phase::Verdict { .. } | Phase::Points { .. } => self.key_fits(now),
            Phase::Walk => true,
            Phase::Waiting => self.ask.is_none(),
            Phase::Released(
                Stage::WarmUp | Stage::FirstLayer | Stage::Run | Stage::Plate | Stage::CloseOut,
            ) => true,
            Phase::Released(Stage::Start | Stage::CoolDown)
            | Phase::Reading
            | Phase::Nothing
            | Phase::Jobs { .. }
            | Phase::Fault
            | Phase::Key { .. }
            | Phase::Away => false,
        };
        self.fill = begins.then_some(now);
        begins
    }

    /// Whether there is a HOLD, and a key that may open it.
    pub(super) fn key_fits(&self, now: Instant) -> bool {
        let Some(terms) = self.terms else { return false };
        let holds = match terms.verdict {
            Some(Verdict::Hold | Verdict::NoVerdict) => true,
            Some(Verdict::Clear | Verdict::Look) | None => false,
        };
        holds && terms.code.is_some() && self.walk.lead.is_none() && self.key.rests_ms(now) == 0
    }

    /// The knob was held long enough.
    pub(super) fn filled(&mut self, now: Instant) {
        self.fill = None;
        match self.phase {
            Phase::Release => self.release(now),
            Phase::Verdict { .. } | Phase::Points { .. } => {
                self.key.open(now);
                self.go(Phase::Key { entered: 0, digit: 0 });
            }
            Phase::Walk => self.enter_verdict(),
            // What was answered there is answered anew.
            Phase::Released(Stage::Plate) => self.ask(now, Question::PartOff),
            Phase::Released(Stage::CloseOut) => {
                (self.run.outcome, self.run.reason) = (None, None);
                self.ask(now, Question::Outcome);
            }
            // Somebody is about to stop it, or has.
            Phase::Released(_) => {
                self.ask(now, Question::AfterTrouble);
                if let Some(ask) = &mut self.ask {
                    ask.lapses = true;
                }
            }
            Phase::Waiting => self.push(Action::Desk),
            // No fill begins there.
            Phase::Reading
            | Phase::Nothing
            | Phase::Jobs { .. }
            | Phase::Fault
            | Phase::Key { .. }
            | Phase::Away => {}
        }
    }

    /// A lead is at a machine that waits: in use or not, and why not.
    pub(super) fn desk(&mut self, now: Instant) -> bool {
        if self.phase != Phase::Waiting {
            return false;
        }
        self.ask(now, Question::Use);
        if let Some(ask) = &mut self.ask {
            // Whoever opened it may be called away.
            ask.lapses = true;
        }
        true
    }

    /// Shows the key as far as it is entered.
    pub(super) const fn show_key(&mut self) {
        self.phase = Phase::Key { entered: self.key.entered(), digit: self.key.digit() };
    }

    /// A digit of the code is in.
    pub(super) fn key_pressed(&mut self, now: Instant) {
        match self.key.press(now, self.terms.and_then(|terms| terms.code)) {
            Entered::Part => self.show_key(),
            Entered::Fits => {
                self.show_key();
                self.ask(now, Question::Lead);
            }
            Entered::Wrong => {
                self.push(Action::Row(RowKind::Refusal));
                self.enter_verdict();
            }
        }
    }

    /// The hold point is over.
    fn release(&mut self, now: Instant) {
        let waited = u32::try_from(now.since_ms(self.walk.offered) / 1000).unwrap_or(u32::MAX);
        self.run = Run {
            lead: self.walk.lead,
            in_charge: self.walk.in_charge,
            closing_s: self.plan.closing_in_s.map(|span| span.saturating_sub(waited)),
            ..Run::default()
        };
        self.clock = RunClock::starting(0, now);
        self.push(Action::Row(RowKind::Start));
        self.go_to(Stage::Start);
        self.gate_open = true;
        self.push(Action::Gate(Gate::Open));
        self.ask(now, Question::Shown);
    }
}

/// The flags of points that were read, for a list in which others stand before them.
fn still_read<const N: usize>(read: u8, before: [Option<(u8, u8)>; N], now: [Option<(u8, u8)>; N]) -> u8 {
    let was_read = |point: (u8, u8)| {
        before.iter().enumerate().any(|(at, held)| *held == Some(point) && read & (1 << at) != 0)
    };
    now.iter()
        .enumerate()
        .filter(|(_, point)| point.is_some_and(was_read))
        .fold(0, |flags, (at, _)| flags | 1 << at)
}
