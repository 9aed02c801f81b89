//! `holdpoint ledger` as a room's lead meets it.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use chrono::{NaiveDate, NaiveDateTime};
use holdpoint_shared::daybook::{EVENT_BYTES, Event, HEADER, ROW_BYTES, Row, What};
use holdpoint_shared::units::Milligrams;
use serde_json::Value;

fn holdpoint(arguments: &[&str], folder: &Path) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
    command.args(arguments).current_dir(folder).env_remove("NO_COLOR").output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("the command ended by itself")
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn on(day: u32) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 11, day).unwrap().and_hms_opt(10, 0, 0).unwrap()
}

/// A start that went on for an hour and used 10.5 g, closed out.
fn start(machine: &str, rec: u32, day: u32, result: &'static str) -> Row {
    let mut row = Row {
        rec,
        utc_offset_min: Some(60),
        started: Some(on(day)),
        ended: Some(on(day) + chrono::TimeDelta::hours(1)),
        result,
        estimated_s: Some(3_000),
        actual_s: Some(3_600),
        booked: Some(Milligrams(10_500)),
        left: Some(Milligrams(100_000 - i64::from(day) * 10_500)),
        closed_out: true,
        cost_cent: Some(23),
        ..Row::default()
    };
    row.set_machine(machine);
    row.set_spool("S1", "PLA", "");
    row
}

fn bytes(rows: &[Row]) -> Vec<u8> {
    let rows = rows.iter().flat_map(|row| row.write(&mut [0; ROW_BYTES]).to_vec());
    HEADER.bytes().chain(rows).collect()
}

/// A folder as a card, with these rows.
fn card(at: &Path, name: &str, rows: &[Row]) {
    fs::create_dir_all(at.join(name).join("HOLDPT")).unwrap();
    fs::write(at.join(name).join("HOLDPT/DAYBOOK.CSV"), bytes(rows)).unwrap();
}

fn json(arguments: &[&str], folder: &Path) -> (i32, Value) {
    let run = holdpoint(&[&["ledger", "--json"], arguments].concat(), folder);
    (code(&run), serde_json::from_slice(&run.stdout).unwrap_or_else(|_| panic!("{}", err(&run))))
}

