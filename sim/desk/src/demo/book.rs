//! The demo card's day book: three weeks of the workshop's starts on its three machines, all invented.

use chrono::{NaiveDateTime, TimeDelta};
use holdpoint_shared::checks::Verdict;
use holdpoint_shared::daybook::{EVENT_BYTES, Event, HEADER, OwnerCode, REFUSED, ROW_BYTES, Row, What};
use holdpoint_shared::units::Milligrams;

/// The workshop's offset from UTC in November, as in its room rules.
const UTC_OFFSET_MIN: i16 = 60;

/// What was printed: name, grade, colour, spool, surveyed seconds, surveyed milligrams.
const PARTS: [(&str, &str, &str, &str, u32, i64); 7] = [
    ("Bohrlehre 40", "PLA", "black", "S17", 5_400, 18_400),
    ("Regalträger 2x", "PLA", "black", "S17", 14_200, 61_300),
    ("Maßwand", "PLA", "white", "S09", 21_600, 88_900),
    ("Café-Schild", "PLA", "white", "S09", 7_100, 24_650),
    ("Zahnrad m2 z24", "PETG", "grey", "S21", 10_300, 33_275),
    ("Haken", "PETG", "grey", "S21", 4_100, 12_150),
    ("Rändelknopf", "TPU", "red", "S05", 3_300, 7_905),
];

/// Left on each spool before the first of the starts, mg, and its price, hundredths a kilogram.
const SPOOLS: [(&str, i64, i64); 4] =
    [("S17", 697_066, 2_190), ("S09", 1_000_000, 2_190), ("S21", 750_000, 2_690), ("S05", 190_000, 3_490)];

/// How some of the starts ended: number from 0, result, reason; the others went well.
const ENDS: [(u32, &str, &str); 11] = [
    (3, "failed", "came off plate"),
    (8, "usable", ""),
    (11, "failed", "came off plate"),
    (17, REFUSED, ""),
    (19, "failed", "first layer bad at start"),
    (25, "stopped", "stopped by person"),
    (28, "failed", "came off plate"),
    (33, "usable", ""),
    (36, "failed", "tangle"),
    (41, REFUSED, ""),
    (46, "failed", "stringy/damp look"),
];

/// Starts in the book.
const STARTS: u32 = 54;

/// Starts with a point: number from 0, check, whether a lead opened it.
const POINTS: [(u32, u8, bool); 6] =
    [(5, 76, false), (13, 76, true), (17, 54, false), (22, 58, false), (36, 59, false), (41, 76, false)];

/// The book's rows, with their column names.
pub(super) fn rows() -> Vec<u8> {
    let mut book = HEADER.as_bytes().to_vec();
    let mut left: Vec<i64> = SPOOLS.iter().map(|(_, left, _)| *left).collect();
    for number in 0..STARTS {
        let mut row = started(number);
        if row.result == REFUSED {
            book.extend_from_slice(row.write(&mut [0; ROW_BYTES]));
            continue;
        }
        let begun = Row { result: "", reason: "", ..row.clone() };
        book.extend_from_slice(begun.write(&mut [0; ROW_BYTES]));
        let (_, _, _, spool, estimated_s, mass) = PARTS[number as usize % PARTS.len()];
        // What failed did so after a third of its way.
        let whole = matches!(row.result, "good" | "usable");
        let booked = if whole { mass + i64::from(number % 5) * 100 } else { mass / 3 };
        let actual_s = if whole { estimated_s + 300 + number * 7 } else { estimated_s / 3 + 300 };
        row.ended = row.started.map(|started| started + TimeDelta::seconds(actual_s.into()));
        let Some(place) = SPOOLS.iter().position(|(id, ..)| *id == spool) else { continue };
        // The last ones still run on the demo's afternoon.
        if row.ended > Some(super::clock()) {
            continue;
        }
        left[place] -= booked;
        row.actual_s = Some(actual_s);
        row.booked = Some(Milligrams(booked));
        row.wasted = Some(Milligrams(if whole { 0 } else { booked }));
        row.left = Some(Milligrams(left[place]));
        row.left_error = Some(Milligrams(20_000));
        row.closed_out = true;
        // Half a cent and more count as one.
        row.cost_cent = u32::try_from((booked * SPOOLS[place].2 + 500_000) / 1_000_000).ok();
        book.extend_from_slice(row.write(&mut [0; ROW_BYTES]));
    }
    book
}

/// What is known of a start when it begins, with the result that it will have.
fn started(number: u32) -> Row {
    let (name, grade, colour, spool, estimated_s, mass) = PARTS[number as usize % PARTS.len()];
    let at = begun(number);
    let mut row = Row {
        rec: 200 + number / 3,
        utc_offset_min: Some(UTC_OFFSET_MIN),
        started: Some(at),
        end_from: Some(at + TimeDelta::seconds(estimated_s.into())),
        end_to: Some(at + TimeDelta::seconds(i64::from(estimated_s) * 11 / 10 + 300)),
        owner: OwnerCode::new(["K7", "LE", "MB"][number as usize % 3]),
        bore_um: Some(400),
        layer_um: Some(200),
        estimated_s: Some(estimated_s),
        estimated: Some(Milligrams(mass)),
        verdict: Some(Verdict::Clear),
        result: "good",
        firmware: env!("CARGO_PKG_VERSION"),
        ..Row::default()
    };
    row.set_machine(machine(number));
    row.set_job(name, None, None);
    row.set_spool(spool, grade, colour);
    if let Some((_, result, reason)) = ENDS.iter().find(|(of, ..)| *of == number) {
        (row.result, row.reason) = (result, reason);
    }
    if let Some((_, check, opened)) = POINTS.iter().find(|(of, ..)| *of == number) {
        let hold = row.result == REFUSED || *opened;
        row.verdict = Some(if hold { Verdict::Hold } else { Verdict::Look });
        row.findings = [*check].into_iter().collect();
        row.overrides = (*opened).into();
        row.override_by = OwnerCode::new("RL").filter(|_| *opened);
    }
    row
}

/// Each machine counts its own starts.
fn machine(number: u32) -> &'static str {
    ["M1", "M2", "M3"][number as usize % 3]
}

/// Three starts a working day, from Monday three weeks before the demo's afternoon.
fn begun(number: u32) -> NaiveDateTime {
    let (day, of_day) = (number / 3, number % 3);
    let monday = super::clock() - TimeDelta::days(23);
    let days = i64::from(day / 5 * 7 + day % 5);
    monday + TimeDelta::days(days) - TimeDelta::minutes(i64::from(300 - of_day * 97))
}

/// Its events: a lead opened one point, and found it wrong.
pub(super) fn events() -> Vec<u8> {
    let mut book = Vec::new();
    for (number, check, _) in POINTS.iter().filter(|(.., opened)| *opened) {
        let by = OwnerCode::new("RL");
        for what in [
            What::Override { check: *check, by, why: "attended" },
            What::Gate { open: true, by },
            What::Judged { check: *check, right: false },
        ] {
            let event = Event {
                at: Some(begun(*number)),
                utc_offset_min: Some(UTC_OFFSET_MIN),
                machine: machine(*number),
                rec: Some(200 + number / 3),
                what,
            };
            book.extend_from_slice(event.write(&mut [0; EVENT_BYTES]));
        }
    }
    book
}
