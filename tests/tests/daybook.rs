//! The day book's lines, read back by other readers than ours: the `csv` crate (RFC 4180) and `serde_json` (RFC 8259).

use chrono::{DateTime, NaiveDate, NaiveDateTime};
use holdpoint_shared::checks::{Finding, Level, Signal, Value, Verdict};
use holdpoint_shared::daybook::{
    COLUMNS, EVENT_BYTES, Event, HEADER, LineState, OwnerCode, ROW_BYTES, Row, What, event_state, plain,
    row_state,
};
use holdpoint_shared::units::{Celsius, Micrometres, Milligrams, Seconds};
use holdpoint_shared::visible::is_hidden;
use holdpoint_tests::images::clock;
use proptest::prelude::*;
use rust_decimal::Decimal;

/// The columns of the job catalogue, section 5, copied from there.
const PUBLISHED: &str = "rec,machine,started,ended,end_forecast_lo,end_forecast_hi,result,reason,owner,job_name,job_crc32,job_bytes,grade,colour,spool_id,nozzle_mm,layer_mm,height_mm,est_s,actual_s,est_g,booked_g,wasted_g,left_g,left_err_g,verdict,findings,overrides,override_by,watch_s_asked,watch_s_done,plate_max_c,safe_at,closed_out,cost,settings_crc,fw,line_crc";

/// The example of the same section. Its sum is made up there.
const EXAMPLE: &str = "412,M2,2026-11-25T10:52:10+01:00,2026-11-25T13:41:30+01:00,2026-11-25T13:35:00+01:00,2026-11-25T14:00:00+01:00,good,,K7,BRACKET_V3,9F3A11C0,4183221,PLA,black,S17,0.4,0.2,48.0,9600,10160,62.0,62.4,0,47.6,20,LOOK,58;71,0,,540,560,60.5,2026-11-25T13:49:00+01:00,1,1.94,5C0E77A1,0.3.0,0A1B2C3D";

/// The same start, in the day book's own units.
fn example() -> Row {
    let mut row = Row {
        rec: 412,
        utc_offset_min: Some(60),
        started: Some(clock(10, 52, 10)),
        ended: Some(clock(13, 41, 30)),
        end_from: Some(clock(13, 35, 0)),
        end_to: Some(clock(14, 0, 0)),
        result: "good",
        owner: OwnerCode::new("K7"),
        bore_um: Some(400),
        layer_um: Some(200),
        height_um: Some(48_000),
        estimated_s: Some(9_600),
        actual_s: Some(10_160),
        estimated: Some(Milligrams(62_000)),
        booked: Some(Milligrams(62_400)),
        wasted: Some(Milligrams(0)),
        left: Some(Milligrams(47_600)),
        left_error: Some(Milligrams(20_000)),
        verdict: Some(Verdict::Look),
        findings: [58, 71].into_iter().collect(),
        watch_asked_s: Some(540),
        watch_done_s: Some(560),
        plate_max_dc: Some(605),
        touch_from: Some(clock(13, 49, 0)),
        closed_out: true,
        cost_cent: Some(194),
        settings_crc: Some(0x5C0E_77A1),
        firmware: "0.3.0",
        ..Row::default()
    };
    row.set_machine("M2");
    row.set_job("BRACKET_V3", Some(4_183_221), Some(0x9F3A_11C0));
    row.set_spool("S17", "PLA", "black");
    row
}

fn line(row: &Row) -> String {
    String::from_utf8(row.write(&mut [0; ROW_BYTES]).to_vec()).expect("a row is UTF-8")
}

/// The cells as the `csv` crate reads them.
fn cells(line: &str) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(line.as_bytes());
    let records: Vec<_> = reader.records().collect::<Result<_, _>>().expect("RFC 4180");
    let [record] = records.as_slice() else { panic!("{} records in {line:?}", records.len()) };
    record.iter().map(str::to_owned).collect()
}

#[test]
fn the_columns_are_the_published_ones() {
    assert_eq!(HEADER, format!("{PUBLISHED}\r\n"));
    assert_eq!(COLUMNS, PUBLISHED.split(',').count());
}

