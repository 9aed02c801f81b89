//! What each screen of a run takes: its items as they are met every day, and the longest that can be met.

use chrono::{NaiveDate, NaiveDateTime};
use holdpoint_shared::phase::{Hand, OutOfUse, Question};
use holdpoint_shared::records::Language;
use holdpoint_shared::screens::{ClockTime, Day, End, Figure, Item, PlateHeat};
use holdpoint_shared::units::{Celsius, Micrometres, Milligrams, Seconds};
use holdpoint_shared::words::run::{RunPage, Term};

/// The kind of an item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "named as what they hold")]
pub enum Kind {
    /// In a title: cut where it is too long.
    JobName,
    ShortName,
    Machine,
    Owner,
    Signs,
    Face,
    File,
    Code,
    Mark,
    Grade,
    Few,
    Check,
    Place,
    Layers,
    Percent,
    Plate,
    NoReading,
    Nozzle,
    Bed,
    NozzleRise,
    BedRise,
    Need,
    Left,
    Error,
    Strip,
    Bore,
    Long,
    Short,
    Countdown,
    Clock,
    Today,
    End,
    Key,
    Reason,
    NozzleHeat,
    /// Of a plate that may be lifted.
    CoolPlate,
    CoolBed,
    Is(&'static [Term]),
}
use Kind::{
    Bed, BedRise, Bore, Check, Code, CoolBed, CoolPlate, Countdown, Error, Face, Few, File, Grade, Is,
    JobName, Key, Layers, Left, Long, Machine, Mark, Need, NoReading, Nozzle, NozzleHeat, NozzleRise, Owner,
    Percent, Place, Plate, Reason, Short, ShortName, Signs, Strip, Today,
};

/// Edges of the plate.
pub const EDGES: &[Term] =
    &[Term::FrontEdge, Term::BackEdge, Term::LeftEdge, Term::RightEdge, Term::OnThePlate];
/// What is laid.
pub const LAID: &[Term] =
    &[Term::Homing, Term::Probing, Term::Purge, Term::Skirt, Term::Walls, Term::Infill, Term::SecondLayer];
/// What begins at a look.
pub const BEGINS: &[Term] =
    &[Term::Supports, Term::HoldsOn, Term::FirstLayerEnds, Term::QuarterDone, Term::Bridge, Term::RoomShuts];
/// What the memory lost.
const LOST: &[Term] = &[
    Term::LostHold,
    Term::LostUnknown,
    Term::LostRunNumber,
    Term::LostMachine,
    Term::LostSettled,
    Term::LostSpool,
    Term::LostEvents,
    Term::LostLearned,
    Term::LostRun,
    Term::LostMachineSheet,
    Term::LostSpoolTicket,
    Term::LostRoomRules,
    Term::LostPicture,
    Term::LostRows,
];
const AT_PAUSE: &[Term] = &[Term::ChangeSpool, Term::AsPlanned];
const NOBODY: &[Term] = &[Term::Nobody];
const PERSONS: &[Term] = &[Term::AnotherCode, Term::Nobody];

/// What a page takes.
#[must_use]
pub const fn of_page(page: RunPage) -> &'static [Kind] {
    match page {
        RunPage::WrongSpool => &[Mark, Mark],
        RunPage::CardBack => &[Percent],
        RunPage::Release => &[JobName, Percent, Few],
        RunPage::MoveCard => &[ShortName, Place],
        RunPage::LeadKey => &[Place, Key],
        RunPage::DeskKey => &[Key],
        RunPage::KeyRests => &[Countdown],
        RunPage::WarmUp => &[JobName, NozzleRise, BedRise, Countdown],
        RunPage::WarmUpString => &[JobName, Nozzle],
        RunPage::WarmSlow => &[Short, Short],
        RunPage::WarmStopped => &[BedRise],
        RunPage::Runaway => &[Bed, Bed],
        RunPage::ProbeOpen | RunPage::ProbeShort | RunPage::ProbeOdd => &[NoReading],
        RunPage::Homing | RunPage::Probing => &[JobName, Countdown],
        RunPage::PurgeLine => &[Is(EDGES), Strip, Countdown],
        RunPage::MayLeave => &[Owner, Kind::Clock, Is(BEGINS), Kind::End],
        RunPage::MayLeaveNoClock => &[Owner, Long, Is(BEGINS), Long],
        RunPage::Running => &[JobName, Percent, Kind::End, Kind::Clock, Plate],
        RunPage::RunningNoClock => &[JobName, Percent, Long, Long, Plate],
        RunPage::RunningMore => &[JobName, Layers, Left, Kind::Clock, Is(BEGINS)],
        RunPage::RunningWho | RunPage::Closing => &[JobName, Owner, Is(NOBODY), Kind::End, Plate],
        RunPage::CodeEntry => &[Signs],
        RunPage::LookDue => &[JobName, Is(BEGINS), Plate],
        RunPage::PauseSoon => &[JobName, Kind::Clock, Is(AT_PAUSE), Short],
        RunPage::PauseNow => &[Is(AT_PAUSE), Today],
        RunPage::HeatStillOn | RunPage::CoolingEarly => &[Today, Today, Bed],
        RunPage::Overdue => &[Long, Kind::Clock, Plate],
        RunPage::ShouldBeDone => &[Plate, Countdown, NozzleHeat],
        RunPage::Cooling => &[JobName, Countdown, Countdown, Plate, NozzleHeat],
        RunPage::CoolingPart => &[JobName, Countdown, CoolPlate, NozzleHeat],
        RunPage::BoxWarm => &[Bed, Bed, Plate, NozzleHeat],
        RunPage::CoolingByClock => &[Kind::Clock, NozzleHeat],
        RunPage::CoolingByTime | RunPage::HotMess => &[Countdown, NozzleHeat],
        RunPage::MayLift => &[CoolBed, NozzleHeat],
        RunPage::LiftHot => &[Countdown, Plate, NozzleHeat],
        RunPage::PlateOff => &[Short, NozzleHeat],
        RunPage::DoneCool => &[CoolPlate, NozzleHeat],
        RunPage::DoneNoProbe => &[NoReading, NozzleHeat],
        RunPage::NotSticking
        | RunPage::PlateOccupied
        | RunPage::PlateRocks
        | RunPage::PlateGreasy
        | RunPage::PurgeScrap
        | RunPage::FaceOther
        | RunPage::FilmMissing => &[Plate, NozzleHeat],
        RunPage::PlateMissing | RunPage::BitsLeft | RunPage::PartHolds | RunPage::MayLiftByClock => {
            &[NozzleHeat]
        }
        RunPage::NotFree => &[Machine],
        RunPage::Free => &[Machine, Mark, Left, Bore, Long, Long, Long],
        RunPage::PowerBack => &[JobName, Plate],
        RunPage::OutOfUse => &[Reason, Kind::Clock, Plate],
        RunPage::Settled | RunPage::Unsettled => &[Check],
        RunPage::DeviceFault => &[Code],
        RunPage::MemoryLost => &[Is(LOST)],
        RunPage::BalanceLost => &[Machine],
        RunPage::RowLost => &[ShortName, Kind::Clock],
        RunPage::NoKey
        | RunPage::NobodyThere
        | RunPage::KeyWrong
        | RunPage::TakeOver
        | RunPage::MemoryForeign
        | RunPage::TakenOver
        | RunPage::OtherJob
        | RunPage::StripThin
        | RunPage::NothingComes
        | RunPage::Gaps
        | RunPage::TooFlat
        | RunPage::Strings
        | RunPage::WrongPlace
        | RunPage::Blob
        | RunPage::Strands
        | RunPage::Shifted
        | RunPage::StoodStill
        | RunPage::Smoke
        | RunPage::CardChanged
        | RunPage::CardEarly
        | RunPage::DayBookHere
        | RunPage::SpoolSticks
        | RunPage::NozzleBlob
        | RunPage::VentOff
        | RunPage::ShutDoor
        | RunPage::OpenDoor
        | RunPage::ClearRound
        | RunPage::GetHelp
        | RunPage::CardAway => &[],
    }
}

