//! One model of each screen as it is met every day, and the longest and worst that can happen to it.

use chrono::{NaiveDate, NaiveDateTime};
use holdpoint_shared::checks::{Level, Signal, Value, Verdict};
use holdpoint_shared::header::HeaderErrorKind;
use holdpoint_shared::json::{Expected, JsonFault};
use holdpoint_shared::media::MediaFault;
use holdpoint_shared::screens::{
    Action, Agreement, CardFault, ClockTime, Closing, Confirmation, Day, End, Figure, HeaderBroken, JobRow,
    Jobs, LoadedSpool, NoJobs, Outcome, PlateHeat, PointScreen, ReadingScreen, RecordRefused, ScreenModel,
    Side, VettingScreen, Waiting,
};
use holdpoint_shared::units::{Celsius, Micrometres, Milligrams, Seconds};

const LONG_NAME: &str = "Gehäuse_für_Fußschalter_Mœbius_ęß_v12_endgültig_2.gco";

fn at(day: u32, hour: u32, minute: u32) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 11, day).unwrap().and_hms_opt(hour, minute, 0).unwrap()
}

fn clock(day: u32, hour: u32, minute: u32) -> ClockTime {
    ClockTime::new(at(day, hour, minute), Some(at(25, 10, 50)))
}

fn clear() -> Confirmation<'static> {
    Confirmation {
        verdict: Verdict::Clear,
        was: None,
        read: None,
        name: "BRACKET_V3",
        job_mark: Some("PLA"),
        spool_mark: Some("PLA"),
        agreement: Agreement::Same,
        nozzle: Some(Celsius(215)),
        bed: Some(Celsius(60)),
        length: Some(Figure::known(Micrometres(12_681_000))),
        mass: Some(Figure::estimated(Milligrams(37_800))),
        left: Some(Milligrams(110_000)),
        time: Some(Figure::known(Seconds(9600))),
        end: End::Window { from: clock(25, 13, 35), to: at(25, 14, 0) },
        action: Action::WalkRound,
    }
}