#[test]
fn the_published_example_is_written_to_the_same_values() {
    let line = line(&example());
    let (wanted, cells) = (cells(EXAMPLE), cells(&line));
    assert_eq!(cells.len(), wanted.len());
    for ((name, wanted), cell) in PUBLISHED.split(',').zip(&wanted).zip(&cells) {
        match (wanted.parse::<Decimal>(), cell.parse::<Decimal>()) {
            _ if name == "line_crc" => {}
            // 48.0 and 48 are one number.
            (Ok(wanted), Ok(cell)) => assert_eq!(wanted, cell, "{name}"),
            _ => assert_eq!(wanted, cell, "{name}"),
        }
        if ["started", "ended", "end_forecast_lo", "end_forecast_hi", "safe_at"].contains(&name) {
            DateTime::parse_from_rfc3339(cell).expect(name);
        }
    }
    let (body, sum) = line.trim_end().rsplit_once(',').expect("cells");
    let crc = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(format!("{body},").as_bytes());
    assert_eq!(sum, format!("{crc:08X}"));
    assert!(line.ends_with("\r\n"));
}

#[test]
fn the_guides_row_is_the_examples_own() {
    let page = concat!(env!("CARGO_MANIFEST_DIR"), "/../sim/guide/src/daybook.md");
    let page = std::fs::read_to_string(page).expect("the guide's page");
    let shown = page.lines().find(|line| line.starts_with("412,M2,")).expect("an example");
    assert_eq!(shown, line(&example()).trim_end());
    for name in PUBLISHED.split(',') {
        let told = page.lines().filter(|line| line.starts_with("| ")).any(|line| {
            line.trim_start_matches("| ")
                .split(" |")
                .next()
                .is_some_and(|names| names.split(", ").any(|told| told == name))
        });
        assert!(told, "the guide's table tells what {name} is");
    }
}

#[test]
fn an_empty_row_has_all_its_columns() {
    let line = line(&Row::default());
    let cells = cells(&line);
    assert_eq!(cells.len(), COLUMNS);
    assert_eq!(
        cells.iter().filter(|cell| !cell.is_empty()).count(),
        4,
        "rec, overrides, closed_out, line_crc"
    );
}

/// The longest that every cell can be: the buffer is no smaller than that, and hardly larger.
#[test]
fn the_longest_row_fits_its_buffer() {
    let quotes = "\"".repeat(99);
    let far = NaiveDate::from_ymd_opt(9_999, 12, 31).unwrap().and_hms_opt(23, 59, 59);
    let mass = Some(Milligrams(i64::MIN));
    let mut row = Row {
        rec: u32::MAX,
        utc_offset_min: Some(-720),
        started: far,
        ended: far,
        end_from: far,
        end_to: far,
        result: "\"\"\"\"\"\"\"\"\"\"\"\"\"\"\"\"",
        reason: "\"\"\"\"\"\"\"\"\"\"\"\"\"\"\"\"",
        owner: OwnerCode::new("ABCD"),
        bore_um: Some(u32::MAX),
        layer_um: Some(u32::MAX),
        height_um: Some(u32::MAX),
        estimated_s: Some(u32::MAX),
        actual_s: Some(u32::MAX),
        estimated: mass,
        booked: mass,
        wasted: mass,
        left: mass,
        left_error: mass,
        verdict: Some(Verdict::NoVerdict),
        findings: std::iter::repeat_n(200, 24).collect(),
        overrides: u8::MAX,
        override_by: OwnerCode::new("ABCD"),
        watch_asked_s: Some(u32::MAX),
        watch_done_s: Some(u32::MAX),
        plate_max_dc: Some(i16::MIN),
        touch_from: far,
        closed_out: true,
        cost_cent: Some(u32::MAX),
        settings_crc: Some(u32::MAX),
        firmware: "\"\"\"\"\"\"\"\"\"\"\"\"\"\"\"\"",
        ..Row::default()
    };
    row.set_machine(&quotes);
    row.set_job(&quotes, Some(u64::MAX), Some(0));
    row.set_spool(&quotes, &quotes, &quotes);
    let line = line(&row);
    assert_eq!(row_state(line.as_bytes()), LineState::Whole);
    assert_eq!(cells(&line).len(), COLUMNS);
    assert!((ROW_BYTES - 64..=ROW_BYTES).contains(&line.len()), "{} of {ROW_BYTES}", line.len());
}