#[test]
fn the_demo_has_a_day_book_to_look_at() {
    let here = tempfile::tempdir().unwrap();
    assert_eq!(code(&holdpoint(&["card", "--demo", "demo.img"], here.path())), 0);
    let run = holdpoint(&["ledger", "demo.img", "--now", "2026-11-25T14:42"], here.path());
    let text = out(&run);
    assert_eq!((code(&run), err(&run).as_str()), (0, ""), "{text}");
    for part in [
        "1 day book, 2026-11-02 to 2026-11-25",
        "BY GRADE",
        "came off plate",
        "S17 PLA",
        "ends after closing",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
    // The demo's spool ticket says 110 g of S17; so must its last row.
    let (_, sums) = json(&["demo.img"], here.path());
    assert_eq!(
        sums["low_spools"][0],
        serde_json::json!({"spool": "S17", "what": "PLA", "left_mg": 110_000, "left_err_mg": 20_000})
    );
}

#[test]
fn folders_images_and_files_add_up_and_a_start_on_several_cards_counts_once() {
    let here = tempfile::tempdir().unwrap();
    let rows = [start("M1", 1, 2, "good"), start("M1", 2, 3, "failed"), start("M2", 1, 4, "usable")];
    card(here.path(), "a", &rows[..2]);
    card(here.path(), "b", &rows[1..]);
    assert_eq!(code(&holdpoint(&["card", "b", "b.img"], here.path())), 0);
    let (exit, sums) = json(&["a", "b", "b.img", "a/HOLDPT/DAYBOOK.CSV"], here.path());
    assert_eq!(exit, 0);
    let total = &sums["total"][0];
    assert_eq!(
        (&total["starts"], &total["good"], &total["flawed"], &total["failed"]),
        (&3.into(), &1.into(), &1.into(), &1.into())
    );
    assert_eq!((&total["used_mg"], &total["cost_cent"]), (&31_500.into(), &69.into()));
    assert_eq!(sums["repeats"], 3);
    let machines = &sums["machines"];
    assert_eq!(machines[0]["between_failures_s"], 7_200, "two hours run, one failure");
    assert_eq!(machines[0]["failed_per_1000"], 500);
    assert_eq!(machines[0]["time_permille"], 1_200, "of the one that ended well");
    assert_eq!(machines[1]["between_failures_s"], Value::Null);
    // The balance of the last start, whichever machine wrote it.
    assert_eq!(sums["low_spools"][0]["left_mg"], 58_000);
}

#[test]
fn the_close_out_takes_the_place_of_its_start() {
    let here = tempfile::tempdir().unwrap();
    let closed = start("M1", 7, 2, "good");
    let begun =
        Row { result: "", closed_out: false, ended: None, booked: None, cost_cent: None, ..closed.clone() };
    let mut refused = Row { result: "refused", closed_out: false, ..start("M1", 8, 2, "") };
    refused.booked = None;
    // On the second card the start's first row comes after its last.
    card(here.path(), "a", &[begun.clone(), closed.clone(), refused]);
    card(here.path(), "b", std::slice::from_ref(&begun));
    let (exit, sums) = json(&["a", "b"], here.path());
    let total = &sums["total"][0];
    assert_eq!(
        (exit, &total["starts"], &total["open"], &total["refused"]),
        (0, &1.into(), &0.into(), &1.into())
    );
    assert_eq!(total["used_mg"], 10_500);
    let (_, sums) = json(&["b"], here.path());
    assert_eq!(sums["total"][0]["open"], 1);
}

#[test]
fn days_bound_the_sums() {
    let here = tempfile::tempdir().unwrap();
    let undated = Row { started: None, ended: None, ..start("M1", 9, 1, "good") };
    card(
        here.path(),
        "a",
        &[start("M1", 1, 2, "good"), start("M1", 2, 3, "good"), start("M1", 3, 4, "good"), undated],
    );
    for (days, starts, left_out) in [
        (&[][..], 4, 0),
        (&["--from", "2026-11-03"], 2, 1),
        (&["--to", "2026-11-03"], 2, 1),
        (&["--from", "2026-11-03", "--to", "2026-11-03"], 1, 1),
        (&["--from", "2026-12-01"], 0, 1),
    ] {
        let (exit, sums) = json(&[&["a"], days].concat(), here.path());
        assert_eq!(
            (exit, &sums["total"][0]["starts"], &sums["undated"]),
            (0, &starts.into(), &left_out.into()),
            "{days:?}"
        );
    }
    let run = holdpoint(&["ledger", "a", "--from", "2026-11-03", "--to", "2026-11-02"], here.path());
    assert_eq!(code(&run), 64);
    assert!(err(&run).contains("--from 2026-11-03 is later than --to 2026-11-02"), "{}", err(&run));
    assert_eq!(code(&holdpoint(&["ledger", "a", "--from", "today"], here.path())), 64);
    assert_eq!(code(&holdpoint(&["ledger"], here.path())), 64);
}

#[test]
fn every_bad_line_is_named_with_its_number_and_what_to_do() {
    let here = tempfile::tempdir().unwrap();
    card(
        here.path(),
        "a",
        &[start("M1", 1, 2, "good"), start("M1", 2, 3, "good"), start("M1", 3, 4, "good")],
    );
    let book = here.path().join("a/HOLDPT/DAYBOOK.CSV");
    let text = fs::read_to_string(&book).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    // The second row was edited, the third cut, and a further one begins after the cut.
    let edited = lines[2].replace("10.5", "99.5");
    let cut = &lines[3][..100];
    fs::write(&book, [lines[0], lines[1], &edited, cut, lines[1], ""].join("\r\n")).unwrap();
    let run = holdpoint(&["ledger", "a"], here.path());
    let said = err(&run);
    assert_eq!(code(&run), 3, "{said}");
    let said: Vec<&str> = said.lines().collect();
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said[0].starts_with("holdpoint: a, DAYBOOK.CSV, line 3 is not as it was written"), "{said:?}");
    assert!(said[0].contains("take the card's own file"), "{said:?}");
    assert!(said[1].starts_with("holdpoint: a, DAYBOOK.CSV, line 4 was cut short"), "{said:?}");
    assert!(out(&run).contains("10.5"), "what is whole is added up: {}", out(&run));
    let (_, sums) = json(&["a"], here.path());
    assert_eq!(sums["total"][0]["starts"], 1);
    assert_eq!(sums["books"][0]["left_out"][0]["line"], 3);
}

