use std::format;
use std::string::{String, ToString};

use chrono::{NaiveDate, NaiveTime};
use proptest::prelude::*;

use super::*;
use crate::json::{Expected, JsonFault, Key};
use crate::units::{Celsius, Milligrams};

/// The least that each record must hold, without the closing brace.
const MACHINE: &str = r#"{"tag":"M2","bed_mm":[220,210],"height_mm":250,"nozzle_max_c":260,"bed_max_c":100"#;
const SPOOL: &str = r#"{"id":"S17","material":"PLA""#;

fn machine(more: &str) -> Result<Machine, RecordError> {
    Machine::from_json(format!("{MACHINE}{more}}}").as_bytes())
}

fn spool(more: &str) -> Result<Spool, RecordError> {
    Spool::from_json(format!("{SPOOL}{more}}}").as_bytes())
}

fn room(text: &str) -> Result<Room, RecordError> {
    Room::from_json(text.as_bytes())
}

#[track_caller]
fn assert_refused<T: core::fmt::Debug>(read: Result<T, RecordError>, key: &str, fault: JsonFault) {
    let error = read.unwrap_err();
    assert_eq!((error.kind, error.key.as_str()), (RecordErrorKind::Json(fault), key), "{error}");
}

#[test]
fn the_least_machine_sheet_takes_the_defaults() {
    let expected = Machine {
        tag: "M2".try_into().unwrap(),
        bed_um: [220_000, 210_000],
        height_um: 250_000,
        nozzle_max_c: Celsius(260),
        bed_max_c: Celsius(100),
        ..Machine::default()
    };
    assert_eq!(machine("").unwrap(), expected);
    assert_eq!(machine(r#","later":{"x":[1.5]}"#).unwrap(), expected);
}

#[test]
fn every_key_of_the_machine_sheet() {
    let sheet = machine(
        r#","also":["M-2","two"],"origin":"centre","round":true,"filament_um":2850,"bore_um":600,
        "nozzle_metal":"hardened","lined_throat":false,
        "heaters":{"nozzle_w":40,"bed_w":220,"nozzle_j_per_k":25,"bed_j_per_k":700,"nozzle_mw_per_k":120,"bed_mw_per_k":1500},
        "motion":{"max_speed_mm_s":[1,2,3,4],"max_accel_mm_s2":[5,6,7,8],"print_accel":9,"travel_accel":10,
        "retract_accel":11,"corner":"deviation","deviation_um":12,"lookahead":0},
        "flow_max_mm3_s":13,"home_s":14,"probe_s":15,
        "plates":[{"name":"P1","face":"glass"},{"name":"P2","face":"laminate","max_c":110}],
        "enclosed":true,"tools":2,"feed_path":"tube","absolute_resets_feed":true,"name_max":20,"name_accents":true,
        "keep_outs":[{"x_mm":[-5,10],"y_mm":[0,12],"height_mm":8}],"nozzle_service_h":400,"start_words":["G29"],
        "clearance":{"radius_mm":45,"height_mm":30},"overrun_mm":16,"time_permille":1100,"lead_code":4711"#,
    )
    .unwrap();
    let tags = |list: &[&str]| list.iter().map(|tag| (*tag).try_into().unwrap()).collect();
    let expected = Machine {
        tag: "M2".try_into().unwrap(),
        also: tags(&["M-2", "two"]),
        bed_um: [220_000, 210_000],
        origin_centre: true,
        round: true,
        height_um: 250_000,
        filament_um: 2850,
        bore_um: 600,
        nozzle_metal: NozzleMetal::Hardened,
        nozzle_max_c: Celsius(260),
        lined_throat: false,
        bed_max_c: Celsius(100),
        heaters: Some(Heaters {
            nozzle_w: 40,
            bed_w: 220,
            nozzle_j_per_k: 25,
            bed_j_per_k: 700,
            nozzle_mw_per_k: 120,
            bed_mw_per_k: 1500,
        }),
        motion: Motion {
            max_speed_mm_s: [1, 2, 3, 4],
            max_accel_mm_s2: [5, 6, 7, 8],
            print_accel_mm_s2: 9,
            travel_accel_mm_s2: 10,
            retract_accel_mm_s2: 11,
            corner: Corner::Deviation(12),
            look_ahead: 0,
        },
        flow_max_mm3_s: Some(13),
        home_s: 14,
        probe_s: 15,
        plates: [
            Plate { name: "P1".try_into().unwrap(), face: PlateFace::Glass, max_c: None },
            Plate { name: "P2".try_into().unwrap(), face: PlateFace::Laminate, max_c: Some(Celsius(110)) },
        ]
        .into_iter()
        .collect(),
        enclosed: true,
        tools: 2,
        feed_path: FeedPath::Tube,
        absolute_resets_feed: Some(true),
        name_max: Some(20),
        name_accents: true,
        keep_outs: [KeepOut { x_mm: [-5, 10], y_mm: [0, 12], height_mm: 8 }].into_iter().collect(),
        nozzle_service_h: Some(400),
        start_words: tags(&["G29"]),
        clearance_radius_um: Some(45_000),
        clearance_height_um: Some(30_000),
        overrun_um: 16_000,
        time_permille: 1100,
        lead_code: Some(4711),
    };
    assert_eq!(sheet, expected);
}

#[test]
fn corners() {
    let corner =
        |motion: &str| machine(&format!(",\"motion\":{{{motion}}}")).map(|sheet| sheet.motion.corner);
    assert_eq!(corner(""), Ok(Motion::default().corner));
    assert_eq!(corner(r#""step_um_s":[1,2,3,4]"#), Ok(Corner::AxisStep([1, 2, 3, 4])));
    assert_eq!(corner(r#""deviation_um":50"#), Ok(Corner::Deviation(50)));
    assert_eq!(
        corner(r#""corner":"axis-step","step_um_s":[1,2,3,4],"deviation_um":5"#),
        Ok(Corner::AxisStep([1, 2, 3, 4]))
    );
    assert_refused(corner(r#""corner":"deviation""#), "motion.deviation_um", JsonFault::Missing);
    assert_refused(corner(r#""corner":"axis-step""#), "motion.step_um_s", JsonFault::Missing);
    let rules = JsonFault::Value(Expected::OneOf(&["axis-step", "deviation"]));
    assert_refused(corner(r#""corner":"soft""#), "motion.corner", rules);
}

#[test]
fn what_a_sheet_must_hold() {
    for key in ["tag", "bed_mm", "height_mm", "nozzle_max_c", "bed_max_c"] {
        let text = format!("{MACHINE}}}").replace(&format!("\"{key}\""), "\"other\"");
        assert_refused(Machine::from_json(text.as_bytes()), key, JsonFault::Missing);
    }
    for key in ["id", "material"] {
        let text = format!("{SPOOL}}}").replace(&format!("\"{key}\""), "\"other\"");
        assert_refused(Spool::from_json(text.as_bytes()), key, JsonFault::Missing);
    }
    assert_eq!(room("{}").unwrap(), Room::default());
    assert_refused(
        machine(r#","plates":[{"name":"P1","face":"glass"},{"face":"glass"}]"#),
        "plates.name",
        JsonFault::Missing,
    );
    assert_refused(machine(r#","plates":[{"name":"P1"}]"#), "plates.face", JsonFault::Missing);
    assert_refused(machine(r#","heaters":{"nozzle_w":40}"#), "heaters.bed_w", JsonFault::Missing);
}

#[test]
fn every_key_of_the_spool_ticket() {
    let ticket = spool(
        r#","colour":"weiß","diameter_um":1750,"density_mg_cm3":1240,"left_mg":110000,"err_mg":20000,"tare_mg":215000,
        "opened":"2026-11-12","open_hours":210,"dried":"2024-02-29","nozzle_c":[195,220],"bed_c":[50,60],
        "price_cent_per_kg":2190,"currency":"EUR","loads":3"#,
    )
    .unwrap();
    let expected = Spool {
        id: "S17".try_into().unwrap(),
        material: "PLA".try_into().unwrap(),
        colour: Some("weiß".try_into().unwrap()),
        diameter_um: Some(1750),
        density_mg_cm3: Some(1240),
        left: Some(Milligrams(110_000)),
        left_error: Some(Milligrams(20_000)),
        tare: Some(Milligrams(215_000)),
        opened: NaiveDate::from_ymd_opt(2026, 11, 12),
        open_hours: Some(210),
        dried: NaiveDate::from_ymd_opt(2024, 2, 29),
        nozzle_c: Some((Celsius(195), Celsius(220))),
        bed_c: Some((Celsius(50), Celsius(60))),
        price_cent_per_kg: Some(2190),
        currency: Some("EUR".try_into().unwrap()),
        loads: Some(3),
    };
    assert_eq!(ticket, expected);
    assert!(spool("").unwrap().left.is_none());
}

#[test]
fn spool_values_that_are_refused() {
    let day = JsonFault::Value(Expected::Day);
    for text in
        ["2026-02-29", "2026-13-01", "26-01-01", "2026/01/01", "2026-1-1", "+026-01-01", "2026-01-011", ""]
    {
        assert_refused(spool(&format!(",\"opened\":\"{text}\"")), "opened", day);
    }
    let window = JsonFault::Value(Expected::Range { least: 0, most: 500, unit: "°C" });
    for text in [
        "[220,195]",
        "[195]",
        "[195,220,230]",
        "[195,501]",
        "[-1,220]",
        "195",
        "[195,220.5]",
        "[\"195\",220]",
    ] {
        assert_refused(spool(&format!(",\"nozzle_c\":{text}")), "nozzle_c", window);
    }
    for text in ["\"eur\"", "\"EU\"", "\"EURO\"", "\"€\"", "978"] {
        assert_refused(
            spool(&format!(",\"currency\":{text}")),
            "currency",
            JsonFault::Value(Expected::Currency),
        );
    }
    assert_refused(spool(",\"id\":\"S18\""), "id", JsonFault::Twice);
    let left = JsonFault::Value(Expected::Whole { least: 0, most: 50_000_000, unit: "mg" });
    assert_refused(spool(",\"left_mg\":110.5"), "left_mg", left);
    assert_refused(spool(",\"left_mg\":1.1e5"), "left_mg", left);
}

#[test]
fn every_key_of_the_room_rules() {
    let rules = room(
        r#"{"opens":{"mon":"09:00","sun":"22:00"},"closes":{"mon":"18:30","sun":"24:00"},"utc_offset_min":-210,
        "attended_rule":"always","ambient_c":-5,"vented":false,"language":"de","hint_words":["Werkstoff","kind of plastic"],
        "staffed":["mon 09:00-12:30","sun 22:00-24:00"],"longest_job_min":480,"most_running":2,"owner_codes":true,"banned":["ABS","PLA-CF"],
        "age_group":"adults","byte_mark_holds":true,"clock_changes":["2027-03-28T02:00"],
        "materials":[{"symbol":"PLA","words":["Lindenplast"],"density_mg_cm3":1250,"nozzle_c":[195,225],"bed_c":[45,65],
        "tg_c":58,"release_c":42,"open_hours":500},{"symbol":"PETG"}]}"#,
    )
    .unwrap();
    let at = |hour, minute| NaiveTime::from_hms_opt(hour, minute, 0).unwrap();
    let day = |opens, closes| Some(OpenHours { opens, closes });
    let expected = Room {
        hours: Some([day(at(9, 0), at(18, 30)), None, None, None, None, None, day(at(22, 0), at(0, 0))]),
        utc_offset_min: Some(-210),
        attended: Attended::Always,
        ambient: Some(Celsius(-5)),
        vented: Some(false),
        language: Language::German,
        hint_words: ["Werkstoff", "kind of plastic"]
            .map(|word| word.try_into().unwrap())
            .into_iter()
            .collect(),
        staffed: [
            Staffed { day: 0, from_min: 540, to_min: 750 },
            Staffed { day: 6, from_min: 1320, to_min: 1440 },
        ]
        .into_iter()
        .collect(),
        longest_job_min: Some(480),
        owner_codes: true,
        banned: ["ABS", "PLA-CF"].map(|words| Grade::parse(words).unwrap()).into_iter().collect(),
        age_group: Some(AgeGroup::Adults),
        byte_mark_holds: true,
        clock_changes: NaiveDate::from_ymd_opt(2027, 3, 28)
            .map(|day| day.and_time(at(2, 0)))
            .into_iter()
            .collect(),
        materials: [
            OwnMaterial {
                base: Base::Pla,
                words: ["Lindenplast".try_into().unwrap()].into_iter().collect(),
                density_mg_cm3: Some(1250),
                nozzle_c: Some((Celsius(195), Celsius(225))),
                bed_c: Some((Celsius(45), Celsius(65))),
                glass_transition: Some(Celsius(58)),
                release: Some(Celsius(42)),
                open_hours: Some(500),
            },
            OwnMaterial {
                base: Base::Petg,
                words: Default::default(),
                density_mg_cm3: None,
                nozzle_c: None,
                bed_c: None,
                glass_transition: None,
                release: None,
                open_hours: None,
            },
        ]
        .into_iter()
        .collect(),
    };
    assert_eq!(rules, expected);
    assert_eq!(room(r#"{"opens":{},"closes":{}}"#).unwrap().hours, Some([None; 7]));
}

#[test]
fn room_values_that_are_refused() {
    let time = JsonFault::Value(Expected::TimeOfDay);
    for text in ["9:00", "24:00", "09:60", "09.00", "0900", "09:0a", "09:00:00", "+9:00"] {
        let text = format!(r#"{{"opens":{{"tue":"{text}"}},"closes":{{"tue":"18:00"}}}}"#);
        assert_refused(room(&text), "opens.tue", time);
    }
    assert_refused(room(r#"{"opens":{"fri":"09:00"},"closes":{"fri":"24:01"}}"#), "closes.fri", time);
    assert_refused(room(r#"{"opens":{"fri":"09:00"},"closes":{}}"#), "closes.fri", JsonFault::Missing);
    assert_refused(room(r#"{"opens":{},"closes":{"fri":"09:00"}}"#), "opens.fri", JsonFault::Missing);
    assert_refused(room(r#"{"opens":{}}"#), "closes", JsonFault::Missing);
    assert_refused(room(r#"{"closes":{}}"#), "opens", JsonFault::Missing);
    assert_refused(room(r#"{"opens":"09:00","closes":{}}"#), "opens", JsonFault::Value(Expected::Object));
    let rules = JsonFault::Value(Expected::OneOf(&["always", "looks", "unattended"]));
    assert_refused(room(r#"{"attended_rule":"never"}"#), "attended_rule", rules);
    let spans = JsonFault::Value(Expected::Forms { count: 14, form: "mon 09:00-17:00" });
    for text in [
        "mon 9:00-17:00",
        "Mon 09:00-17:00",
        "mon 09:00",
        "mon 17:00-09:00",
        "mon 09:00-24:01",
        "",
        "mon  09:00-10:00",
    ] {
        assert_refused(room(&format!(r#"{{"staffed":["tue 09:00-10:00","{text}"]}}"#)), "staffed", spans);
    }
    let moments = JsonFault::Value(Expected::Forms { count: 4, form: "2027-03-28T02:00" });
    for text in ["2027-03-28", "2027-02-29T02:00", "2027-03-28 02:00", "2027-03-28T24:00"] {
        assert_refused(room(&format!(r#"{{"clock_changes":["{text}"]}}"#)), "clock_changes", moments);
    }
    let banned = JsonFault::Value(Expected::Forms { count: 8, form: "ABS" });
    assert_refused(room(r#"{"banned":["ABS","unobtainium"]}"#), "banned", banned);
    let symbol = JsonFault::Value(Expected::Form("PLA"));
    assert_refused(
        room(r#"{"materials":[{"symbol":"PLA"},{"symbol":"Lindenplast"}]}"#),
        "materials.symbol",
        symbol,
    );
    assert_refused(room(r#"{"materials":[{"symbol":"PLA"},{"symbol":"PLA"}]}"#), "materials.symbol", symbol);
    assert_refused(room(r#"{"materials":[{"tg_c":60}]}"#), "materials.symbol", JsonFault::Missing);
    let window = JsonFault::Value(Expected::Range { least: 100, most: 500, unit: "°C" });
    assert_refused(
        room(r#"{"materials":[{"symbol":"PLA","nozzle_c":[220,190]}]}"#),
        "materials.nozzle_c",
        window,
    );
    let words = JsonFault::Value(Expected::Texts { count: 8, most: 16 });
    assert_refused(room(r#"{"hint_words":["a",""]}"#), "hint_words", words);
    assert_refused(room(r#"{"hint_words":["12345678901234567"]}"#), "hint_words", words);
    assert_refused(room(r#"{"hint_words":[1,2,3,4,5,6,7,8,9]}"#), "hint_words", words);
    assert_refused(room(r#"{"hint_words":["1","2","3","4","5","6","7","8","9"]}"#), "hint_words", words);
    assert_refused(room(r#"{"vented":1}"#), "vented", JsonFault::Value(Expected::Flag));
}

/// A sheet with one key set, whatever object the key stands in.
fn with(base: &str, name: &str, value: &str) -> String {
    let base = base.replace(&format!("\"{name}\""), "\"other\"");
    match name.split_once('.') {
        Some(("plates", leaf)) => {
            let rest = ["name", "face"].into_iter().filter(|other| *other != leaf);
            let rest: String = rest.map(|other| format!(",\"{other}\":\"glass\"")).collect();
            format!("{base},\"plates\":[{{\"{leaf}\":{value}{rest}}}]}}")
        }
        Some(("keep_outs", leaf)) => {
            let rest = [("x_mm", "[0,1]"), ("y_mm", "[0,1]"), ("height_mm", "1")];
            let rest = rest.into_iter().filter(|(other, _)| *other != leaf);
            let rest: String = rest.map(|(other, value)| format!(",\"{other}\":{value}")).collect();
            format!("{base},\"keep_outs\":[{{\"{leaf}\":{value}{rest}}}]}}")
        }
        Some(("materials", leaf)) => {
            let symbol = if leaf == "symbol" { "" } else { ",\"symbol\":\"PLA\"" };
            format!("{base},\"materials\":[{{\"{leaf}\":{value}{symbol}}}]}}")
        }
        Some((parent, leaf)) => {
            let others =
                ["nozzle_w", "bed_w", "nozzle_j_per_k", "bed_j_per_k", "nozzle_mw_per_k", "bed_mw_per_k"];
            let others = others.into_iter().filter(|other| parent == "heaters" && *other != leaf);
            let others: String = others.map(|other| format!(",\"{other}\":1")).collect();
            format!("{base},\"{parent}\":{{\"{leaf}\":{value}{others}}}}}")
        }
        None => format!("{base},\"{name}\":{value}}}"),
    }
}

/// Ends of every range, and the wrong type for every key, of all three records.
#[test]
fn every_range_and_type_of_every_key() {
    type Read = fn(&str) -> Result<(), RecordError>;
    let machine: Read = |text| Machine::from_json(text.as_bytes()).map(|_| ());
    let spool: Read = |text| Spool::from_json(text.as_bytes()).map(|_| ());
    let room: Read = |text| Room::from_json(text.as_bytes()).map(|_| ());
    let records = [
        (MACHINE, machine_keys::KEYS, machine),
        (SPOOL, spool::KEYS, spool),
        ("{\"x\":1", room_keys::KEYS, room),
    ];
    for (base, keys, read) in records {
        for key in keys {
            let wrong_type = if matches!(key.expected, Expected::Flag) { "1" } else { "true" };
            let fault = JsonFault::Value(key.expected);
            assert_refused(read(&with(base, key.name, wrong_type)), key.name, fault);
            let (count, least, most) = match key.expected {
                Expected::Whole { least, most, .. } => (1, least, most),
                Expected::Wholes { count, least, most, .. } => (count, least, most),
                _ => continue,
            };
            let list = |value: i32| {
                let values: std::vec::Vec<_> = (0..count).map(|_| value.to_string()).collect();
                if count == 1 { values[0].clone() } else { format!("[{}]", values.join(",")) }
            };
            for value in [least, most] {
                read(&with(base, key.name, &list(value))).unwrap_or_else(|error| panic!("{error}"));
            }
            for value in [least - 1, most + 1] {
                assert_refused(read(&with(base, key.name, &list(value))), key.name, fault);
            }
            assert_refused(read(&with(base, key.name, &format!("{least}.5"))), key.name, fault);
        }
    }
}

/// A record with every key, every list as long as it may be and every text too.
fn fullest(keys: &[&Key]) -> serde_json::Value {
    use serde_json::{Value, json};
    let mut record = json!({});
    for key in keys {
        let text = |most: u16| Value::from("x".repeat(most.into()));
        let list = |count: u8, value: Value| Value::from(std::vec![value; count.into()]);
        let value = match key.expected {
            Expected::Whole { most, .. } => most.into(),
            Expected::Wholes { count, most, .. } => list(count, most.into()),
            Expected::Range { most, .. } => list(2, most.into()),
            Expected::Text { most } => text(most),
            Expected::Texts { count, most } => list(count, text(most)),
            Expected::Form(form) => form.into(),
            Expected::Forms { count, form } => list(count, form.into()),
            Expected::OneOf(words) => words[0].into(),
            Expected::Flag => true.into(),
            Expected::Day => "2024-02-29".into(),
            Expected::TimeOfDay => "09:00".into(),
            Expected::Currency => "EUR".into(),
            Expected::Object => json!({}),
            Expected::Objects { count } => list(count, json!({})),
            other => panic!("{}: {other}", key.name),
        };
        match key.name.split_once('.') {
            Some((parent, leaf)) => match &mut record[parent] {
                Value::Array(entries) => entries.iter_mut().for_each(|entry| entry[leaf] = value.clone()),
                object => object[leaf] = value,
            },
            None => record[key.name] = value,
        }
    }
    record
}

#[test]
fn the_fullest_records_fit_and_one_more_entry_is_refused() {
    let mut sheet = fullest(machine_keys::KEYS);
    let read = Machine::from_json(sheet.to_string().as_bytes()).unwrap();
    assert_eq!((read.plates.len(), read.also.len(), read.keep_outs.len()), (4, 6, 4));
    Spool::from_json(fullest(spool::KEYS).to_string().as_bytes()).unwrap();
    let mut rules = fullest(room_keys::KEYS);
    // Each material once.
    for (row, base) in rules["materials"].as_array_mut().unwrap().iter_mut().zip(Base::ALL) {
        row["symbol"] = base.row().symbol.into();
    }
    let read = Room::from_json(rules.to_string().as_bytes()).unwrap();
    assert_eq!((read.hint_words.len(), read.staffed.len(), read.materials.len()), (8, 14, 4));
    for list in ["staffed", "banned", "clock_changes", "materials"] {
        let before = rules[list].clone();
        let entries = rules[list].as_array_mut().unwrap();
        entries.push(entries[0].clone());
        let key = room_keys::KEYS.iter().find(|key| key.name == list).unwrap();
        assert_refused(Room::from_json(rules.to_string().as_bytes()), list, JsonFault::Value(key.expected));
        rules[list] = before;
    }
    for list in ["plates", "also", "start_words", "keep_outs"] {
        let before = sheet[list].clone();
        let entries = sheet[list].as_array_mut().unwrap();
        entries.push(entries[0].clone());
        let key = machine_keys::KEYS.iter().find(|key| key.name == list).unwrap();
        let read = Machine::from_json(sheet.to_string().as_bytes());
        assert_refused(read, list, JsonFault::Value(key.expected));
        sheet[list] = before;
    }
}

#[test]
fn a_rooms_own_row_wins_over_the_tables() {
    let rules = room(
        r#"{"materials":[{"symbol":"PLA","words":["Lindenplast"],"nozzle_c":[195,225],"release_c":42}]}"#,
    )
    .unwrap();
    let (table, own) = (Base::Pla.row(), rules.row(Base::Pla));
    assert_eq!((own.nozzle_c, own.release), ((Celsius(195), Celsius(225)), Some(Celsius(42))));
    // What it does not state stays the table's, and so do the other materials.
    assert_eq!((own.bed_c, own.density_mg_cm3, own.words), (table.bed_c, table.density_mg_cm3, table.words));
    assert_eq!(rules.row(Base::Petg), *Base::Petg.row());
    assert_eq!(rules.grade(" lindenPLAST "), Some(Grade::plain(Base::Pla)));
    assert_eq!(Room::default().grade("Lindenplast"), None);
    assert_eq!(rules.grade("PETG-CF"), Grade::parse("PETG-CF"));
}

#[test]
fn an_error_names_file_place_expectation_and_remedy() {
    let text = "{\n  \"id\": \"S17\",\n  \"material\": \"PLA\",\n  \"left_mg\": 110.5\n}\n";
    let error = Spool::from_json(text.as_bytes()).unwrap_err();
    assert_eq!((error.record, error.line, error.column), (RecordName::Spool, 4, 14));
    assert_eq!(
        error.to_string(),
        "SPOOL.JSN, line 4, column 14: left_mg: expected a whole number from 0 to 50000000 mg; change the value, such as \"left_mg\": 750000"
    );
    // Behind a byte-order mark the columns still count the file's bytes.
    let error = Room::from_json("\u{feff}{\"vented\":1}".as_bytes()).unwrap_err();
    assert_eq!((error.line, error.column), (1, 14));
    assert!(Room::from_json("\u{feff}{}".as_bytes()).is_ok());
}

#[test]
fn a_record_of_4096_bytes_and_one_more() {
    let text = format!("{{}}{}", "\n".repeat(4094));
    assert_eq!(room(&text).unwrap(), Room::default());
    let error = room(&format!("{text} ")).unwrap_err();
    assert_eq!((error.kind, error.line, error.column), (RecordErrorKind::TooLong, 4095, 1));
}

/// Each key's example is of that key, and is read as it stands.
#[test]
fn every_key_has_an_example_that_reads() {
    let records = [
        (RecordName::Machine, MACHINE, machine_keys::KEYS),
        (RecordName::Spool, SPOOL, spool::KEYS),
        (RecordName::Room, "{\"vented\":true", room_keys::KEYS),
    ];
    for (record, base, keys) in records {
        for key in keys {
            let example = examples::example(record, key.name).unwrap_or_else(|| panic!("{}", key.name));
            let (name, value) = example.split_once(": ").unwrap();
            assert_eq!(name, format!("\"{}\"", key.name.rsplit('.').next().unwrap()));
            let text = with(base, key.name, value);
            let told: std::vec::Vec<_> =
                faults(record, text.as_bytes()).filter(|fault| fault.key == key.name).collect();
            assert!(
                told.is_empty() || key.name.starts_with("opens") || key.name.starts_with("closes"),
                "{text} {told:?}"
            );
        }
    }
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..5000)) {
        let _ = (Machine::from_json(&bytes), Spool::from_json(&bytes), Room::from_json(&bytes));
    }

    #[test]
    fn no_changed_byte_makes_it_panic(at in any::<prop::sample::Index>(), byte: u8) {
        let mut bytes = format!("{MACHINE},\"motion\":{{\"corner\":\"deviation\",\"deviation_um\":5}}}}").into_bytes();
        let at = at.index(bytes.len());
        bytes[at] = byte;
        let _ = (Machine::from_json(&bytes), Spool::from_json(&bytes), Room::from_json(&bytes));
    }
}