#[test]
fn a_name_of_many_bytes_is_cut_at_a_character() {
    let mut row = Row::default();
    row.set_job(&format!("{}Größe", "x".repeat(61)), None, None);
    assert_eq!(row.job_name.as_str(), format!("{}Gr", "x".repeat(61)));
}

fn event(what: What<'_>) -> serde_json::Value {
    let event =
        Event { at: Some(clock(10, 52, 10)), utc_offset_min: Some(60), machine: "M2", rec: Some(412), what };
    let mut buffer = [0; EVENT_BYTES];
    let line = event.write(&mut buffer);
    assert_eq!(event_state(line), LineState::Whole);
    assert_eq!(line.iter().filter(|byte| **byte == b'\n').count(), 1, "one line");
    let text = std::str::from_utf8(line).expect("UTF-8");
    let value: serde_json::Value = serde_json::from_str(text).expect("RFC 8259");
    let before =
        text.rsplit_once("\"crc\":\"").map(|(before, _)| format!("{before}\"crc\":\"")).expect("a sum");
    let sum = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(before.as_bytes());
    assert_eq!(value["crc"], format!("{sum:08X}"));
    assert_eq!(value["t"], "2026-11-25T10:52:10+01:00");
    assert_eq!((&value["machine"], &value["rec"]), (&"M2".into(), &412.into()));
    for length in 1..text.len() - 2 {
        assert_eq!(event_state(&line[..length]), LineState::Cut, "{}", &text[..length]);
    }
    value
}

#[test]
fn every_event_is_one_json_object() {
    let finding = Finding {
        check: 58,
        wording: 0,
        level: Level::Look,
        signal: Signal::None,
        values: [
            Value::Mass(Milligrams(62_400)),
            Value::Text("PETG \"X\"".try_into().unwrap()),
            Value::Count(3),
            Value::Clock(clock(18, 0, 0)),
        ],
    };
    let said = event(What::Finding(&finding));
    assert_eq!(said["event"], "finding");
    assert_eq!(said["level"], "LOOK");
    let values = serde_json::json!([[62.4, "g"], "PETG \"X\"", 3, "2026-11-25T18:00:00+01:00"]);
    assert_eq!(said["values"], values);
    let units = Finding {
        values: [
            Value::Temperature(Celsius(-5)),
            Value::Length(Micrometres(1_500)),
            Value::Span(Seconds(90)),
            Value::Flow(11_500),
        ],
        ..finding.clone()
    };
    assert_eq!(
        event(What::Finding(&units))["values"],
        serde_json::json!([[-5, "C"], [1.5, "mm"], [90, "s"], [11.5, "mm3/s"]])
    );
    let none = Finding { values: [const { Value::None }; 4], ..finding };
    assert_eq!(event(What::Finding(&none))["values"], serde_json::json!([]));

    let said = event(What::Told { question: "pins", answer: "2 pins" });
    assert_eq!(
        (&said["event"], &said["question"], &said["answer"]),
        (&"told".into(), &"pins".into(), &"2 pins".into())
    );
    let said = event(What::Probe { phase: "WARM", probe: "plate", least_dc: Some(215), most_dc: None });
    assert_eq!((&said["min_c"], &said["max_c"]), (&21.5.into(), &serde_json::Value::Null));
    let said = event(What::Gate { open: true, by: OwnerCode::new("rl") });
    assert_eq!((&said["open"], &said["by"]), (&true.into(), &"RL".into()));
    let said = event(What::Override { check: 76, by: None, why: "looked" });
    assert_eq!(
        (&said["check"], &said["by"], &said["why"]),
        (&76.into(), &serde_json::Value::Null, &"looked".into())
    );
    let said = event(What::Judged { check: 76, right: false });
    assert_eq!(said["right"], false);
    let said = event(What::ClockSet { before: Some(clock(9, 0, 0)) });
    assert_eq!((&said["event"], &said["before"]), (&"clock".into(), &"2026-11-25T09:00:00+01:00".into()));
    let said = event(What::Settings { what: "ROOM", before: None, after: 0x1A });
    assert_eq!((&said["before"], &said["after"]), (&serde_json::Value::Null, &"0000001A".into()));
}

