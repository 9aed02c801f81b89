//! The items of each screen of the run: numbers, names and times, from phases, heat, survey and setup.

use crate::heat::MilliCelsius;
use crate::phase::{Asked, CodeEntry, Hand, InCharge, Person, Phase, Question, Sign};
use crate::records::MARK_BYTES;
use crate::screens::{ClockTime, Figure, Item};
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};
use crate::words::run::{RunPage, Term};

use super::figures::{HOT, Scene, about};
use crate::app::notice::Notice;
use crate::app::plan::stickers;
use crate::heat::whole;

/// Code of a fault of the device's own flash, on the screen and in the manual.
const LEDGER_FAULT: u32 = 1;

impl<'a> Scene<'a> {
    /// The items of a page, in the order that [`RunPage`] states.
    pub(super) fn fill<R>(
        &self,
        page: RunPage,
        items: &mut [Item<'a>; 7],
        marks: (&'a mut heapless::String<{ MARK_BYTES }>, &'a mut heapless::String<{ MARK_BYTES }>),
        draw: impl FnOnce(&[Item<'a>]) -> R,
    ) -> R {
        let view = &self.view;
        let plan = self.app.phase.plan();
        let name = Item::Text(self.name());
        let plate = Item::Plate(self.plate_heat());
        let nozzle = Item::Nozzle(self.nozzle_heat());
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
                *sticker = self.app.setup.known.answers.sticker.map(|grade| grade.mark()).unwrap_or_default();
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
            RunPage::DeskKey => {
                let key = self.app.phase.key();
                put(&[Item::Key { entered: key.entered(), figure: key.digit() }]);
            }
            RunPage::KeyRests => {
                let ms = self.app.phase.key().rests_ms(self.now.instant);
                put(&[Self::timer(u32::try_from(ms.div_ceil(1000)).ok())]);
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
                let (usual, spent) = match self.app.thermal.warm_up_s() {
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
            RunPage::RunningWho | RunPage::Closing => {
                if let Some(InCharge::Person(code)) = view.in_charge {
                    let _ = marks.0.push_str(code.as_str());
                }
                let in_charge = match view.in_charge {
                    Some(InCharge::Person(_)) => Item::Text(marks.0),
                    Some(InCharge::Nobody) => Item::Term(Term::Nobody),
                    None => Item::Unknown,
                };
                put(&[name, self.owner(), in_charge, self.end(), plate]);
            }
            RunPage::CodeEntry => {
                if let Some(entry) = view.asked.and_then(|asked| asked.entry) {
                    put(&[Item::Text(written(&entry, marks.0))]);
                }
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
                put(&[plate, self.cools_in(self.lift()), nozzle]);
            }
            RunPage::LiftHot => put(&[self.cools_in(self.lift()), plate, nozzle]),
            RunPage::DoneCool
            | RunPage::DoneNoProbe
            | RunPage::NotSticking
            | RunPage::PlateOccupied
            | RunPage::PlateRocks
            | RunPage::PlateGreasy
            | RunPage::PurgeScrap
            | RunPage::FaceOther
            | RunPage::FilmMissing => put(&[plate, nozzle]),
            RunPage::PlateMissing | RunPage::BitsLeft | RunPage::PartHolds | RunPage::MayLiftByClock => {
                put(&[nozzle]);
            }
            RunPage::Cooling => {
                let hands = self.cools_in(limit(plan.touch_c));
                put(&[name, hands, self.cools_in(limit(plan.release_c)), plate, nozzle]);
            }
            RunPage::CoolingPart => put(&[name, self.cools_in(limit(plan.release_c)), plate, nozzle]),
            RunPage::CardBack => put(&[Item::Percent(self.app.vetting.percent())]),
            RunPage::BoxWarm => {
                let air = Figure::known(whole(self.app.thermal.air()));
                put(&[Item::Heat(air), Item::Heat(Figure::known(whole(self.lift()))), plate, nozzle]);
            }
            RunPage::CoolingByClock => {
                put(&[view.countdown_s.map_or(Item::Unknown, |left| self.at(left)), nozzle]);
            }
            RunPage::CoolingByTime => put(&[self.countdown(), nozzle]),
            RunPage::MayLift => put(&[plate_now, nozzle]),
            RunPage::PlateOff => {
                let off = view.lifted_s.map_or(Item::Unknown, |s| Item::Span(Figure::known(Seconds(s))));
                put(&[off, nozzle]);
            }
            RunPage::NotFree => put(&[Item::Text(&self.app.setup.machine.tag)]),
            RunPage::Free => self.free(marks.0, &mut put),
            RunPage::HotMess => {
                let left = self.app.thermal.nozzle_cools_in(HOT).filter(|left| *left > 0);
                put(&[Self::timer(left), nozzle]);
            }
            RunPage::PowerBack => put(&[name, plate]),
            RunPage::Settled | RunPage::Unsettled => {
                if let Some(Notice::Settled { check, .. }) = self.app.notices.top {
                    put(&[Item::Count(check.into())]);
                }
            }
            RunPage::MemoryLost | RunPage::BalanceLost => put(&[self.app.lost_item()]),
            RunPage::RowLost => {
                let at = self.app.daybook.given_up.started();
                let at = at.map(|at| Item::Clock(ClockTime::new(at, self.now.wall)));
                put(&[self.app.lost_item(), at.unwrap_or(Item::Unknown)]);
            }
            RunPage::DeviceFault => put(&[Item::Count(LEDGER_FAULT)]),
            RunPage::OutOfUse => {
                let since = self.app.memory.held_since;
                let since = since.map(|at| Item::Clock(ClockTime::new(at, self.now.wall)));
                let reason = view.out_of_use.map_or(Item::Unknown, Item::OutOfUse);
                put(&[reason, since.unwrap_or(Item::Unknown), plate]);
            }
            _ => {}
        }
        draw(items)
    }

    /// The part that the alarm is about, and its target.
    fn part_in_doubt(&self) -> (Figure<Celsius>, i16) {
        let plan = self.app.phase.plan();
        if self.app.thermal.is_at_nozzle() {
            (self.nozzle(), plan.nozzle_c)
        } else {
            (self.plate(), plan.bed_c)
        }
    }

    /// What the machine can do for the next person.
    fn free(&self, mark: &'a mut heapless::String<{ MARK_BYTES }>, put: &mut impl FnMut(&[Item<'a>])) {
        let setup = &self.app.setup;
        *mark = setup.spool_grade().map(|grade| grade.mark()).unwrap_or_default();
        let left = setup.spool.as_ref().and_then(|spool| spool.left);
        let minutes = self.app.memory.nozzle_minutes;
        // A new one has nothing to tell.
        let nozzle = if minutes == 0 {
            Item::Text("")
        } else {
            Item::Span(Figure::known(Seconds(minutes.saturating_mul(60))))
        };
        let closing = crate::app::plan::closing_in_s(setup, self.now);
        let longest = closing.map(|closing| longest_job_s(closing, self.app.phase.plan().time_permille));
        put(&[
            Item::Text(&setup.machine.tag),
            Item::Mark(Some(mark).filter(|mark| !mark.is_empty()).map(|mark| mark.as_str())),
            left.map_or(Item::Unknown, |left| Item::Left(Figure::known(left))),
            Item::Length(Micrometres(setup.machine.bore_um.into())),
            nozzle,
            Self::span(closing),
            Self::span(longest),
        ]);
    }

    pub(super) fn timer(seconds: Option<u32>) -> Item<'a> {
        seconds.map_or(Item::Unknown, |seconds| Item::Countdown(about(seconds)))
    }

    /// Until the plate has cooled to a limit, on a screen that says to wait: a second at least, as the stage turns with
    /// the next reading, and nothing is over before.
    fn cools_in(&self, limit: MilliCelsius) -> Item<'a> {
        Self::timer(self.app.thermal.cools_in(limit).map(|left| left.max(1)))
    }

