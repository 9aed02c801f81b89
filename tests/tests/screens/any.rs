//! Any content at all: texts of any letters and length, numbers over their whole range.

use chrono::{DateTime, NaiveDateTime};
use holdpoint_shared::checks::{Level, Signal, Value, Verdict};
use holdpoint_shared::header::HeaderErrorKind;
use holdpoint_shared::json::{Expected, JsonFault};
use holdpoint_shared::phase::OutOfUse;
use holdpoint_shared::screens::{
    Action, Agreement, ClockTime, Closing, Confirmation, Day, End, Figure, HeaderBroken, Item, JobRow, Jobs,
    LoadedSpool, NoJobs, Outcome, PlateHeat, PointScreen, QuestionScreen, ReadingScreen, RecordRefused,
    RunScreen, ScreenModel, Side, VettingScreen, Waiting, WatchScreen,
};
use holdpoint_shared::survey::Footprint;
use holdpoint_shared::units::{Celsius, Micrometres, Milligrams, Seconds};
use holdpoint_shared::words::run::{RunPage, Term};
use holdpoint_tests::run_items::{Kind, of_page, of_question, questions};
use proptest::prelude::{Strategy, any};

/// Texts, numbers and choices that every screen is filled from.
#[derive(Clone, Debug)]
pub(crate) struct Content {
    texts: [String; 3],
    /// Material symbols have capitals, figures and the signs of ISO 1043 only.
    marks: [String; 2],
    big: [i64; 3],
    span: u32,
    heat: [i16; 2],
    small: [u16; 2],
    pick: u8,
    when: NaiveDateTime,
}

/// Any content.
pub(crate) fn content() -> impl Strategy<Value = Content> {
    let text = || proptest::prop_oneof![".{0,80}", "[ -~À-ÿĀ-ſ{}0-9]{0,300}", "[A-Z_]{0,30}"];
    let number = || proptest::prop_oneof![any::<i64>(), -2_000_000_000_i64..2_000_000_000];
    let when = (-60_000_000_000_i64..250_000_000_000)
        .prop_map(|seconds| DateTime::from_timestamp(seconds, 0).unwrap().naive_utc());
    (
        [text(), text(), text()],
        // No symbol of ISO 1043-1 has a Q, the one letter of the large face that reaches below its line.
        ["[A-PR-Z0-9+-]{0,40}", "[A-PR-Z0-9+-]{1,9}"],
        [number(), number(), number()],
        proptest::prop_oneof![any::<u32>(), 0..400_000_u32],
        any::<[i16; 2]>(),
        any::<[u16; 2]>(),
        any::<u8>(),
        when,
    )
        .prop_map(|(texts, marks, big, span, heat, small, pick, when)| Content {
            texts,
            marks,
            big,
            span,
            heat,
            small,
            pick,
            when,
        })
}

impl Content {
    fn one<T: Copy>(&self, of: &[T]) -> T {
        of[usize::from(self.pick) % of.len()]
    }

    fn maybe<T>(&self, value: T) -> Option<T> {
        (self.pick & 0x80 == 0).then_some(value)
    }

    fn figure<T>(&self, value: T) -> Option<Figure<T>> {
        self.maybe(Figure { value, estimated: self.pick & 0x40 == 0 })
    }

    fn clock(&self) -> ClockTime {
        let day =
            self.one(&[Day::Yesterday, Day::Today, Day::Tomorrow, Day::Weekday, Day::Date, Day::OtherYear]);
        ClockTime { at: self.when, day }
    }

    fn verdict(&self) -> Verdict {
        self.one(&[Verdict::Clear, Verdict::Look, Verdict::Hold, Verdict::NoVerdict])
    }

