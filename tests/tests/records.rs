//! Whole record files: the demo's own, and what is said of broken ones.

use chrono::NaiveTime;
use holdpoint_shared::records::{
    Attended, Base, Grade, Machine, NozzleMetal, RecordName, Room, Spool, faults,
};
use holdpoint_shared::units::{Celsius, Milligrams, filament_mass};

const MACHINE: &[u8] = include_bytes!("../../sim/demo/HOLDPT/MACHINE.JSN");
const SPOOL: &[u8] = include_bytes!("../../sim/demo/HOLDPT/SPOOL.JSN");
const ROOM: &[u8] = include_bytes!("../../sim/demo/HOLDPT/ROOM.JSN");

#[test]
fn the_demos_machine_sheet() {
    let machine = Machine::from_json(MACHINE).unwrap();
    assert_eq!(machine.tag, "M2");
    assert_eq!((machine.bed_um, machine.height_um), ([220_000, 220_000], 250_000));
    assert_eq!((machine.bore_um, machine.nozzle_metal), (400, NozzleMetal::Brass));
    assert_eq!(machine.plates.len(), 2);
    assert!(machine.heaters.is_some());
}

#[test]
fn the_demos_spool_ticket() {
    let spool = Spool::from_json(SPOOL).unwrap();
    assert_eq!((spool.id.as_str(), spool.material.as_str()), ("S17", "PLA"));
    assert_eq!((spool.left, spool.left_error), (Some(Milligrams(110_000)), Some(Milligrams(20_000))));
    let row = Grade::parse(&spool.material).unwrap().base.row();
    assert_eq!((row.base, row.symbol), (Base::Pla, "PLA"));
    // 1 m of 1.75 mm PLA weighs 2.98255 g: π/4 · 1.75² mm² · 1.24 mg/mm³.
    let mass =
        filament_mass(holdpoint_shared::units::Micrometres::from_mm(100_000), 1750, row.density_mg_cm3);
    assert_eq!(mass, Milligrams(298_255));
}

#[test]
fn the_demos_room_rules() {
    let room = Room::from_json(ROOM).unwrap();
    let at = |hour| NaiveTime::from_hms_opt(hour, 0, 0).unwrap();
    let hours = room.hours.unwrap();
    for day in &hours[..5] {
        assert_eq!(day.map(|day| (day.opens, day.closes)), Some((at(9), at(18))));
    }
    assert_eq!(hours[5].map(|day| (day.opens, day.closes)), Some((at(10), at(14))));
    assert_eq!(hours[6], None);
    assert_eq!(
        (room.utc_offset_min, room.attended, room.ambient),
        (Some(60), Attended::Looks, Some(Celsius(21)))
    );
}

/// Every cut of a record is refused with a place within it, and nothing else happens.
#[test]
fn a_record_cut_short_anywhere_is_refused() {
    let place_of = |whole: &[u8], cut: usize| {
        let text = &whole[..cut];
        let error = if whole == MACHINE {
            Machine::from_json(text).err().map(|error| (error.line, error.column))
        } else if whole == SPOOL {
            Spool::from_json(text).err().map(|error| (error.line, error.column))
        } else {
            Room::from_json(text).err().map(|error| (error.line, error.column))
        };
        error.unwrap_or_else(|| panic!("taken when cut at {cut}"))
    };
    for whole in [MACHINE, SPOOL, ROOM] {
        let end = whole.trim_ascii_end().len();
        for cut in 0..end {
            let (line, column) = place_of(whole, cut);
            let lines: Vec<&[u8]> = whole[..cut].split(|&byte| byte == b'\n').collect();
            let line = lines.get(line as usize - 1).expect("a line of the file");
            assert!(column as usize <= line.len() + 1, "cut at {cut}");
        }
    }
}

#[test]
fn an_error_reads_as_one_sentence() {
    let text = String::from_utf8(MACHINE.to_vec()).unwrap();
    let said = |from: &str, to: &str| {
        assert!(text.contains(from));
        Machine::from_json(text.replacen(from, to, 1).as_bytes()).unwrap_err().to_string()
    };
    assert_eq!(
        said("\"nozzle_max_c\": 260", "\"nozzle_max_c\": 260.0"),
        "MACHINE.JSN, line 11, column 19: nozzle_max_c: expected a whole number from 100 to 500 °C; change the value, such as \"nozzle_max_c\": 260"
    );
    assert_eq!(
        said("\"face\": \"textured\"", "\"face\": \"rough\""),
        "MACHINE.JSN, line 31, column 28: plates.face: expected one of \"smooth\", \"textured\", \"glass\", \
         \"polypropylene\", \"laminate\", \"metal\"; change the value, such as \"face\": \"textured\""
    );
    assert_eq!(
        said("\"round\": false,", "\"round\": false"),
        "MACHINE.JSN, line 7, column 3: round: not JSON: expected a comma or the closing brace; correct it there"
    );
    assert_eq!(
        said("\"tools\": 1", "\"home_s\": 1"),
        "MACHINE.JSN, line 34, column 3: home_s: this key is there twice; delete one of the two"
    );
    assert_eq!(
        said("\"tag\": \"M2\",", ""),
        "MACHINE.JSN, line 43, column 1: tag: this key is required and missing; add it, such as \"tag\": \"M2\""
    );
}

#[test]
fn all_faults_are_listed_at_once_with_an_example_each() {
    let text = r#"{"tag":"M2","bed_mm":[220],"hieght_mm":250,"height_mm":9,"nozzle_max_c":260,"bed_max_c":100,
        "bore_mm":400,"plates":[{"name":"P1","face":"rough"}],"opens":{"monday":"09:00"}}"#;
    let told: Vec<String> =
        faults(RecordName::Machine, text.as_bytes()).map(|fault| fault.to_string()).collect();
    let said = told.join("\n");
    for said_of in [
        "bed_mm: expected a list of 2 whole numbers, each from 20 to 2000 mm; change the value, such as \"bed_mm\": [220, 220]",
        "hieght_mm: this key is not known; did you mean height_mm?; correct its name or delete it, such as \"height_mm\": 250",
        "height_mm: expected a whole number from 10 to 3000 mm",
        "bore_mm: this key is not known; did you mean bore_um?",
        "plates.face: expected one of",
        "opens: this key is not known; delete it",
    ] {
        assert!(said.contains(said_of), "{said_of}: {said}");
    }
    assert_eq!(told.len(), 6, "{said}");
    let first = Machine::from_json(text.as_bytes()).unwrap_err();
    assert_eq!((first.key.as_str(), first.more), ("bed_mm", 2));
}

#[test]
fn a_sheet_with_a_mistyped_key_is_read_and_names_it() {
    let text = String::from_utf8(MACHINE.to_vec()).unwrap().replacen("\"bore_um\"", "\"bore_mm\"", 1);
    let (machine, unknown) = Machine::read(text.as_bytes()).unwrap();
    let unknown = unknown.expect("the key is not known");
    assert_eq!((unknown.key.as_str(), unknown.nearest, unknown.count), ("bore_mm", Some("bore_um"), 1));
    assert_eq!(machine.tag, "M2");
    for whole in [
        Machine::read(MACHINE).map(|(_, unknown)| unknown),
        Spool::read(SPOOL).map(|(_, unknown)| unknown),
        Room::read(ROOM).map(|(_, unknown)| unknown),
    ] {
        assert_eq!(whole.unwrap(), None);
    }
}