#[test]
fn what_is_no_book_is_named() {
    let here = tempfile::tempdir().unwrap();
    fs::create_dir_all(here.path().join("empty/HOLDPT")).unwrap();
    fs::write(here.path().join("part.gcode"), "G28\n").unwrap();
    card(here.path(), "a", &[start("M1", 1, 2, "good")]);
    let run = holdpoint(&["ledger", "empty", "part.gcode", "missing", "a"], here.path());
    let said = err(&run);
    assert_eq!(code(&run), 3, "{said}");
    let said: Vec<&str> = said.lines().collect();
    assert_eq!(said.len(), 3, "{said:?}");
    for (line, name, what) in [
        (0, "empty", "no HOLDPT/DAYBOOK.CSV"),
        (1, "part.gcode", "no day book"),
        (2, "missing", "cannot be read"),
    ] {
        assert!(
            said[line].starts_with(&format!("holdpoint: {name}")) && said[line].contains(what),
            "{said:?}"
        );
    }
    assert!(out(&run).contains("1 day book"), "{}", out(&run));
}

#[test]
fn a_number_given_twice_is_said_and_both_starts_count() {
    let here = tempfile::tempdir().unwrap();
    card(here.path(), "a", &[start("M1", 1, 2, "good"), start("M1", 1, 9, "good")]);
    let run = holdpoint(&["ledger", "a", "--json"], here.path());
    let sums: Value = serde_json::from_slice(&run.stdout).unwrap();
    assert_eq!((code(&run), &sums["total"][0]["starts"]), (0, &2.into()));
    assert!(err(&run).contains("M1 gave the number 1 to several starts"), "{}", err(&run));
}

#[test]
fn findings_are_counted_with_what_became_of_them() {
    let here = tempfile::tempdir().unwrap();
    let with = |row: Row, checks: &[u8]| Row { findings: checks.iter().copied().collect(), ..row };
    let rows = [
        with(start("M1", 1, 2, "good"), &[76, 58]),
        with(start("M1", 2, 3, "failed"), &[58]),
        with(start("M1", 3, 3, "refused"), &[76]),
    ];
    card(here.path(), "a", &rows);
    let event = |rec, what| {
        let event = Event { at: Some(on(2)), utc_offset_min: Some(60), machine: "M1", rec: Some(rec), what };
        event.write(&mut [0; EVENT_BYTES]).to_vec()
    };
    let opened = event(1, What::Override { check: 76, by: None, why: "looked at" });
    let judged = event(1, What::Judged { check: 76, right: false });
    let told = event(1, What::Told { question: "pins", answer: "2 pins" });
    // What a probe read is for whoever looks at the file; no sum uses it.
    let read =
        event(1, What::Probe { phase: "RUN", probe: "plate", least_dc: Some(594), most_dc: Some(606) });
    fs::write(here.path().join("a/HOLDPT/EVENTS.JSL"), [opened.clone(), told, read, judged, opened].concat())
        .unwrap();
    // From the card and from the file: the event beside it is found, and counts once.
    let (exit, sums) = json(&["a", "a/HOLDPT/DAYBOOK.CSV"], here.path());
    assert_eq!(exit, 0);
    let wanted = serde_json::json!([
        {"check": "58", "what": "not enough left", "fired": 2, "overridden": 0, "refused": 0, "failed": 1, "right": 0, "wrong": 0},
        {"check": "76", "what": "ends after closing", "fired": 2, "overridden": 1, "refused": 1, "failed": 0, "right": 0, "wrong": 1},
    ]);
    assert_eq!(sums["findings"], wanted);
    // A cut event is named like a cut row.
    let events = here.path().join("a/HOLDPT/EVENTS.JSL");
    let mut text = fs::read(&events).unwrap();
    text.truncate(text.len() - 20);
    fs::write(&events, text).unwrap();
    let run = holdpoint(&["ledger", "a"], here.path());
    assert_eq!(code(&run), 3);
    assert!(err(&run).contains("a, EVENTS.JSL, line 5 was cut short"), "{}", err(&run));
}