/// Every question.
#[must_use]
pub fn questions() -> Vec<Question> {
    let hands = Hand::ALL.iter().copied().map(Question::Hand);
    let others = [
        Question::Shown,
        Question::Strip,
        Question::FirstLayer,
        Question::AfterFault,
        Question::Running,
        Question::AfterTrouble,
        Question::StillRunning,
        Question::PartOff,
        Question::PlateBack,
        Question::Outcome,
        Question::Reason,
        Question::Lead,
        Question::Again,
        Question::Use,
        Question::Owner,
        Question::InCharge,
    ];
    hands.chain(others).collect()
}

/// What a question takes.
#[must_use]
pub const fn of_question(question: Question) -> &'static [Kind] {
    match question {
        Question::Hand(Hand::Sticker) => &[Place, Mark],
        Question::Hand(Hand::Pins) => &[Place, NozzleHeat],
        Question::PartOff | Question::PlateBack => &[NozzleHeat],
        Question::Hand(Hand::Face) => &[Place, Face],
        Question::Hand(Hand::Film | Hand::Vent | Hand::DoorShut | Hand::DoorOpen) => &[Place, Grade],
        Question::Hand(_) | Question::Lead => &[Place],
        Question::Owner | Question::InCharge => &[Is(PERSONS)],
        Question::Shown => &[ShortName, Long],
        Question::Strip => &[Is(EDGES), Strip],
        Question::FirstLayer
        | Question::AfterFault
        | Question::Running
        | Question::AfterTrouble
        | Question::StillRunning
        | Question::Outcome
        | Question::Reason
        | Question::Again
        | Question::Use => &[],
    }
}

