//! What a screen needs to know of the run, as plain data.

use super::answers::{FailReason, Hand, OutOfUse};
use super::machine::Machine;
use super::person::{CodeEntry, InCharge, Person};
use super::plan::{LookAt, StartStep};
use super::question::{Answer, Question};
use super::run::{Stage, said};
use super::walk::HOLD_MS;
use super::{Heat, Phase, Stall};
use crate::time::Instant;

/// From this share of the time on, percent, the end is one time instead of a window (job catalogue, section 4).
const ONE_TIME_PERCENT: u32 = 85;

/// A question as it stands on the screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Asked {
    /// What is asked.
    pub question: Question,
    /// To be handed to [`Question::answer`] with each place from 0 on.
    pub order: u8,
    /// The place on the knob; `None` = "—", not yet turned.
    pub place: Option<u8>,
    /// The answer that was given and is not as it should be: its remedy is on the screen; a press goes on.
    pub wrong: Option<Answer>,
    /// It was answered too quickly and is asked once more.
    pub again: bool,
    /// Its number among the hand checks, from 1; 0 elsewhere.
    pub number: u8,
    /// Hand checks of this job.
    pub of: u8,
    /// The last chance after a break.
    pub last_chance: bool,
    /// Who is on the knob, at a question for a person.
    pub person: Option<Person>,
    /// The code that is being put in there.
    pub entry: Option<CodeEntry>,
}

/// Everything a screen of the run shows that the machine knows. Spans are seconds from now; whoever draws adds them to
/// the wall clock. Estimated unless said otherwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct RunView {
    /// Where the work stands.
    pub phase: Phase,
    /// The question on the screen.
    pub asked: Option<Asked>,
    /// The verdict lets the person go on to the walk-round.
    pub may_walk: bool,
    /// The first point that must still be read.
    pub unread: Option<u8>,
    /// A lead's key may open this HOLD: hold the knob.
    pub key_fits: bool,
    /// Press and hold would release.
    pub may_release: bool,
    /// How full the fill of press and hold is, permille; 0 = not held.
    pub fill_permille: u16,
    /// A lead holds the machine.
    pub out_of_use: Option<OutOfUse>,
    /// A card is in the slot.
    pub card: bool,
    /// What comes now in the first minutes.
    pub now: Option<StartStep>,
    /// What comes next, and when.
    pub next: Option<(StartStep, u32)>,
    /// Until the first move (warm-up), the end of the watch (first layer), or the plate may be touched and the part
    /// lets go (cool-down).
    pub countdown_s: Option<u32>,
    /// Warm-up does not go on as it should.
    pub stall: Option<Stall>,
    /// The person may leave.
    pub leaving: bool,
    /// Earliest and latest end; the same twice from 85 % on. `None` before the release and after the end.
    pub end_s: Option<(u32, u32)>,
    /// Job seconds, from the first move on; 0 before it.
    pub job_s: u32,
    /// How far, by time.
    pub percent: u8,
    /// The layer that is being laid and how many there are; by time.
    pub layer: Option<(u16, u16)>,
    /// A look that is due now.
    pub look_due: Option<LookAt>,
    /// The next look, and when.
    pub look: Option<(LookAt, u32)>,
    /// The next pause that wants a person.
    pub pause: Option<u32>,
    /// In a pause for so long.
    pub paused_s: Option<u32>,
    /// The room closes before the latest end, in so many seconds.
    pub closes_first: Option<u32>,
    /// Later than the middle of the forecast (above 0) or ended before it (below 0), seconds; 0 while nothing is
    /// known.
    pub off_s: i32,
    /// The latest end is over and nobody said what became of it.
    pub overdue: bool,
    /// Heat fell before the end's window.
    pub cooling_early: bool,
    /// Why the run did not come to its end.
    pub reason: Option<FailReason>,
    /// What was seen that ended it or is being seen to.
    pub fault: Option<Answer>,
    /// Who is in charge when it ends after closing, as told.
    pub in_charge: Option<InCharge>,
    /// Filament used by now, mg.
    pub used_mg: u32,
    /// The last reading or estimate of the heat; `None` = none, or too old to be believed.
    pub heat: Option<Heat>,
    /// Something may still be hot.
    pub hot: bool,
    /// The plate was lifted and is missed: since when, seconds.
    pub lifted_s: Option<u32>,
    /// Power was cut in this run, and nobody has said yet what became of it.
    pub power_cut: bool,
    /// Power was cut while the wall clock was not known: durations are short by the length of the cut.
    pub clock_unsure: bool,
}

