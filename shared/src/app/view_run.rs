//! Run, heat and notices → the model of the screen, from the walk-round to the close-out.

use crate::heat::{Alarm, Contact, MilliCelsius, Surface, burn_threshold, longest_contact};
use crate::media::MediaFault;
use crate::phase::{
    Answer, Asked, Before, FailReason, Hand, Part, Phase, Question, RunView, Running, Shown, Stage,
};
use crate::screens::{self, Clock, End, Figure, Item, PlateHeat, Run, ScreenModel, Watch};
use crate::survey::{PurgeStrip, Survey};
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};
use crate::words::run::{RunPage, Term};

use super::Now;
use super::device::App;
use super::plan::stickers;
use super::warmth::whole;

/// Something that is read before anything else and goes away with the next touch of the knob.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Notice {
    /// The card took no row.
    DayBook(MediaFault),
    /// The device's own flash failed.
    Ledger,
    /// A heater or a probe is not as it should be.
    Heat(Alarm),
    /// The file is not the vetted one.
    CardChanged,
    /// What the clock or the heat has brought about.
    Due(RunPage),
}

/// Code of a fault of the device's own flash, on the screen and in the manual.
const LEDGER_FAULT: u32 = 1;

/// A pause is announced on the screen so long before, s (job catalogue, section 4: ten minutes).
const PAUSE_SOON_S: u32 = 600;

/// The string is pulled off so long before the first move, s (job catalogue, S8).
const STRING_S: u32 = 30;

/// Above this a hot end is shown as hot, °C: its casing burns at a touch from half a second on (ISO 13732-1, metal,
/// from memory: 67 °C; the long-contact threshold of 43 °C is used as anywhere else).
const NOZZLE_HOT: MilliCelsius = MilliCelsius(43_000);

/// Seconds as a figure that was reckoned.
const fn about(seconds: u32) -> Figure<Seconds> {
    Figure::estimated(Seconds(seconds))
}

/// What a screen of the run is made of.
struct Scene<'a> {
    app: &'a App,
    now: Now,
    view: RunView,
}