fn at(day: u32, hour: u32, minute: u32) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 11, day).unwrap().and_hms_opt(hour, minute, 0).unwrap()
}

const fn rise(now: Figure<Celsius>, target: i16) -> Item<'static> {
    Item::Rise { now: Some(now), target: Some(Celsius(target)) }
}

/// An item as it is met every day.
#[must_use]
pub const fn usual(kind: Kind) -> Option<Item<'static>> {
    Some(match kind {
        JobName => Item::Text("BRACKET_V3"),
        ShortName => Item::Text("BRACKE~2.GCO"),
        Machine => Item::Text("M2"),
        Owner => Item::Text("K7"),
        Signs => Item::Text("K[7]"),
        Face => Item::Text("smooth"),
        File => Item::Text("SPOOL.JSN"),
        Code => Item::Text("D12"),
        Mark => Item::Mark(Some("PETG")),
        Grade => Item::Text("ABS"),
        Few => Item::Count(5),
        Check => Item::Count(71),
        Place => Item::Of(2, 5),
        Layers => Item::Of(103, 240),
        Percent => Item::Percent(43),
        Plate => Item::Plate(PlateHeat::Hot(Figure::known(Celsius(58)))),
        Nozzle => Item::Heat(Figure::estimated(Celsius(180))),
        Bed => Item::Heat(Figure::known(Celsius(60))),
        NoReading => Item::Plate(PlateHeat::NoReading),
        NozzleRise => rise(Figure::estimated(Celsius(180)), 215),
        BedRise => rise(Figure::known(Celsius(41)), 60),
        Need => Item::Need(Figure::estimated(Milligrams(62_000))),
        Left => Item::Left(Figure::known(Milligrams(110_000))),
        Error => Item::GiveOrTake(Milligrams(20_000)),
        Strip => Item::Length(Micrometres(180_000)),
        Bore => Item::Length(Micrometres(400)),
        Long => Item::Span(Figure::known(Seconds(9600))),
        Short => Item::Span(Figure::known(Seconds(540))),
        Countdown => Item::Countdown(Figure::known(Seconds(400))),
        Key => Item::Key { entered: 2, figure: 7 },
        Reason => Item::OutOfUse(OutOfUse::Nozzle),
        NozzleHeat => Item::Nozzle(PlateHeat::Hot(Figure::estimated(Celsius(180)))),
        CoolPlate => Item::Plate(PlateHeat::BelowLimit(Figure::known(Celsius(39)))),
        CoolBed => Item::Heat(Figure::known(Celsius(39))),
        Is(terms) => match terms {
            [first, ..] => Item::Term(*first),
            [] => return None,
        },
        Kind::Clock | Today | Kind::End => return None,
    })
}