#[test]
fn a_machine_is_held_against_the_room_from_twenty_starts_on() {
    let here = tempfile::tempdir().unwrap();
    let rows = |machine: &'static str, starts: u32, failed: u32| {
        (0..starts).map(move |number| {
            start(machine, number, 1 + number % 25, if number < failed { "failed" } else { "good" })
        })
    };
    // Room: 5 of 100 failed. M1: 3 of 20 is three times that; M2 as often, in 19 starts; M3 exactly as often as twice.
    let many: Vec<Row> = rows("M1", 20, 3).chain(rows("M4", 80, 2)).collect();
    card(here.path(), "a", &many);
    let (_, sums) = json(&["a"], here.path());
    assert_eq!(sums["failing"], serde_json::json!([{"machine": "M1", "starts": 20, "failed": 3}]));
    let few: Vec<Row> = rows("M2", 19, 3).chain(rows("M4", 81, 2)).collect();
    card(here.path(), "b", &few);
    assert_eq!(json(&["b"], here.path()).1["failing"], serde_json::json!([]), "19 starts are noise");
    let twice: Vec<Row> = rows("M3", 20, 2).chain(rows("M4", 80, 3)).collect();
    card(here.path(), "c", &twice);
    assert_eq!(json(&["c"], here.path()).1["failing"], serde_json::json!([]), "twice is not more than twice");
}

#[test]
fn the_months_three_commonest_reasons() {
    let here = tempfile::tempdir().unwrap();
    let mut rows = Vec::new();
    for (place, (reason, times)) in
        [("tangle", 2), ("other", 1), ("ran out", 3), ("no plastic/jam", 1)].iter().enumerate()
    {
        for time in 0..*times {
            let rec = u32::try_from(place * 10 + time).unwrap();
            rows.push(Row { reason, ..start("M1", rec, 5, "failed") });
        }
    }
    card(here.path(), "a", &rows);
    let (_, sums) = json(&["a", "--now", "2026-11-25T12:00"], here.path());
    let wanted = serde_json::json!([
        {"reason": "ran out", "starts": 3},
        {"reason": "tangle", "starts": 2},
        {"reason": "no plastic/jam", "starts": 1},
    ]);
    assert_eq!(sums["month_reasons"], wanted);
    let (_, sums) = json(&["a", "--now", "2026-12-01T12:00"], here.path());
    assert_eq!(sums["month_reasons"], serde_json::json!([]));
    let (_, sums) = json(&["a", "--now", "2026-12-01T12:00", "--to", "2026-11-30"], here.path());
    assert_eq!(sums["month_reasons"], wanted, "the month in which the span ends");
}

#[test]
fn csv_has_a_line_a_number_and_no_formula() {
    let here = tempfile::tempdir().unwrap();
    let mut row = start("M1", 1, 2, "good");
    row.set_spool("S1", "=HYPERLINK(\"x\")", "");
    card(here.path(), "a", &[row]);
    let run = holdpoint(&["ledger", "a", "--csv"], here.path());
    assert_eq!(code(&run), 0);
    let text = out(&run);
    assert!(text.starts_with("report,name,measure,value\r\n"), "{text}");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let records: Vec<_> = reader.records().map(Result::unwrap).collect();
    assert!(
        records.iter().any(|record| record == vec!["grades", "'=HYPERLINK(\"x\")", "used_mg", "10500"]),
        "{text}"
    );
    assert!(records.iter().flatten().all(|cell| !cell.starts_with(['=', '+', '@'])), "{text}");
    assert_eq!(code(&holdpoint(&["ledger", "a", "--csv", "--json"], here.path())), 64);
}
