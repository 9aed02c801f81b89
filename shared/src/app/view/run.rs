//! Run, heat and notices → the model of the screen, from the walk-round to the close-out.

use crate::phase::{Asked, LookAt, Phase, Question, Stage, StartStep};
use crate::screens::{self, Item, RunScreen, ScreenModel, WatchScreen};
use crate::survey::Footprint;
use crate::words::run::{RunPage, Term};

use super::figures::{Scene, about};
use crate::app::device::App;
use crate::app::notice::{Notice, alarm_page};
use crate::app::setup::Now;

/// A pause is announced on the screen so long before, s (job catalogue, section 4: ten minutes).
const PAUSE_SOON_S: u32 = 600;

/// The string is pulled off so long before the first move, s (job catalogue, S8).
const STRING_S: u32 = 30;

/// Hands the model of this moment's screen to `draw`, for the phases from the walk-round on and for notices.
pub(super) fn with_run<R>(app: &App, now: Now, draw: impl FnOnce(&ScreenModel<'_>) -> R) -> R {
    let scene = Scene { app, now, view: app.phase.run_view(now.instant) };
    // One place where a model is handed on: `draw` takes it by value, and each copy of it would cost flash.
    let mut mark = heapless::String::<{ crate::records::MARK_BYTES }>::new();
    let mut second = mark.clone();
    let mut items = [Item::Unknown; 7];
    match scene.screen() {
        Screen::Page(page) => scene.fill(page, &mut items, (&mut mark, &mut second), |items| {
            draw(&ScreenModel::Run(RunScreen { page, items }))
        }),
        Screen::Question(asked) => scene.fill_question(asked, &mut mark, |items| {
            draw(&ScreenModel::Asked(screens::QuestionScreen {
                question: asked.question,
                order: asked.order,
                place: asked.place,
                last_chance: asked.last_chance,
                too_quick: asked.again,
                items,
            }))
        }),
        Screen::Watch(picture) => draw(&ScreenModel::Watch(scene.watch(picture))),
    }
}

/// Which screen it is.
enum Screen<'a> {
    Page(RunPage),
    Question(Asked),
    Watch(&'a Footprint),
}

impl<'a> Scene<'a> {
    fn screen(&self) -> Screen<'a> {
        if let Some(notice) = self.app.notices.top {
            return Screen::Page(match notice {
                Notice::DayBook(_) => RunPage::DayBookHere,
                // Drawn before it comes here.
                Notice::Ledger | Notice::Refused(_) => RunPage::DeviceFault,
                Notice::Lost => self.app.lost_page(),
                Notice::CardChanged => RunPage::CardChanged,
                Notice::Settled { undone: false, .. } => RunPage::Settled,
                Notice::Settled { undone: true, .. } => RunPage::Unsettled,
                Notice::Records => RunPage::TakeOver,
                Notice::Due(RunPage::LookDue)
                    if self.view.look_due == Some(LookAt::Closing) && self.app.knows_who(self.now) =>
                {
                    RunPage::Closing
                }
                // It has cooled or not since it became due.
                Notice::Due(RunPage::ShouldBeDone) => self.should_be_done(),
                Notice::Due(RunPage::MayLift | RunPage::MayLiftByClock) => self.may_lift(),
                Notice::Due(page) => page,
                Notice::Heat(alarm) => alarm_page(alarm),
            });
        }
        if self.app.lead.wanted.is_some() {
            return Screen::Page(RunPage::DeskKey);
        }
        let view = &self.view;
        if let Some(asked) = view.asked {
            if let Some(page) = asked.wrong.and_then(RunPage::remedy) {
                return Screen::Page(page);
            }
            if asked.entry.is_some() {
                return Screen::Page(RunPage::CodeEntry);
            }
            // The card goes to the printer first; a turn shows the answers without that.
            if asked.question == Question::Shown && view.card && asked.place.is_none() {
                return Screen::Page(RunPage::MoveCard);
            }
            return Screen::Question(asked);
        }
        match view.phase {
            Phase::Key { .. } => Screen::Page(RunPage::LeadKey),
            Phase::Waiting => Screen::Page(RunPage::OutOfUse),
            Phase::Release => Screen::Page(RunPage::Release),
            Phase::Released(stage) => self.stage(stage),
            Phase::Away
            | Phase::Walk
            | Phase::Reading
            | Phase::Nothing
            | Phase::Jobs { .. }
            | Phase::Verdict { .. }
            | Phase::Points { .. }
            | Phase::Fault => Screen::Page(if view.card { RunPage::CardBack } else { RunPage::CardAway }),
        }
    }

    fn stage(&self, stage: Stage) -> Screen<'a> {
        let view = &self.view;
        let page = match stage {
            Stage::Start => RunPage::MoveCard,
            Stage::WarmUp if view.countdown_s.is_some_and(|left| left <= STRING_S) => RunPage::WarmUpString,
            Stage::WarmUp => RunPage::WarmUp,
            Stage::FirstLayer => match view.now {
                Some(StartStep::Homing) => RunPage::Homing,
                Some(StartStep::Probing) => RunPage::Probing,
                Some(StartStep::Purge) => RunPage::PurgeLine,
                Some(StartStep::Skirt | StartStep::Walls | StartStep::Infill | StartStep::SecondLayer)
                | None => {
                    return match self.app.vetting.picture() {
                        Some(picture) => Screen::Watch(picture),
                        // Vetted before a power cut, and the picture was not kept: the watch is.
                        None => Screen::Page(RunPage::LookDue),
                    };
                }
            },
            // Told or planned: it waits for a person.
            Stage::Run if view.paused_s.is_some() => RunPage::PauseNow,
            Stage::Run if view.leaving => self.by_clock(RunPage::MayLeave, RunPage::MayLeaveNoClock),
            Stage::Run if view.pause.is_some_and(|left| left <= PAUSE_SOON_S) => RunPage::PauseSoon,
            Stage::Run if self.app.panel.side == 1 => RunPage::RunningMore,
            Stage::Run if self.app.panel.side == 2 => RunPage::RunningWho,
            Stage::Run => self.by_clock(RunPage::Running, RunPage::RunningNoClock),
            Stage::CoolDown if !self.measured() => {
                self.by_clock(RunPage::CoolingByClock, RunPage::CoolingByTime)
            }
            Stage::CoolDown if self.app.thermal.cools_in(self.lift()).is_none() => RunPage::BoxWarm,
            Stage::CoolDown if self.may_touch() && !self.has_cooled() => RunPage::CoolingPart,
            Stage::CoolDown => RunPage::Cooling,
            Stage::Plate | Stage::CloseOut => self.may_lift(),
        };
        Screen::Page(page)
    }

    fn by_clock(&self, with: RunPage, without: RunPage) -> RunPage {
        if self.now.wall.is_some() && !self.view.clock_unsure { with } else { without }
    }

    pub(super) fn measured(&self) -> bool {
        self.app.thermal.plate().1
    }

    /// Lifting, as the plate is now: by hand or clock it may have been lifted before it cooled.
    fn may_lift(&self) -> RunPage {
        match (self.measured(), self.has_cooled()) {
            (true, true) => RunPage::MayLift,
            (true, false) => RunPage::LiftHot,
            (false, _) => RunPage::MayLiftByClock,
        }
    }

    fn should_be_done(&self) -> RunPage {
        match (self.measured(), self.has_cooled()) {
            (true, true) => RunPage::DoneCool,
            (true, false) => RunPage::ShouldBeDone,
            (false, _) => RunPage::DoneNoProbe,
        }
    }

    /// The plate is cool enough for bare hands, whether the part lets go or not.
    fn may_touch(&self) -> bool {
        self.app.thermal.plate().0.0 <= i32::from(self.app.phase.plan().touch_c) * 1000
    }

    fn has_cooled(&self) -> bool {
        self.app.thermal.plate().0 <= self.lift()
    }

    fn watch(&self, picture: &'a Footprint) -> WatchScreen<'a> {
        let machine = &self.app.setup.machine;
        let laid = |part: StartStep| part == StartStep::Purge;
        WatchScreen {
            name: self.name(),
            picture,
            plate_um: machine.bed_um,
            round: machine.round,
            purged: !self.view.now.is_some_and(laid),
            done_permille: self.first_layer_done(),
            stay: self.view.countdown_s.map(about),
            now: self.view.now.map_or(Term::Walls, Term::from),
            next: self.view.next.map(|(part, _)| part.into()),
        }
    }

    /// How much of the first layer's time is over, permille.
    fn first_layer_done(&self) -> u16 {
        let plan = self.app.phase.plan();
        let begin = |part: StartStep| plan.marks.iter().find(|mark| mark.part == part).map(|mark| mark.at_s);
        let Some(from) = begin(StartStep::Walls) else { return 1000 };
        // A job of one layer ends with it.
        let whole = begin(StartStep::SecondLayer).unwrap_or(plan.end_s).saturating_sub(from).max(1);
        let done = self.view.job_s.saturating_sub(from).min(whole);
        u16::try_from(done.saturating_mul(1000) / whole).unwrap_or(1000)
    }
}