#[test]
fn the_longest_event_fits_its_buffer() {
    let word = Value::text(&"\"".repeat(32));
    let finding = Finding {
        check: 255,
        wording: 0,
        level: Level::Look,
        signal: Signal::None,
        values: [word.clone(), word.clone(), word.clone(), word],
    };
    let long = "\\".repeat(99);
    let mut longest = 0;
    for what in [
        What::Finding(&finding),
        What::Told { question: &long, answer: &long },
        What::Probe { phase: &long, probe: &long, least_dc: Some(i16::MIN), most_dc: Some(i16::MIN) },
        What::Override { check: 255, by: OwnerCode::new("ABCD"), why: &long },
        What::Settings { what: &long, before: Some(0), after: 0 },
    ] {
        let far = NaiveDate::from_ymd_opt(9_999, 12, 31).unwrap().and_hms_opt(23, 59, 59);
        let event = Event { at: far, utc_offset_min: Some(840), machine: &long, rec: Some(u32::MAX), what };
        let mut buffer = [0; EVENT_BYTES];
        let line = event.write(&mut buffer);
        assert_eq!(event_state(line), LineState::Whole, "{}", String::from_utf8_lossy(line));
        serde_json::from_slice::<serde_json::Value>(line).expect("RFC 8259");
        longest = longest.max(line.len());
    }
    assert!((EVENT_BYTES - 32..=EVENT_BYTES).contains(&longest), "{longest} of {EVENT_BYTES}");
}

fn any_time() -> impl Strategy<Value = NaiveDateTime> {
    // From 1970 to 2100.
    (0_i64..4_102_444_800)
        .prop_map(|seconds| DateTime::from_timestamp(seconds, 0).expect("a time").naive_utc())
}

proptest! {
    #[test]
    fn any_texts_come_back_and_begin_no_formula(
        name in "\\PC{0,16}|[=+@;'\", ＝\u{3000}\u{202e}-]{0,16}|.{0,12}",
        colour in "\\PC{0,10}|[=+@;'\"\r\n\t,-]{0,10}",
        rec: u32,
        booked in 0_i64..10_000_000,
        started in any_time(),
        offset in -720_i16..=840,
    ) {
        let mut row = Row {
            rec,
            booked: Some(Milligrams(booked)),
            started: Some(started),
            utc_offset_min: Some(offset),
            ..Row::default()
        };
        row.set_job(&name, None, None);
        row.set_spool("S1", "PLA", &colour);
        let line = line(&row);
        prop_assert_eq!(row_state(line.as_bytes()), LineState::Whole);
        prop_assert_eq!(line.lines().count(), 1);
        let cells = cells(&line);
        prop_assert_eq!(cells.len(), COLUMNS);
        for (place, text) in [(9, &name), (13, &colour)] {
            for part in cells[place].split(';') {
                let part = part.trim_start_matches([' ', '\u{a0}', '\u{3000}', '"', '“', '”', '„', '‘', '’']);
                let signs = ['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠'];
                prop_assert!(!part.starts_with(signs), "{}", part);
            }
            let shown: String = text
                .chars()
                .map(|letter| if is_hidden(letter) { '?' } else { letter })
                .collect();
            let back: String = plain(&cells[place]).collect();
            match back.strip_suffix('…') {
                Some(begun) if shown != back => prop_assert!(shown.starts_with(begun), "{} {}", shown, back),
                _ => prop_assert_eq!(back, shown),
            }
        }
        let grams: Decimal = cells[21].parse().expect("grams");
        prop_assert_eq!(grams, Decimal::new(booked, 3));
        let time = DateTime::parse_from_rfc3339(&cells[2]).expect("ISO 8601");
        prop_assert_eq!(time.naive_local(), started);
        prop_assert_eq!(time.offset().local_minus_utc(), i32::from(offset) * 60);
    }

    #[test]
    fn any_bytes_are_some_kind_of_line(bytes in proptest::collection::vec(any::<u8>(), 0..900)) {
        // No bytes made at random carry their own sum.
        prop_assert!(!matches!(row_state(&bytes), LineState::Whole));
        prop_assert!(!matches!(event_state(&bytes), LineState::Whole));
    }
}