    fn pause_term(&self) -> Term {
        use crate::survey::PauseKind;
        let next = self.app.vetting.survey().and_then(|survey| survey.pauses.first());
        match next.map(|pause| pause.kind) {
            Some(PauseKind::Filament) => Term::ChangeSpool,
            Some(_) | None => Term::AsPlanned,
        }
    }

    pub(super) fn fill_question<R>(
        &self,
        asked: Asked,
        mark: &'a mut heapless::String<{ MARK_BYTES }>,
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
            Question::Hand(Hand::Pins) => draw(&[place, Item::Nozzle(self.nozzle_heat())]),
            Question::Hand(_) => {
                *mark = app.vetting.report().facts.grade.map(|grade| grade.mark()).unwrap_or_default();
                draw(&[place, Item::Text(mark)])
            }
            Question::Owner | Question::InCharge => {
                if let Some(Person::Code(code)) = asked.person {
                    let _ = mark.push_str(code.as_str());
                }
                draw(&[match asked.person {
                    Some(Person::Code(_)) => Item::Text(mark),
                    Some(Person::Nobody) => Item::Term(Term::Nobody),
                    Some(Person::Another) => Item::Term(Term::AnotherCode),
                    None => Item::Unknown,
                }])
            }
            Question::PartOff | Question::PlateBack => draw(&[Item::Nozzle(self.nozzle_heat())]),
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
            | Question::Outcome
            | Question::Reason
            | Question::Lead
            | Question::Again
            | Question::Use => draw(&[]),
        }
    }
}

/// A code as it is put in: its signs, and the one on the knob in brackets.
fn written<'a>(entry: &CodeEntry, into: &'a mut heapless::String<{ MARK_BYTES }>) -> &'a str {
    let mut sign = [0; 4];
    let on_knob = match entry.on_knob() {
        Sign::Is(sign_there) => sign_there.encode_utf8(&mut sign),
        Sign::Back => "<",
        Sign::End => "OK",
    };
    for part in [entry.text(), "[", on_knob, "]"] {
        // Four signs and a bracket: there is room.
        let _ = into.push_str(part);
    }
    into
}

fn limit(celsius: i16) -> MilliCelsius {
    MilliCelsius(i32::from(celsius) * 1000)
}

/// The longest job, as its own forecast says, that still ends before the room closes: what stays after warm-up (5 min),
/// cooling (22 min: a bed above 60 °C) and clearing (10 min), by this machine's true time over the forecast (job
/// catalogue, section 4; row 76).
const fn longest_job_s(closing_s: u32, time_permille: u16) -> u32 {
    let stays = closing_s.saturating_sub((5 + 22 + 10) * 60);
    match stays.saturating_mul(1000).checked_div(time_permille as u32) {
        Some(longest) => longest,
        None => stays,
    }
}