impl Machine {
    fn asked(&self) -> Option<Asked> {
        let ask = self.ask?;
        let (number, of) = match ask.question {
            Question::Hand(hand) => {
                let all = self.hands_left() | self.walk.done;
                (ones(self.walk.done & (hand.bit() - 1)) + 1, ones(all & Hand::EVERY))
            }
            Question::Shown
            | Question::Strip
            | Question::FirstLayer
            | Question::AfterFault
            | Question::Running
            | Question::AfterTrouble
            | Question::StillRunning
            | Question::PartOff
            | Question::PlateBack
            | Question::Outcome
            | Question::Reason
            | Question::Lead
            | Question::Again
            | Question::Use
            | Question::Owner
            | Question::InCharge => (0, 0),
        };
        Some(Asked {
            question: ask.question,
            order: self.walk.order,
            place: ask.place,
            wrong: ask.wrong,
            again: ask.again,
            number,
            of,
            last_chance: self.walk.last_chance,
            person: ask
                .place
                .filter(|_| matches!(ask.question, Question::Owner | Question::InCharge))
                .and_then(|place| self.person(ask.question, place)),
            entry: self.entry,
        })
    }

    /// What the screen of this moment needs.
    #[must_use]
    #[inline(never)]
    pub fn run_view(&self, now: Instant) -> RunView {
        let held_ms = self.fill.map_or(0, |since| now.since_ms(since)).min(HOLD_MS);
        let mut view = RunView {
            phase: self.phase,
            asked: self.asked(),
            may_walk: self.may_walk(),
            unread: self.unread(),
            key_fits: self.key_fits(now),
            may_release: self.may_release(),
            fill_permille: u16::try_from(held_ms * 1000 / HOLD_MS).unwrap_or(1000),
            out_of_use: self.out_of_use,
            card: self.card,
            now: None,
            next: None,
            countdown_s: None,
            stall: None,
            leaving: false,
            end_s: None,
            job_s: 0,
            percent: 0,
            layer: None,
            look_due: None,
            look: None,
            pause: None,
            paused_s: None,
            closes_first: None,
            off_s: 0,
            overdue: false,
            cooling_early: false,
            reason: None,
            fault: None,
            in_charge: None,
            used_mg: 0,
            heat: self.is_fresh(now).then_some(self.heat).filter(|heat| *heat != Heat::default()),
            hot: self.is_hot(now),
            lifted_s: None,
            power_cut: false,
            clock_unsure: false,
        };
        if let Some(stage) = self.phase.stage() {
            self.view_run(now, stage, &mut view);
        }
        view
    }