/// The usual items of a page or question.
#[must_use]
pub fn usual_items(kinds: &[Kind]) -> Vec<Item<'static>> {
    let clock = |hour, minute| ClockTime { at: at(25, hour, minute), day: Day::Today };
    kinds
        .iter()
        .enumerate()
        .map(|(place, &kind)| match kind {
            Kind::End => Item::End(End::Window { from: clock(13, 35), to: at(25, 14, 0) }),
            _ => usual(kind).unwrap_or_else(|| Item::Clock(clock(11 + place as u32, 25))),
        })
        .collect()
}

/// The longest items that can be met.
#[must_use]
pub fn longest_items(kinds: &[Kind], language: Language) -> Vec<Item<'static>> {
    let monday = ClockTime { at: at(30, 23, 50), day: Day::Weekday };
    let longest = |kind: &Kind| match *kind {
        JobName => Item::Text("Gehäuse_für_Fußschalter_Mœbius_ęß_v12_endgültig_2.gco"),
        ShortName => Item::Text("WWWWWW~2.GCO"),
        Machine => Item::Text("Maschine-Nummer2"),
        Owner => Item::Text("WXYZ"),
        Signs => Item::Text("WXY[OK]"),
        Face => Item::Text("textured"),
        File => Item::Text("MACHINE.JSN"),
        Code => Item::Text("D12-255"),
        Mark => Item::Mark(Some("PA66-CF15")),
        Grade => Item::Text("PA66"),
        Few => Item::Count(13),
        Check => Item::Count(255),
        Place => Item::Of(13, 13),
        Layers => Item::Of(9999, 9999),
        Percent => Item::Percent(100),
        Plate => Item::Plate(PlateHeat::Hot(Figure::estimated(Celsius(110)))),
        Nozzle => Item::Heat(Figure::estimated(Celsius(300))),
        Bed => Item::Heat(Figure::estimated(Celsius(110))),
        NoReading => Item::Plate(PlateHeat::NoReading),
        NozzleRise => rise(Figure::estimated(Celsius(300)), 300),
        BedRise => rise(Figure::estimated(Celsius(110)), 110),
        Need => Item::Need(Figure::estimated(Milligrams(1_234_000))),
        Left => Item::Left(Figure::estimated(Milligrams(2_150_000))),
        Error => Item::GiveOrTake(Milligrams(120_000)),
        Strip => Item::Length(Micrometres(1_234_000)),
        Bore => Item::Length(Micrometres(1_250)),
        Long => Item::Span(Figure::estimated(Seconds(125 * 3600))),
        Short | Countdown => Item::Countdown(Figure::estimated(Seconds(3540))),
        Kind::Clock | Today if *kind == Today => Item::Clock(ClockTime { day: Day::Today, ..monday }),
        Kind::Clock | Today => Item::Clock(monday),
        Kind::End => Item::End(End::Window { from: monday, to: at(30, 23, 59) }),
        Key => Item::Key { entered: 3, figure: 9 },
        Reason => Item::OutOfUse(OutOfUse::Heater),
        NozzleHeat => Item::Nozzle(PlateHeat::Hot(Figure::estimated(Celsius(300)))),
        CoolPlate => Item::Plate(PlateHeat::BelowLimit(Figure::known(Celsius(40)))),
        CoolBed => Item::Heat(Figure::known(Celsius(40))),
        Is(terms) => {
            let words = &holdpoint_shared::words::words(language).run;
            let longest = terms.iter().max_by_key(|term| words.term(**term).chars().count());
            Item::Term(*longest.unwrap())
        }
    };
    kinds.iter().map(longest).collect()
}