fn confirmations(show: &mut impl FnMut(&str, &ScreenModel<'_>)) {
    let mut show = |name: &str, screen: Confirmation<'_>| show(name, &ScreenModel::Confirmation(screen));
    show("confirmation_clear", clear());
    let was = Some(Verdict::Clear);
    show(
        "confirmation_worse",
        Confirmation { verdict: Verdict::Hold, was, action: Action::ReadPoints(1), ..clear() },
    );
    show(
        "confirmation_look_was_clear",
        Confirmation { verdict: Verdict::Look, was, action: Action::ReadPoints(2), ..clear() },
    );
    show("confirmation_as_read", Confirmation { read: Some(clock(25, 10, 42)), ..clear() });
    let unknown = ClockTime { at: NaiveDateTime::MIN, day: Day::NotKept };
    show(
        "confirmation_as_read_before",
        Confirmation {
            verdict: Verdict::Look,
            read: Some(unknown),
            was,
            action: Action::ReadPoints(2),
            ..clear()
        },
    );
    show("confirmation_as_read_on_a_day", Confirmation { read: Some(clock(24, 10, 42)), ..clear() });
    show(
        "confirmation_look",
        Confirmation {
            verdict: Verdict::Look,
            mass: Some(Figure::known(Milligrams(98_200))),
            length: Some(Figure::known(Micrometres(32_900_000))),
            end: End::Window { from: clock(25, 18, 20), to: at(25, 19, 5) },
            time: Some(Figure::estimated(Seconds(27_000))),
            action: Action::ReadPoints(2),
            ..clear()
        },
    );
    show(
        "confirmation_hold",
        Confirmation {
            verdict: Verdict::Hold,
            spool_mark: Some("PETG"),
            agreement: Agreement::Differ,
            action: Action::ReadPoints(1),
            ..clear()
        },
    );
    show(
        "confirmation_no_verdict",
        Confirmation {
            verdict: Verdict::NoVerdict,
            name: "GEARBOX.GCO",
            job_mark: None,
            agreement: Agreement::Unknown,
            nozzle: None,
            bed: None,
            length: None,
            mass: None,
            left: None,
            time: None,
            end: End::Unknown,
            action: Action::OtherJob,
            ..clear()
        },
    );
    show("confirmation_no_clock", Confirmation { end: End::ClockNotSet, name: "DECKEL", ..clear() });
    show(
        "confirmation_worst",
        Confirmation {
            verdict: Verdict::NoVerdict,
            was: Some(Verdict::Look),
            read: Some(clock(22, 23, 50)),
            name: LONG_NAME,
            job_mark: Some("PA66-CF15"),
            spool_mark: Some("PA12-GF30"),
            agreement: Agreement::Differ,
            nozzle: Some(Celsius(i16::MIN)),
            bed: Some(Celsius(i16::MAX)),
            length: Some(Figure::estimated(Micrometres(1_234_567_000))),
            mass: Some(Figure::estimated(Milligrams(3_682_000))),
            left: Some(Milligrams(-12_400)),
            time: Some(Figure::estimated(Seconds(125 * 3600))),
            end: End::Window { from: clock(30, 9, 20), to: at(30, 23, 50) },
            action: Action::ReadPoints(24),
        },
    );
    show(
        "confirmation_tomorrow",
        Confirmation {
            name: LONG_NAME,
            job_mark: Some("PETG"),
            spool_mark: Some("PETG"),
            nozzle: Some(Celsius(250)),
            bed: Some(Celsius(100)),
            length: Some(Figure::known(Micrometres(234_500_000))),
            mass: Some(Figure::known(Milligrams(699_000))),
            left: Some(Milligrams(1_000_000)),
            time: Some(Figure::estimated(Seconds(15 * 3600 + 300))),
            end: End::Window { from: clock(26, 1, 40), to: at(26, 3, 5) },
            action: Action::ReadPoints(12),
            ..clear()
        },
    );
}

fn waiting(show: &mut impl FnMut(&str, &ScreenModel<'_>)) {
    let mut show = |name: &str, screen: Waiting<'_>| show(name, &ScreenModel::Waiting(screen));
    let spool = LoadedSpool {
        id: "S17",
        mark: Some("PLA"),
        colour: Some("black"),
        left: Some(Milligrams(48_900)),
        left_error: Some(Milligrams(20_000)),
    };
    let usual = Waiting {
        machine: "M2",
        spool: Some(spool),
        last: Some(Outcome::Good),
        closing: Closing::At(clock(25, 18, 0)),
        plate: PlateHeat::BelowLimit(Figure::known(Celsius(23))),
    };
    show("waiting", usual);
    show(
        "waiting_hot",
        Waiting { last: Some(Outcome::Failed), plate: PlateHeat::Hot(Figure::known(Celsius(58))), ..usual },
    );
    show("waiting_no_probe", Waiting { last: Some(Outcome::Flawed), plate: PlateHeat::NoReading, ..usual });
    show(
        "waiting_unknown",
        Waiting {
            spool: None,
            last: None,
            closing: Closing::ClockNotSet,
            plate: PlateHeat::NoReading,
            ..usual
        },
    );
    show(
        "waiting_worst",
        Waiting {
            machine: "Maschine-Nummer2",
            spool: Some(LoadedSpool {
                id: "Spulenregal-0017",
                mark: Some("PA66-CF15"),
                colour: Some("perlmutt-anthrazit, leicht transparent"),
                left: Some(Milligrams(2_150_000)),
                left_error: Some(Milligrams(120_000)),
            }),
            last: Some(Outcome::Failed),
            closing: Closing::At(clock(26, 18, 0)),
            plate: PlateHeat::Hot(Figure::estimated(Celsius(110))),
        },
    );
    show("waiting_shut", Waiting { closing: Closing::ShutToday, ..usual });
    show("waiting_no_hours", Waiting { closing: Closing::NoHours, ..usual });
}

fn card(show: &mut impl FnMut(&str, &ScreenModel<'_>)) {
    show(
        "reading",
        &ScreenModel::Reading(ReadingScreen { jobs: 3, files: 7, newest: Some(clock(25, 10, 42)) }),
    );
    show("reading_one", &ScreenModel::Reading(ReadingScreen { jobs: 1, files: 1, newest: None }));
    let long_ago = ClockTime { at: at(24, 10, 42), day: Day::OtherYear };
    show(
        "reading_worst",
        &ScreenModel::Reading(ReadingScreen { jobs: u16::MAX, files: u16::MAX, newest: Some(long_ago) }),
    );
    show("no_jobs_models", &ScreenModel::NoJobs(NoJobs { models: 2, others: 1, not_listed: 0 }));
    show("no_jobs_empty", &ScreenModel::NoJobs(NoJobs { models: 0, others: 0, not_listed: 0 }));
    show(
        "no_jobs_worst",
        &ScreenModel::NoJobs(NoJobs { models: u16::MAX, others: u16::MAX, not_listed: u16::MAX }),
    );
    let faults = [
        ("no_card", MediaFault::NoCard, Action::ReadAgain),
        ("gone", MediaFault::Gone, Action::PutCardIn),
        ("read_failed", MediaFault::ReadFailed, Action::TakeCardOut),
        ("write_failed", MediaFault::WriteFailed, Action::Back),
        ("read_only", MediaFault::ReadOnly, Action::Back),
        ("only_read", MediaFault::OnlyRead, Action::Back),
        ("blank", MediaFault::Blank, Action::TakeCardOut),
        ("foreign", MediaFault::Foreign, Action::TakeCardOut),
        ("damaged", MediaFault::Damaged, Action::TakeCardOut),
        ("chain_broken", MediaFault::ChainBroken, Action::OtherJob),
        ("not_found", MediaFault::NotFound, Action::OtherJob),
        ("full", MediaFault::Full, Action::Back),
    ];
    for (name, fault, action) in faults {
        show(&format!("fault_{name}"), &ScreenModel::CardFault(CardFault { fault, action }));
    }
}

fn jobs(show: &mut impl FnMut(&str, &ScreenModel<'_>)) {
    let mut show = |name: &str, screen: Jobs<'_>| show(name, &ScreenModel::Jobs(screen));
    let bracket = JobRow {
        name: "BRACKET_V3",
        saved: Some(clock(25, 10, 42)),
        time: Some(Figure::known(Seconds(9600))),
        mark: Some("PLA"),
        verdict: Some(Verdict::Clear),
    };
    let gearbox = JobRow {
        name: "GEARBOX.GCO",
        saved: Some(clock(24, 9, 5)),
        time: Some(Figure::known(Seconds(32_700))),
        mark: Some("PETG"),
        verdict: Some(Verdict::Hold),
    };
    let unknown = JobRow { name: "deckel_ö.gco", saved: None, time: None, mark: None, verdict: None };
    let longest = JobRow {
        name: LONG_NAME,
        saved: Some(ClockTime { at: at(24, 10, 42), day: Day::OtherYear }),
        time: Some(Figure::estimated(Seconds(u32::MAX))),
        mark: Some("PA66-CF15"),
        verdict: Some(Verdict::NoVerdict),
    };
    show("jobs", Jobs { number: 1, count: 3, row: bracket, next: Some(gearbox), not_listed: 2 });
    show("jobs_hold", Jobs { number: 2, count: 3, row: gearbox, next: Some(unknown), not_listed: 0 });
    show("jobs_last", Jobs { number: 3, count: 3, row: unknown, next: None, not_listed: 0 });
    show("jobs_last_left_out", Jobs { number: 3, count: 3, row: unknown, next: None, not_listed: u16::MAX });
    let look = JobRow { verdict: Some(Verdict::Look), saved: Some(clock(2, 16, 30)), ..bracket };
    show("jobs_look", Jobs { number: 12, count: 240, row: look, next: Some(longest), not_listed: 0 });
    show(
        "jobs_worst",
        Jobs { number: u16::MAX, count: u16::MAX, row: longest, next: Some(longest), not_listed: 0 },
    );
}

fn vetting(show: &mut impl FnMut(&str, &ScreenModel<'_>)) {
    let mut show = |name: &str, screen: VettingScreen<'_>| show(name, &ScreenModel::Vetting(screen));
    let usual = VettingScreen {
        name: "BRACKET_V3",
        percent: 43,
        left: Some(Seconds(12)),
        points: 0,
        action: Action::LeaveCardIn,
    };
    show("vetting", usual);
    show("vetting_points", VettingScreen { points: 2, action: Action::ReadPoints(2), ..usual });
    show("vetting_start", VettingScreen { percent: 0, left: None, ..usual });
    show(
        "vetting_worst",
        VettingScreen {
            name: LONG_NAME,
            percent: u8::MAX,
            left: Some(Seconds(u32::MAX)),
            points: u8::MAX,
            action: Action::ReadPoints(u8::MAX),
        },
    );
}

fn points(show: &mut impl FnMut(&str, &ScreenModel<'_>)) {
    let mut show = |name: &str, screen: PointScreen<'_>| show(name, &ScreenModel::Point(screen));
    let text = |text: &str| Value::Text(text.try_into().unwrap());
    let spool = [text("PLA"), text("PETG"), Value::Temperature(Celsius(215)), Value::None];
    let cut = [Value::Percent(61), Value::None, Value::None, Value::None];
    let mass = [
        Value::Mass(Milligrams(98_200)),
        Value::Mass(Milligrams(90_000)),
        Value::Mass(Milligrams(20_000)),
        Value::Clock(at(25, 18, 0)),
    ];
    let wrong_spool = PointScreen {
        number: 1,
        count: 2,
        level: Level::Hold,
        settled: None,
        signal: Signal::None,
        what: "The file wants {0}, the spool is {1}. It will not melt right at {2}.",
        remedy: "Change the spool, or slice again for {1}.",
        values: &spool,
        side: Side::What,
        scroll: 0,
        action: Action::Remedy,
    };
    show("point_hold", wrong_spool);
    let settled = Some(clock(24, 0, 0));
    show("point_settled", PointScreen { level: Level::Look, settled, ..wrong_spool });
    show(
        "point_settled_caution",
        PointScreen {
            level: Level::Look,
            settled,
            signal: Signal::Caution,
            what: "{0} gives off fumes.",
            ..wrong_spool
        },
    );
    show("point_remedy", PointScreen { side: Side::Remedy, action: Action::Back, ..wrong_spool });
    show(
        "point_warning",
        PointScreen {
            signal: Signal::Warning,
            what: "Cut short at {0}. It leaves the heaters ON.",
            values: &cut,
            ..wrong_spool
        },
    );
    show(
        "point_caution",
        PointScreen {
            number: 2,
            level: Level::Look,
            signal: Signal::Caution,
            what: "Vent on, door shut: these fumes are not for noses.",
            ..wrong_spool
        },
    );
    show(
        "point_notice",
        PointScreen {
            level: Level::Look,
            signal: Signal::Notice,
            what: "Needs {0}, left {1}, give or take {2}. Room shuts {3}.",
            values: &mass,
            ..wrong_spool
        },
    );
    let long = PointScreen {
        number: 23,
        count: 24,
        level: Level::Look,
        signal: Signal::Caution,
        what: "Donaudampfschifffahrtsgesellschaft: {0} {9} {} {1 of {1}, and so on over more lines than \
               the panel has, so that turning the knob is the only way to read what stands at the end of it.",
        values: &mass,
        ..wrong_spool
    };
    show("point_worst", long);
    show("point_worst_middle", PointScreen { scroll: 2, ..long });
    show("point_worst_end", PointScreen { scroll: u8::MAX, ..long });
    show(
        "point_note",
        PointScreen { level: Level::Note, what: "Older version. Newest is V3.", ..wrong_spool },
    );
}

fn refused(show: &mut impl FnMut(&str, &ScreenModel<'_>)) {
    let json = HeaderErrorKind::Json;
    let kinds = [
        ("version", "", HeaderErrorKind::Version),
        ("no_end", "", HeaderErrorKind::NoEnd),
        ("not_a_comment", "", HeaderErrorKind::NotAComment),
        ("too_long", "", HeaderErrorKind::TooLong),
        ("not_utf8", "", json(JsonFault::NotUtf8)),
        ("syntax", "", json(JsonFault::Syntax(Expected::Colon))),
        ("missing", "material", json(JsonFault::Missing)),
        ("twice", "nozzle_c", json(JsonFault::Twice)),
        ("value", "first_layer_um", json(JsonFault::Value(Expected::Flag))),
        ("trailing", "", json(JsonFault::Trailing)),
    ];
    for (name, key, kind) in &kinds {
        let screen =
            HeaderBroken { name: "GEARBOX.GCO", kind, key, line: 3, column: 21, action: Action::VetAnyway };
        show(&format!("header_{name}"), &ScreenModel::HeaderBroken(screen));
    }
    let worst = HeaderBroken {
        name: LONG_NAME,
        kind: &json(JsonFault::Value(Expected::Flag)),
        key: "abcdefghijklmnopqrst",
        line: u32::MAX,
        column: u32::MAX,
        action: Action::VetAnyway,
    };
    show("header_worst", &ScreenModel::HeaderBroken(worst));
    let record = RecordRefused {
        file: "MACHINE.JSN",
        what: "nozzle_max_c over 600",
        line: 12,
        column: 18,
        more: 0,
        action: Action::Back,
    };
    show("record", &ScreenModel::RecordRefused(record));
    show("record_of_three_faults", &ScreenModel::RecordRefused(RecordRefused { more: 2, ..record }));
}

/// Shows every sample with its name.
pub(crate) fn each(mut show: impl FnMut(&str, &ScreenModel<'_>)) {
    waiting(&mut show);
    card(&mut show);
    jobs(&mut show);
    vetting(&mut show);
    confirmations(&mut show);
    points(&mut show);
    refused(&mut show);
}