    fn view_run(&self, now: Instant, stage: Stage, view: &mut RunView) {
        let (run, plan, run_s) = (&self.run, &self.plan, self.run_s(now));
        let until = |at_s: u32| at_s.saturating_sub(run_s);
        let waiting = run.paused_at.map_or(0, |since| run_s.saturating_sub(since));
        // Before the start the whole way still lies ahead; a pause moves the end along.
        let late_start = if run.started_s.is_none() { run_s } else { waiting };
        let middle = run.end_s(plan).saturating_add(late_start);
        let (from, to) = run.window(plan);
        let (from, to) = (from.saturating_add(late_start), to.saturating_add(late_start));

        view.reason = run.reason;
        view.fault = run.fault;
        view.in_charge = run.in_charge;
        view.power_cut = run.has_said(said::POWER_CUT);
        let missed = run.lifted_s.filter(|_| stage == Stage::Plate && run.has_said(said::CHASE));
        view.lifted_s = missed.map(|at| run_s.saturating_sub(at));
        view.clock_unsure = run.has_said(said::CLOCK_UNSURE);
        view.stall = run.stall.filter(|_| stage == Stage::WarmUp);
        if let Some(ended) = run.ended_s {
            view.percent =
                if run.has_said(said::FINISHED) { 100 } else { percent(run.job_s(plan, ended), plan.end_s) };
            view.used_mg = plan.mass_mg(self.used_permille());
            let off = i64::from(ended) - i64::from(run.end_s(plan));
            view.off_s = i32::try_from(off).unwrap_or(i32::MAX);
            if stage == Stage::CoolDown {
                let read = view.heat.and_then(|heat| heat.left_s).map(u32::from);
                view.countdown_s = Some(read.unwrap_or(until(self.clock.run_s(self.cold_at))));
            }
            return;
        }
        let begun = run.started_s.unwrap_or(run_s);
        view.percent = percent(run_s.saturating_sub(begun), middle.saturating_sub(begun)).min(99);
        view.end_s = Some(if u32::from(view.percent) < ONE_TIME_PERCENT {
            (until(from), until(to))
        } else {
            (until(middle), until(middle))
        });
        view.overdue = run_s > to;
        if run_s > middle {
            view.off_s = i32::try_from(run_s - middle).unwrap_or(i32::MAX);
        }
        view.closes_first = run.closing_s.filter(|&at| at < to).map(until);
        view.cooling_early = run.has_said(said::COOLING_EARLY);
        view.leaving = run.has_said(said::LEAVING);
        view.look_due = run.look;
        view.paused_s = run.paused_at.map(|_| waiting);
        let looks = plan.looks.get(usize::from(run.looks_done));
        view.look = looks.map(|look| (look.at, until(run.at(plan, look.at_s).saturating_add(waiting))));
        let stop = plan.stops.get(usize::from(run.stops_done));
        view.pause = stop.map(|&at_s| until(run.at(plan, at_s).saturating_add(waiting)));

        match stage {
            Stage::WarmUp => {
                let read = view.heat.and_then(|heat| heat.left_s).map(u32::from);
                view.countdown_s = Some(read.unwrap_or(until(run.first_move_s(plan))));
            }
            Stage::FirstLayer => {
                view.countdown_s = Some(until(run.watch_end_s(plan)));
            }
            Stage::Start | Stage::Run | Stage::CoolDown | Stage::Plate | Stage::CloseOut => {}
        }
        if run.ready_s.is_none() {
            view.next = plan.marks.first().map(|mark| (mark.part, until(run.at(plan, mark.at_s))));
            return;
        }
        let job_s = run.job_s(plan, run_s);
        view.job_s = job_s;
        let progress = plan.progress(job_s);
        view.used_mg = plan.mass_mg(progress.share);
        if plan.layers > 0 && job_s >= plan.lead_s() {
            view.layer = Some((progress.layer.saturating_add(1).min(plan.layers), plan.layers));
        }
        view.now = plan.marks.iter().rev().find(|mark| mark.at_s <= job_s).map(|mark| mark.part);
        let next = plan.marks.iter().find(|mark| mark.at_s > job_s);
        view.next = next.map(|mark| (mark.part, until(run.at(plan, mark.at_s))));
    }
}

fn ones(set: u16) -> u8 {
    u8::try_from(set.count_ones()).unwrap_or(u8::MAX)
}

/// `part` of `whole` in percent, rounded down, 100 at most; 0 of nothing.
fn percent(part: u32, whole: u32) -> u8 {
    let share = part.min(40_000_000).saturating_mul(100).checked_div(whole).unwrap_or(0);
    u8::try_from(share.min(100)).unwrap_or(100)
}