    fn row(&self, text: usize) -> JobRow<'_> {
        JobRow {
            name: &self.texts[text],
            saved: self.maybe(self.clock()),
            time: self.figure(Seconds(self.span)),
            mark: self.maybe(self.marks[text].as_str()),
            verdict: self.maybe(self.verdict()),
        }
    }

    /// Every screen, filled from this content.
    pub(crate) fn each(&self, mut show: impl FnMut(&ScreenModel<'_>)) {
        let [name, other, third] = &self.texts;
        let counts = self.small;
        let few = self.pick;
        let heat = self.heat.map(Celsius);
        let action = self.one(&[Action::ReadPoints(few), Action::Pick, Action::VetAnyway, Action::Remedy]);
        let spool = LoadedSpool {
            id: other,
            mark: self.maybe(self.marks[0].as_str()),
            colour: self.maybe(third.as_str()),
            left: self.maybe(Milligrams(self.big[0])),
            left_error: self.maybe(Milligrams(self.big[1])),
        };
        let plate = Figure { value: heat[0], estimated: few & 1 == 0 };
        show(&ScreenModel::Waiting(Waiting {
            machine: name,
            spool: self.maybe(spool),
            last: self.maybe(self.one(&[Outcome::Good, Outcome::Flawed, Outcome::Failed])),
            closing: self.one(&[Closing::At(self.clock()), Closing::ShutToday, Closing::NoHours]),
            plate: self.one(&[PlateHeat::NoReading, PlateHeat::Hot(plate), PlateHeat::BelowLimit(plate)]),
        }));
        show(&ScreenModel::Reading(ReadingScreen {
            jobs: counts[0],
            files: counts[1],
            newest: self.maybe(self.clock()),
        }));
        show(&ScreenModel::NoJobs(NoJobs { models: counts[0], others: counts[1], not_listed: counts[1] }));
        show(&ScreenModel::Jobs(Jobs {
            number: counts[0],
            count: counts[1],
            row: self.row(0),
            next: self.maybe(self.row(1)),
            not_listed: counts[0],
        }));
        let left = self.maybe(Seconds(self.span));
        show(&ScreenModel::Vetting(VettingScreen { name, percent: few, left, points: few, action }));
        self.confirmation(action, &mut show);
        self.point(action, &mut show);
        self.run(&mut show);
        let (line, column) = (self.span, u32::from(counts[0]));
        let key = other.chars().filter(char::is_ascii).take(20).collect::<String>();
        let kind = HeaderErrorKind::Json(JsonFault::Value(Expected::Flag));
        show(&ScreenModel::HeaderBroken(HeaderBroken { name, kind: &kind, key: &key, line, column, action }));
        show(&ScreenModel::RecordRefused(RecordRefused {
            file: name,
            what: other,
            line,
            column,
            more: counts[0],
            action,
        }));
    }

    fn confirmation(&self, action: Action, show: &mut impl FnMut(&ScreenModel<'_>)) {
        let window = End::Window { from: self.clock(), to: self.when };
        show(&ScreenModel::Confirmation(Confirmation {
            verdict: self.verdict(),
            was: self.maybe(self.verdict()),
            read: self.maybe(self.clock()),
            name: &self.texts[0],
            job_mark: self.maybe(&self.marks[0]),
            spool_mark: self.maybe(&self.marks[1]),
            agreement: self.one(&[Agreement::Same, Agreement::Differ, Agreement::Unknown]),
            nozzle: self.maybe(Celsius(self.heat[0])),
            bed: self.maybe(Celsius(self.heat[1])),
            length: self.figure(Micrometres(self.big[0])),
            mass: self.figure(Milligrams(self.big[1])),
            left: self.maybe(Milligrams(self.big[2])),
            time: self.figure(Seconds(self.span)),
            end: self.one(&[window, End::ClockNotSet, End::Unknown]),
            action,
        }));
    }

    fn point(&self, action: Action, show: &mut impl FnMut(&ScreenModel<'_>)) {
        let values = [
            Value::Mass(Milligrams(self.big[0])),
            Value::Length(Micrometres(self.big[1])),
            Value::Span(Seconds(self.span)),
            Value::Clock(self.when),
        ];
        show(&ScreenModel::Point(PointScreen {
            number: self.pick,
            count: self.pick,
            level: self.one(&[Level::Note, Level::Look, Level::Hold]),
            settled: self.maybe(ClockTime::new(self.when, Some(self.when))),
            signal: self.one(&[Signal::None, Signal::Notice, Signal::Caution, Signal::Warning]),
            what: &self.texts[0],
            remedy: &self.texts[1],
            values: &values,
            side: self.one(&[Side::What, Side::Remedy]),
            scroll: self.pick,
            action,
        }));
    }

    /// Any value of each kind. Names stand in titles; what stands below them has no tails, as codes and short names
    /// have none.
    fn items(&self, kinds: &[Kind]) -> Vec<Item<'_>> {
        let window = End::Window { from: self.clock(), to: self.when };
        let heat = self.heat.map(|heat| Figure { value: Celsius(heat), estimated: self.pick & 1 == 0 });
        let mass = Figure::estimated(Milligrams(self.big[0]));
        let span = Figure::estimated(Seconds(self.span));
        let plates = [PlateHeat::NoReading, PlateHeat::Hot(heat[1]), PlateHeat::BelowLimit(heat[0])];
        let any = |kind: &Kind| match *kind {
            Kind::JobName | Kind::Machine => Item::Text(&self.texts[0]),
            Kind::ShortName
            | Kind::Owner
            | Kind::Signs
            | Kind::Face
            | Kind::File
            | Kind::Code
            | Kind::Grade => Item::Text(&self.marks[1]),
            Kind::Mark => Item::Mark(self.maybe(self.marks[0].as_str())),
            Kind::Few | Kind::Check => Item::Count(self.span),
            Kind::Place | Kind::Layers => Item::Of(self.small[0], self.small[1]),
            Kind::Percent => Item::Percent(self.pick),
            Kind::Plate | Kind::CoolPlate | Kind::NoReading => Item::Plate(self.one(&plates)),
            Kind::NozzleHeat => Item::Nozzle(self.one(&plates)),
            Kind::Nozzle | Kind::Bed | Kind::CoolBed => Item::Heat(heat[0]),
            Kind::NozzleRise | Kind::BedRise => {
                Item::Rise { now: self.maybe(heat[0]), target: self.maybe(Celsius(self.heat[1])) }
            }
            Kind::Need => Item::Need(mass),
            Kind::Left => Item::Left(mass),
            Kind::Error => Item::GiveOrTake(Milligrams(self.big[1])),
            Kind::Strip | Kind::Bore => Item::Length(Micrometres(self.big[2])),
            Kind::Long | Kind::Short => Item::Span(span),
            Kind::Countdown => Item::Countdown(span),
            Kind::Clock | Kind::Today => Item::Clock(self.clock()),
            Kind::End => Item::End(self.one(&[window, End::ClockNotSet, End::Unknown])),
            Kind::Key => Item::Key { entered: self.pick, figure: self.pick },
            Kind::Reason => Item::OutOfUse(self.one(OutOfUse::ALL)),
            Kind::Is(terms) => Item::Term(self.one(terms)),
        };
        let mut items: Vec<_> = kinds.iter().map(any).collect();
        if self.pick & 0x20 == 0 {
            // One that was forgotten is shown as not known.
            items.pop();
        }
        items
    }

    fn run(&self, show: &mut impl FnMut(&ScreenModel<'_>)) {
        for &page in RunPage::ALL {
            show(&ScreenModel::Run(RunScreen { page, items: &self.items(of_page(page)) }));
        }
        let question = self.one(&questions());
        let items = self.items(of_question(question));
        let place = self.maybe(self.small[0] as u8);
        show(&ScreenModel::Asked(QuestionScreen {
            question,
            order: self.pick,
            place,
            too_quick: self.pick & 4 == 0,
            last_chance: self.pick & 8 == 0,
            items: &items,
        }));
        let mut picture = Footprint { cell_um: self.span, known: self.pick, ..Footprint::default() };
        picture.begins.iter_mut().zip(self.small).for_each(|(begin, any)| *begin = any);
        picture.layer.iter_mut().zip(self.texts[0].bytes().cycle()).for_each(|(row, byte)| row[3] = byte);
        picture.purge.iter_mut().zip(self.texts[1].bytes().cycle()).for_each(|(row, byte)| row[0] = byte);
        show(&ScreenModel::Watch(WatchScreen {
            name: &self.texts[0],
            picture: &picture,
            plate_um: [self.big[0], self.big[1]],
            round: self.pick & 1 == 0,
            purged: self.pick & 2 == 0,
            done_permille: u16::from(self.pick) * 5,
            stay: self.figure(Seconds(self.span)),
            now: self.one(Term::ALL),
            next: self.maybe(self.one(Term::ALL)),
        }));
    }
}