/// Hands the model of this moment's screen to `draw`, for the phases from the walk-round on and for notices.
pub(super) fn with_run<R>(app: &App, now: Now, draw: impl FnOnce(&ScreenModel<'_>) -> R) -> R {
    let scene = Scene { app, now, view: app.phase.run_view(now.instant) };
    // One place where a model is handed on: `draw` takes it by value, and each copy of it would cost flash.
    let mut mark = heapless::String::<{ crate::records::MARK_BYTES }>::new();
    let mut second = mark.clone();
    let mut items = [Item::Unknown; 7];
    match scene.screen() {
        Screen::Page(page) => scene.fill(page, &mut items, (&mut mark, &mut second), |items| {
            draw(&ScreenModel::Run(Run { page, items }))
        }),
        Screen::Question(asked) => scene.fill_question(asked, &mut mark, |items| {
            draw(&ScreenModel::Asked(screens::Asked {
                question: asked.question,
                order: asked.order,
                place: asked.place,
                last_chance: asked.last_chance,
                too_quick: asked.again,
                items,
            }))
        }),
        Screen::Watch(survey) => draw(&ScreenModel::Watch(scene.watch(survey))),
    }
}

/// Which screen it is.
enum Screen<'a> {
    Page(RunPage),
    Question(Asked),
    Watch(&'a Survey),
}

impl<'a> Scene<'a> {
    fn screen(&self) -> Screen<'a> {
        if let Some(notice) = self.app.notice {
            return Screen::Page(match notice {
                Notice::DayBook(_) => RunPage::DayBookHere,
                Notice::Ledger => RunPage::DeviceFault,
                Notice::CardChanged => RunPage::CardChanged,
                Notice::Due(page) => page,
                Notice::Heat(alarm) => alarm_page(alarm),
            });
        }
        let view = &self.view;
        if let Some(asked) = view.asked {
            if let Some(page) = asked.wrong.and_then(RunPage::remedy) {
                return Screen::Page(page);
            }
            // The card first goes to the printer; the knob still stands on "this job".
            if asked.question == Question::Shown && view.card && asked.place == Some(0) {
                return Screen::Page(RunPage::MoveCard);
            }
            return Screen::Question(asked);
        }
        match view.phase {
            Phase::Key { .. } => Screen::Page(RunPage::LeadKey),
            Phase::Release => Screen::Page(RunPage::Release),
            Phase::Released(stage) => self.stage(stage),
            Phase::Away
            | Phase::Walk
            | Phase::Waiting
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
                Some(Part::Homing) => RunPage::Homing,
                Some(Part::Probing) => RunPage::Probing,
                Some(Part::Purge) => RunPage::PurgeLine,
                Some(Part::Skirt | Part::Walls | Part::Infill | Part::SecondLayer) | None => {
                    return match self.app.vetting.survey() {
                        Some(survey) => Screen::Watch(survey),
                        // Vetted before a power cut: the picture is gone, the watch is not.
                        None => Screen::Page(RunPage::LookDue),
                    };
                }
            },
            // Told or planned: it waits for a person.
            Stage::Run if view.paused_s.is_some() => RunPage::PauseNow,
            Stage::Run if view.leaving => self.by_clock(RunPage::MayLeave, RunPage::MayLeaveNoClock),
            Stage::Run if view.pause.is_some_and(|left| left <= PAUSE_SOON_S) => RunPage::PauseSoon,
            Stage::Run if self.app.other_side => RunPage::RunningMore,
            Stage::Run => self.by_clock(RunPage::Running, RunPage::RunningNoClock),
            Stage::CoolDown if !self.measured() => {
                self.by_clock(RunPage::CoolingByClock, RunPage::CoolingByTime)
            }
            Stage::CoolDown if self.app.warmth.cools_in(self.lift()).is_none() => RunPage::BoxWarm,
            Stage::CoolDown => RunPage::Cooling,
            Stage::Plate | Stage::CloseOut => self.may_lift(),
        };
        Screen::Page(page)
    }

    fn by_clock(&self, with: RunPage, without: RunPage) -> RunPage {
        if self.now.wall.is_some() && !self.view.clock_unsure { with } else { without }
    }

    fn measured(&self) -> bool {
        self.app.warmth.plate().1
    }

    fn may_lift(&self) -> RunPage {
        if self.measured() { RunPage::MayLift } else { RunPage::MayLiftByClock }
    }

    fn lift(&self) -> MilliCelsius {
        let plan = self.app.phase.plan();
        MilliCelsius(i32::from(plan.touch_c.min(plan.release_c)) * 1000)
    }

    /// The job's name: as listed, or as the row kept it through a power cut.
    fn name(&self) -> &'a str {
        match self.app.vetting.is_idle() {
            true => &self.app.row.job_name,
            false => &self.app.vetting.entry().name,
        }
    }

    /// The name as a machine's own list shows it.
    fn name_there(&self) -> &'a str {
        let entry = self.app.vetting.entry();
        match self.app.setup.machine.name_max {
            Some(most) if entry.name.chars().count() > usize::from(most) && !entry.short_name.is_empty() => {
                &entry.short_name
            }
            Some(_) | None => self.name(),
        }
    }

    fn plate(&self) -> Figure<Celsius> {
        let (plate, measured) = self.app.warmth.plate();
        Figure { value: whole(plate), estimated: !measured }
    }

    fn nozzle(&self) -> Figure<Celsius> {
        let (nozzle, measured) = self.app.warmth.nozzle();
        Figure { value: whole(nozzle), estimated: !measured }
    }

    fn plate_heat(&self) -> PlateHeat {
        plate_heat(self.app, self.view.hot)
    }

    /// The clock `seconds` from now.
    fn at(&self, seconds: u32) -> Item<'a> {
        let at = self
            .now
            .wall
            .and_then(|wall| wall.checked_add_signed(chrono::TimeDelta::seconds(seconds.into())));
        at.map_or(Item::Unknown, |at| Item::Clock(Clock::new(at, self.now.wall)))
    }

    fn end(&self) -> Item<'a> {
        let Some((from, to)) = self.view.end_s else { return Item::Unknown };
        match (self.at(from), self.at(to)) {
            (Item::Clock(from), Item::Clock(to)) => Item::End(End::Window { from, to: to.at }),
            _ => Item::End(End::ClockNotSet),
        }
    }

    fn countdown(&self) -> Item<'a> {
        self.view.countdown_s.map_or(Item::Unknown, |left| Item::Countdown(about(left)))
    }

    /// Until what comes now in the first minutes is over.
    fn until_next(&self) -> Item<'a> {
        self.view.next.map_or(Item::Unknown, |(_, left)| Item::Countdown(about(left)))
    }

    fn span(seconds: Option<u32>) -> Item<'a> {
        seconds.map_or(Item::Unknown, |seconds| Item::Span(about(seconds)))
    }

    /// The next look and when it is, seconds; after the last one its end is looked at.
    fn next_look(&self) -> (Term, u32) {
        match self.view.look {
            Some((at, left)) => (at.into(), left),
            None => (Term::ItEnds, self.view.end_s.map_or(0, |(_, to)| to)),
        }
    }

    fn strip(&self) -> Option<&'a PurgeStrip> {
        self.app.vetting.survey()?.purge.as_ref()
    }

    /// The edge that the purge strip lies nearest to.
    fn edge(&self) -> Item<'a> {
        let Some(strip) = self.strip() else { return Item::Unknown };
        Item::Term(edge(strip, self.app.setup.machine.bed_um, self.app.setup.machine.origin_centre))
    }

    fn strip_length(&self) -> Item<'a> {
        let nm = self.strip().map(|strip| strip.path_nm / 1000);
        nm.and_then(|um| i64::try_from(um).ok()).map_or(Item::Unknown, |um| Item::Length(Micrometres(um)))
    }

    /// Left on the spool at the job's end.
    fn left_then(&self) -> Item<'a> {
        let left = self.app.setup.spool.as_ref().and_then(|spool| spool.left);
        let need = Milligrams(self.app.phase.plan().need_mg.into());
        left.map_or(Item::Unknown, |left| Item::Left(Figure::estimated(left.saturating_sub(need))))
    }

    fn owner(&self) -> Item<'a> {
        self.app.row.owner.as_ref().map_or(Item::Unknown, |owner| Item::Text(owner.as_str()))
    }

    fn watch(&self, survey: &'a Survey) -> Watch<'a> {
        let machine = &self.app.setup.machine;
        let laid = |part: Part| part == Part::Purge;
        Watch {
            name: self.name(),
            picture: &survey.footprint,
            plate_um: machine.bed_um,
            round: machine.round,
            purged: !self.view.now.is_some_and(laid),
            done: self.first_layer_done(),
            stay: self.view.countdown_s.map(about),
            now: self.view.now.map_or(Term::Walls, Term::from),
            next: self.view.next.map(|(part, _)| part.into()),
        }
    }

    /// How much of the first layer is laid, percent by time.
    fn first_layer_done(&self) -> u8 {
        let marks = &self.app.phase.plan().marks;
        let begin = |part: Part| marks.iter().find(|mark| mark.part == part).map(|mark| mark.at_s);
        let (Some(from), Some(to)) = (begin(Part::Walls), begin(Part::SecondLayer)) else { return 100 };
        let Some((Part::SecondLayer, left)) = self.view.next else {
            return if self.view.now == Some(Part::SecondLayer) { 100 } else { 0 };
        };
        let whole = to.saturating_sub(from).max(1);
        let done = whole.saturating_sub(left).saturating_mul(100) / whole;
        u8::try_from(done).unwrap_or(100)
    }

    /// The items of a page, in the order that [`RunPage`] states.
    fn fill<R>(
        &self,
        page: RunPage,
        items: &mut [Item<'a>; 7],
        marks: (
            &'a mut heapless::String<{ crate::records::MARK_BYTES }>,
            &'a mut heapless::String<{ crate::records::MARK_BYTES }>,
        ),
        draw: impl FnOnce(&[Item<'a>]) -> R,
    ) -> R {
        let view = &self.view;
        let plan = self.app.phase.plan();
        let name = Item::Text(self.name());
        let plate = Item::Plate(self.plate_heat());
        let plate_now = Item::Heat(self.plate());
        let nozzle_now = Item::Heat(self.nozzle());
        let mut put = |list: &[Item<'a>]| {
            for (item, value) in items.iter_mut().zip(list) {
                *item = *value;
            }
        };
        match page {
            RunPage::WrongSpool => {
                let facts = &self.app.vetting.report().facts;
                let (job, sticker) = marks;
                *job = facts.grade.map(|grade| grade.mark()).unwrap_or_default();
                *sticker = self.app.setup.known.told.sticker.map(|grade| grade.mark()).unwrap_or_default();
                put(&[Item::Mark(Some(job)), Item::Mark(Some(sticker))]);
            }
            RunPage::Release => {
                let told = u32::from(plan.hands.count_ones() as u16);
                put(&[name, Item::Percent((view.fill_permille / 10) as u8), Item::Count(told)]);
            }
            RunPage::MoveCard => put(&[Item::Text(self.name_there()), Item::Unknown]),
            RunPage::LeadKey => {
                if let Phase::Key { entered, digit } = view.phase {
                    put(&[Item::Unknown, Item::Key { entered, figure: digit }]);
                }
            }
            RunPage::WarmUp => {
                let rise = |now: Figure<Celsius>, target: i16| Item::Rise {
                    now: Some(now),
                    target: (target > 0).then_some(Celsius(target)),
                };
                put(&[
                    name,
                    rise(self.nozzle(), plan.nozzle_c),
                    rise(self.plate(), plan.bed_c),
                    self.countdown(),
                ]);
            }
            RunPage::WarmUpString => put(&[name, nozzle_now]),
            RunPage::WarmSlow => {
                let (usual, spent) = match self.app.warmth.warm_up_s() {
                    Some((usual, spent)) => (usual, spent),
                    None => (plan.warm_s.into(), plan.warm_s.into()),
                };
                put(&[Item::Span(about(usual)), Item::Span(Figure::known(Seconds(spent)))]);
            }
            RunPage::WarmStopped => {
                let (now, target) = self.part_in_doubt();
                put(&[Item::Rise { now: Some(now), target: (target > 0).then_some(Celsius(target)) }]);
            }
            RunPage::Runaway => {
                let (now, target) = self.part_in_doubt();
                put(&[Item::Heat(now), Item::Heat(Figure::known(Celsius(target)))]);
            }
            RunPage::ProbeOpen | RunPage::ProbeShort | RunPage::ProbeOdd => put(&[plate]),
            RunPage::Homing | RunPage::Probing => put(&[name, self.until_next()]),
            RunPage::PurgeLine => put(&[self.edge(), self.strip_length(), self.until_next()]),
            RunPage::MayLeave => {
                let (at, left) = self.next_look();
                put(&[self.owner(), self.at(left), Item::Term(at), self.end()]);
            }
            RunPage::MayLeaveNoClock => {
                let (at, left) = self.next_look();
                let end = Self::span(view.end_s.map(|(_, to)| to));
                put(&[self.owner(), Self::span(Some(left)), Item::Term(at), end]);
            }
            RunPage::Running => {
                let look = self.at(self.next_look().1);
                put(&[name, Item::Percent(view.percent), self.end(), look, plate]);
            }
            RunPage::RunningNoClock => {
                let look = Self::span(Some(self.next_look().1));
                let end = Self::span(view.end_s.map(|(_, to)| to));
                put(&[name, Item::Percent(view.percent), end, look, plate]);
            }
            RunPage::RunningMore => {
                let layer = view.layer.map_or(Item::Unknown, |(layer, of)| Item::Of(layer, of));
                let (at, left) = self.next_look();
                put(&[name, layer, self.left_then(), self.at(left), Item::Term(at)]);
            }
            RunPage::LookDue => {
                let at = view.look_due.map_or(Item::Term(Term::HoldsOn), |at| Item::Term(at.into()));
                put(&[name, at, plate]);
            }
            RunPage::PauseSoon => {
                let left = view.pause.unwrap_or(0);
                put(&[name, self.at(left), Item::Term(self.pause_term()), Item::Countdown(about(left))]);
            }
            RunPage::PauseNow => {
                let since = view.paused_s.map(|paused| Item::Span(Figure::known(Seconds(paused))));
                put(&[Item::Term(self.pause_term()), since.unwrap_or(Item::Unknown)]);
            }
            RunPage::HeatStillOn => {
                let due = view.end_s.map_or(Item::Unknown, |(_, to)| self.at(to));
                put(&[due, self.at(0), plate_now]);
            }
            RunPage::CoolingEarly => {
                let due = view.end_s.map_or(Item::Unknown, |(from, _)| self.at(from));
                put(&[due, self.at(0), plate_now]);
            }
            RunPage::Overdue => {
                let late = u32::try_from(view.off_s).unwrap_or(0);
                put(&[Item::Span(about(late)), Item::Unknown, plate]);
            }
            RunPage::ShouldBeDone => {
                let lift = Self::span(self.app.warmth.cools_in(self.lift()));
                let hot = Self::span(self.app.warmth.nozzle_cools_in(NOZZLE_HOT));
                put(&[plate, lift, hot]);
            }
            RunPage::Cooling => {
                let release = Self::timer(self.app.warmth.cools_in(limit(plan.release_c)));
                let hands = Self::timer(self.app.warmth.cools_in(limit(plan.touch_c)));
                let (surface, word) = self.surface();
                let (temperature, _) = self.app.warmth.plate();
                put(&[
                    name,
                    release,
                    hands,
                    nozzle_now,
                    plate_now,
                    Item::Term(word),
                    contact(surface, temperature),
                ]);
            }
            RunPage::CardBack => put(&[Item::Percent(self.app.vetting.percent())]),
            RunPage::BoxWarm => {
                let air = Figure::known(whole(self.app.warmth.air()));
                put(&[Item::Heat(air), Item::Heat(Figure::known(whole(self.lift())))]);
            }
            RunPage::CoolingByClock => put(&[view.countdown_s.map_or(Item::Unknown, |left| self.at(left))]),
            RunPage::CoolingByTime => put(&[self.countdown()]),
            RunPage::MayLift => put(&[plate_now]),
            RunPage::HotMess => {
                let wait = Self::timer(self.app.warmth.nozzle_cools_in(NOZZLE_HOT));
                put(&[wait]);
            }
            RunPage::PowerBack => put(&[name, plate]),
            RunPage::DeviceFault => put(&[Item::Count(LEDGER_FAULT)]),
            RunPage::OutOfUse => {
                put(&[view.out_of_use.map_or(Item::Unknown, Item::OutOfUse), Item::Unknown]);
            }
            _ => {}
        }
        draw(items)
    }

    /// The part that the alarm is about, and its target.
    fn part_in_doubt(&self) -> (Figure<Celsius>, i16) {
        let plan = self.app.phase.plan();
        if self.app.warmth.is_at_nozzle() {
            (self.nozzle(), plan.nozzle_c)
        } else {
            (self.plate(), plan.bed_c)
        }
    }

    fn timer(seconds: Option<u32>) -> Item<'a> {
        seconds.map_or(Item::Unknown, |seconds| Item::Countdown(about(seconds)))
    }

    fn pause_term(&self) -> Term {
        use crate::survey::PauseKind;
        let next = self.app.vetting.survey().and_then(|survey| survey.pauses.first());
        match next.map(|pause| pause.kind) {
            Some(PauseKind::Filament) => Term::ChangeSpool,
            Some(_) | None => Term::AsPlanned,
        }
    }

    /// What the plate's face is made of, as far as the sheet tells; metal burns first.
    fn surface(&self) -> (Surface, Term) {
        use crate::records::PlateFace;
        match self.app.setup.machine.plates.first().map(|plate| plate.face) {
            Some(PlateFace::Glass) => (Surface::Ceramic, Term::Glass),
            Some(_) | None => (Surface::Metal, Term::Metal),
        }
    }

    fn fill_question<R>(
        &self,
        asked: Asked,
        mark: &'a mut heapless::String<{ crate::records::MARK_BYTES }>,
        draw: impl FnOnce(&[Item<'a>]) -> R,
    ) -> R {
        let place = match asked.number {
            0 => Item::Unknown,
            number => Item::Of(number.into(), asked.of.into()),
        };
        let app = self.app;
        match asked.question {
            Question::Hand(Hand::Sticker) => {
                let list = stickers(&app.setup, app.vetting.report().facts.grade);
                let picked = asked.place.and_then(|place| list.get(usize::from(place)));
                *mark = picked.map(|grade| grade.mark()).unwrap_or_default();
                draw(&[place, Item::Mark(picked.map(|_| mark.as_str()))])
            }
            Question::Hand(Hand::Face) => {
                let face = app.vetting.report().findings.iter().find(|finding| finding.check == 70);
                let name = face.and_then(|finding| match &finding.values[1] {
                    crate::checks::Value::Text(text) => Some(text.as_str()),
                    _ => None,
                });
                draw(&[place, name.map_or(Item::Unknown, Item::Text)])
            }
            Question::Hand(_) => {
                *mark = app.vetting.report().facts.grade.map(|grade| grade.mark()).unwrap_or_default();
                draw(&[place, Item::Text(mark)])
            }
            Question::Before(before) => draw(&[Item::Of(before as u16 + 1, Before::ALL.len() as u16)]),
            Question::Shown => {
                let need = Item::Need(Figure::estimated(Milligrams(app.phase.plan().need_mg.into())));
                draw(&[Item::Text(self.name_there()), need, Item::Span(about(app.phase.plan().end_s))])
            }
            Question::Strip => draw(&[self.edge(), self.strip_length()]),
            Question::FirstLayer
            | Question::AfterFault
            | Question::Running
            | Question::AfterTrouble
            | Question::StillRunning
            | Question::PartOff
            | Question::Outcome
            | Question::Reason
            | Question::Lead
            | Question::Again => draw(&[]),
        }
    }
}

/// What the plate is known to be, for the waiting screen and the heat line.
pub(super) fn plate_heat(app: &App, hot: bool) -> PlateHeat {
    let (plate, measured) = app.warmth.plate();
    let figure = Figure { value: whole(plate), estimated: !measured };
    if !measured && !hot {
        // Nothing is reckoned from: no probe, and no run of which the clock could tell.
        return PlateHeat::NoReading;
    }
    if plate > burn_threshold(Surface::Metal, LONGEST_MS) {
        PlateHeat::Hot(figure)
    } else {
        PlateHeat::BelowLimit(figure)
    }
}

/// The longest contact of the standard, 8 h.
const LONGEST_MS: u32 = 28_800_000;

fn limit(celsius: i16) -> MilliCelsius {
    MilliCelsius(i32::from(celsius) * 1000)
}

fn contact<'a>(surface: Surface, temperature: MilliCelsius) -> Item<'a> {
    match longest_contact(surface, temperature) {
        Contact::Never => Item::Contact(None),
        Contact::AtMost(ms) => Item::Contact(Some(Seconds(ms / 1000))),
        // The standard's longest contact; it states nothing beyond.
        Contact::NoLimitStated => Item::Contact(Some(Seconds(LONGEST_MS / 1000))),
    }
}

const fn alarm_page(alarm: Alarm) -> RunPage {
    match alarm {
        Alarm::ProbeOpen => RunPage::ProbeOpen,
        Alarm::ProbeShorted => RunPage::ProbeShort,
        Alarm::ProbeOutOfRange
        | Alarm::ProbeJump
        | Alarm::ProbeBelowAir
        | Alarm::ProbeOffAir
        | Alarm::ProbeFlat => RunPage::ProbeOdd,
        Alarm::Runaway => RunPage::Runaway,
        Alarm::Stopped => RunPage::WarmStopped,
        Alarm::TooSlow => RunPage::WarmSlow,
    }
}

/// The edge that a strip lies nearest to: within a tenth of the plate, or beyond it.
fn edge(strip: &PurgeStrip, bed_um: [i64; 2], origin_centre: bool) -> Term {
    let [width, depth] = bed_um.map(|um| um.saturating_mul(1000));
    let (x0, y0) = if origin_centre { (-width / 2, -depth / 2) } else { (0, 0) };
    let ([min_x, min_y, _], [max_x, max_y, _]) = (strip.bounds.min_nm, strip.bounds.max_nm);
    let middle = |least: i64, most: i64| least / 2 + most / 2;
    let (x, y) = (middle(min_x, max_x) - x0, middle(min_y, max_y) - y0);
    if y <= depth / 10 {
        Term::FrontEdge
    } else if y >= depth - depth / 10 {
        Term::BackEdge
    } else if x <= width / 10 {
        Term::LeftEdge
    } else if x >= width - width / 10 {
        Term::RightEdge
    } else {
        Term::OnThePlate
    }
}

/// What is told before a question that time or heat brought up: why it is asked.
pub(super) fn why(view: &RunView, before: Option<Question>, was: Phase) -> Option<RunPage> {
    let stage = view.phase.stage()?;
    if view.phase != was {
        return match stage {
            Stage::Plate => Some(if view.heat.is_some_and(|heat| heat.measured) {
                RunPage::MayLift
            } else {
                RunPage::MayLiftByClock
            }),
            _ => None,
        };
    }
    let asked = view.asked?.question;
    if before == Some(asked) {
        return None;
    }
    match asked {
        Question::Running if view.paused_s.is_some() => Some(RunPage::PauseNow),
        Question::Running if view.look_due.is_some() => Some(RunPage::LookDue),
        Question::StillRunning if view.cooling_early => Some(RunPage::CoolingEarly),
        Question::StillRunning if view.overdue && view.off_s > OVERDUE_S && hot(view) => {
            Some(RunPage::HeatStillOn)
        }
        Question::StillRunning if view.overdue && view.off_s > OVERDUE_S => Some(RunPage::Overdue),
        Question::StillRunning if view.power_cut => Some(RunPage::PowerBack),
        Question::StillRunning => Some(RunPage::ShouldBeDone),
        _ => None,
    }
}

/// An end is overdue after twenty minutes (job catalogue, S12).
const OVERDUE_S: i32 = 1200;

fn hot(view: &RunView) -> bool {
    view.heat.is_some_and(|heat| heat.measured && heat.plate.is_some_and(|plate| plate.0 > 43))
}

/// Whether a stop left hot strands behind.
pub(super) fn is_mess(view: &RunView) -> bool {
    matches!(
        view.fault,
        Some(Answer::Running(Running::Strands | Running::Shifted) | Answer::Shown(Shown::OtherJob))
    ) || view.reason == Some(FailReason::CameOff)
}
