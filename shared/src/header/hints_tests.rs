use std::format;
use std::vec::Vec as StdVec;

use proptest::prelude::*;

use super::*;
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};

fn read(text: &str) -> Hints {
    let mut reader = HintReader::new(&[]);
    reader.feed(text.as_bytes());
    reader.finish()
}

fn facts(text: &str) -> JobHeader {
    read(text).facts
}

#[track_caller]
fn assert_material(line: &str, material: Option<&str>) {
    assert_eq!(facts(line).material.as_deref(), material, "{line}");
}

#[test]
fn material_by_the_trades_words() {
    assert_material("; material = PLA", Some("PLA"));
    assert_material(";Material:PETG\r\n", Some("PETG"));
    assert_material("  ;  print_material : PA6-CF15 ", Some("PA6-CF15"));
    assert_material("; filament type = ABS", Some("ABS"));
    assert_material("; type of filament 1: \"TPU 95A\"", Some("TPU 95A"));
    assert_material("; filament-type = PLA;PLA;PETG", Some("PLA"));
    assert_material("; material = \"PLA\", \"PVA\"", Some("PLA"));
    assert_material("; material = wood-filled polylactide, light brown", Some("wood-filled polylactide"));
}

#[test]
fn round_remarks_name_it_too() {
    assert_material("(material: PLA)", Some("PLA"));
    assert_material(" ( filament type = PETG )\r\n", Some("PETG"));
    assert_eq!(facts("(nozzle diameter: 0.4 mm)\n").bore_um, Some(400));
    // More than a remark, or none that ends.
    assert_material("(material: PLA) G1 X5", None);
    assert_material("(material: PLA) (a)", None);
    assert_material("(material: PLA", None);
}

#[test]
fn no_material_is_guessed() {
    for line in [
        "; material PLA",
        "; material = ",
        "; material = 7",
        "; material density = about one",
        "; support material = PVA",
        "; material cost: none",
        "; filament = PLA",
        "; type = PLA",
        "; materials = PLA",
        "material = PLA",
        "G1 X1 ; material = PLA",
        "(material = PLA",
        "; {\"material\":\"PLA\"}",
        "; material\" = PLA",
        "; a+material = PLA",
        "; and as we said more than once in the long talk of last week: the material = PLA",
    ] {
        assert_material(line, None);
    }
    let long = format!("; material = PLA{}\n", " ".repeat(256 - 15));
    assert_material(&long, None);
    assert_material(&long.replacen("  ", " ", 1), Some("PLA"));
    let long = format!("; material = {}", "A".repeat(40));
    assert_material(&long, Some(&"A".repeat(32)));
}

#[test]
fn a_rooms_own_words() {
    let words = |list: &[&str]| -> StdVec<String<TAG_BYTES>> {
        list.iter().map(|word| (*word).try_into().unwrap()).collect()
    };
    let read = |list: &[&str], line: &str| {
        let mut reader = HintReader::new(&words(list));
        reader.feed(line.as_bytes());
        reader.finish().facts.material.as_deref().map(std::string::String::from)
    };
    assert_eq!(read(&["Werkstoff"], "; werkstoff: PLA").as_deref(), Some("PLA"));
    assert_eq!(read(&["x", "plastic_kind"], "; kind of plastic = PLA").as_deref(), Some("PLA"));
    assert_eq!(read(&["plastic_kind"], "; plastic = PLA"), None);
    assert_eq!(read(&["", "--"], "; plastic = PLA"), None);
}

#[test]
fn bore_and_diameter_come_out_whole() {
    let bore = |value: &str| facts(&format!("; nozzle diameter = {value}")).bore_um;
    for value in
        ["0.4", "0.400 mm", ".4mm", "400 µm", "400um", "400", "0.4,0.4", "0.4, 0.6", "0.4;0.6", "0.04 cm"]
    {
        assert_eq!(bore(value), Some(400), "{value}");
    }
    // Not whole micrometres, no number, out of the range, a unit of another kind, a decimal comma.
    for value in ["0.4005", "mm", "0.4.1", "0.09", "2.1", "40", "0.4 in", "0.4 mm2", "0,4", "-0.4", "1e3", ""]
    {
        assert_eq!(bore(value), None, "{value}");
    }
    let diameter = |line: &str| facts(line).diameter_um;
    assert_eq!(diameter("; filament diameter = 1.75"), Some(1750));
    assert_eq!(diameter("; diameter of filament [um] = 2850"), Some(2850));
    assert_eq!(diameter("; filament diameter [mm] = 1.75"), Some(1750));
    assert_eq!(diameter("; filament diameter = 1,75"), None);
    assert_eq!(diameter("; filament diameter tolerance = 1.75"), None);
    assert_eq!(diameter("; filament nozzle diameter = 1.75"), None);
    assert_eq!(diameter("; diameter = 1.75"), None);
    assert_eq!(facts("; extruder diameter = 0.4"), JobHeader::default());
}

#[test]
fn temperatures_by_heater_and_layer() {
    let read = facts(
        "; nozzle temperature = 215\n; first layer extruder temp: 220 °C\n; bed_temperature = 60,60\n\
         ; initial bed temperature = 65.0C\n",
    );
    assert_eq!(read.nozzle_c, Some(Celsius(215)));
    assert_eq!(read.nozzle_first_c, Some(Celsius(220)));
    assert_eq!(read.bed_c, Some(Celsius(60)));
    assert_eq!(read.bed_first_c, Some(Celsius(65)));
    assert_eq!(facts("; hot end temperature = 215,210").nozzle_c, Some(Celsius(215)));
    assert_eq!(facts("; hotend temperature = 215;210").nozzle_c, Some(Celsius(215)));
    for line in [
        "; nozzle temperature = 215.5",
        "; nozzle temperature = 215,5",
        "; nozzle temperature = 400 F",
        "; nozzle temperature = 501",
        "; maximum nozzle temperature = 300",
        "; nozzle temperature range low = 190",
        "; standby temperature of nozzle = 150",
        "; chamber temperature = 40",
        "; temperature = 215",
        "; nozzle and bed temperature = 60",
        "; material bed temperature delta = 5",
    ] {
        assert_eq!(facts(line), JobHeader::default(), "{line}");
    }
}

#[test]
fn filament_used_needs_its_unit_and_rounds_up() {
    let length = |line: &str| facts(line).length.map(|length| length.0);
    assert_eq!(length("; filament used = 12.681 m"), Some(12_681_000));
    assert_eq!(length("; filament used [mm] = 12681.0304"), Some(12_681_031));
    assert_eq!(length("; filament length: 1268.1cm"), Some(12_681_000));
    assert_eq!(length("; needed filament [mm] = 10.0, 20.0"), Some(10_000));
    let mass = |line: &str| facts(line).mass;
    assert_eq!(mass("; filament used [g] = 37.82"), Some(Milligrams(37_820)));
    assert_eq!(mass("; total filament weight = 0.03782 kg"), Some(Milligrams(37_820)));
    assert_eq!(mass("; filament mass (grams): 37.8201"), Some(Milligrams(37_821)));
    for line in [
        "; filament used = 12681",
        "; filament used [cm3] = 30.5",
        "; filament used [mm^3] = 30.5",
        "; filament used = 30.5 cm3",
        "; filament used [mm] [g] = 30.5",
        "; filament used cost [g] = 2",
        "; filament used [mm] = 12,681",
        "; filament used [m] = 12,68",
        "; retraction length filament = 2 mm",
        "; filament left [g] = 200",
    ] {
        assert_eq!((length(line), mass(line)), (None, None), "{line}");
    }
}

#[test]
fn printing_time_in_every_plain_form() {
    let time = |value: &str| facts(&format!("; estimated printing time = {value}")).time.map(|time| time.0);
    // 8 h 30 min = 30,600 s.
    for value in [
        "8h 30m",
        "8h30m0s",
        "8 hours 30 minutes",
        "8 hours, 30 min",
        "8:30:00",
        "30600 s",
        "8.5 h",
        "510min",
    ] {
        assert_eq!(time(value), Some(30_600), "{value}");
    }
    assert_eq!(time("1d 2h 3m 4s"), Some(93_784));
    assert_eq!(time("1.2 s"), Some(2));
    for value in ["30600", "8:30", "30m 8h", "8h 30", "8h 8h", "1:60:00", "soon", "400d", "8h -1m"] {
        assert_eq!(time(value), None, "{value}");
    }
    assert_eq!(facts("; print time [s]: 30600").time, Some(Seconds(30_600)));
    assert_eq!(facts("; total time (min) = 510").time, Some(Seconds(30_600)));
    assert_eq!(facts("; first layer print time = 8h").time, None);
    assert_eq!(facts("; layer time = 8s").time, None);
    assert_eq!(facts("; time = 8h").time, None);
}

#[test]
fn layer_heights() {
    let read = facts("; first layer height = 0.28\n; layer_height: 200 µm\n");
    assert_eq!((read.layer_um, read.first_layer_um), (Some(200), Some(280)));
    assert_eq!(facts("; maximum layer height = 0.3"), JobHeader::default());
    assert_eq!(facts("; layer height ratio = 0.3"), JobHeader::default());
}

#[test]
fn the_first_statement_stands_and_conflicts_are_counted() {
    let hints = read(
        "; material = PLA\n; material = PETG\n; filament type: PLA\n; bed temperature = 60\n; bed temp = 70\n",
    );
    assert_eq!(hints.facts.material.as_deref(), Some("PLA"));
    assert_eq!(hints.facts.bed_c, Some(Celsius(60)));
    assert_eq!(hints.conflicts, 2);
}

#[test]
fn a_filament_or_a_spool_names_what_may_be_a_material() {
    let named = |line: &str| read(line).named_for(0).next().map(|name| std::string::String::from(&*name));
    for line in
        ["; filament: PLA", "; Spool = PLA", "; filament = [\"PLA\", \"PETG\"]", "; filament = 'PLA';'PETG'"]
    {
        assert_eq!(named(line).as_deref(), Some("PLA"), "{line}");
    }
    // Another word makes it a key about something else.
    for line in ["; filament used: PLA", "; filament colour: red", "; spool holder = yes", "; filament = 7"] {
        assert_eq!(named(line), None, "{line}");
    }
    let both = read("; filament: black\n; spool: PLA\n");
    assert_eq!(both.conflicts, 0);
    assert_eq!(both.named_for(0).collect::<std::vec::Vec<_>>(), ["black", "PLA"]);
    assert_eq!(facts("; material: [PETG]").material.as_deref(), Some("PETG"));
}

#[test]
fn a_list_names_a_material_for_each_tool() {
    let of = |line: &str, tool| {
        let hints = read(line);
        hints.material_of(tool).or(hints.named_for(tool).next()).map(|name| std::string::String::from(&*name))
    };
    for line in [
        "; spool_material = PLA;PETG;ABS",
        "; material: [\"PLA\", \"PETG\", \"ABS\"]",
        "; filament = 'PLA','PETG','ABS'",
        "; spool: PLA, PETG, ABS",
    ] {
        let all: std::vec::Vec<_> = (0..4).map(|tool| of(line, tool)).collect();
        assert_eq!(all, [Some("PLA".into()), Some("PETG".into()), Some("ABS".into()), None], "{line}");
    }
    assert_eq!(of("; material = PLA;;ABS", 1), None);
    assert_eq!(of("; material = PLA", 1), None);
}

#[test]
fn picture_data_and_header_lines_state_nothing() {
    let text = "; iVBORw0KGgoAAAANSUhEUgAAABAAAAAQCAYAAAAf8/9hAAAAGXRFWHRTb2Z0d2FyZQ==\n\
        ; job-header 1\n; {\"material\":\"PLA\",\"part\":\"filament type = ABS\",\n\
        ;  \"bed_c\":60,\n; \"nozzle temperature\":215}\n; end-header\n; material/filament: PETG\n";
    let hints = read(text);
    assert_eq!(hints.facts, JobHeader { material: Some("PETG".try_into().unwrap()), ..JobHeader::default() });
    assert_eq!(hints.conflicts, 0);
}

#[test]
fn the_tail_starts_in_a_line_that_is_passed_over() {
    let mut reader = HintReader::new(&[]);
    reader.feed(b"G28\n; material = P");
    reader.start_tail();
    reader.feed(b"; filament type = ABS\n; filament diameter = 1.75 mm\n; material = PETG");
    let hints = reader.finish();
    assert_eq!(hints.facts.material.as_deref(), Some("PETG"));
    assert_eq!(hints.facts.diameter_um, Some(1750));
}

/// Lines near to what is harvested.
fn near() -> impl Strategy<Value = std::string::String> {
    "((; ?|;|  ;|G1 X1 ;)(nozzle|bed|filament|material|layer|print|first| |_|temperature|diameter|type|time|used|height|\\[mm\\]){0,4} ?[=:] ?[0-9\\.,;hms µm°C:]{0,12}\r?\n){0,6}"
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        let mut reader = HintReader::new(&[]);
        reader.feed(&bytes);
        let _ = reader.finish();
    }

    #[test]
    fn every_cut_reads_the_same(text in near(), cuts in prop::collection::vec(any::<prop::sample::Index>(), 0..6)) {
        let mut cuts: StdVec<usize> = cuts.iter().map(|cut| cut.index(text.len() + 1)).collect();
        cuts.sort_unstable();
        let mut reader = HintReader::new(&[]);
        let mut start = 0;
        for cut in cuts.into_iter().chain([text.len()]) {
            reader.feed(&text.as_bytes()[start..cut]);
            start = cut;
        }
        prop_assert_eq!(reader.finish(), read(&text));
    }

    /// rust's own decimal reader through f64 is exact enough here to say what 1.234 mm is.
    #[test]
    fn decimals_are_exact(um in 500_u32..=5_000) {
        let line = format!("; filament diameter = {}.{:03} mm\n", um / 1000, um % 1000);
        prop_assert_eq!(facts(&line).diameter_um, Some(um));
    }

    #[test]
    fn a_length_is_never_understated(um in 1_i64..=10_000_000_000, beyond in 0_u32..1000) {
        let line = format!("; filament used = {}.{:03}{:03} mm", um / 1000, um % 1000, beyond);
        let expected = Micrometres(um + i64::from(beyond > 0));
        prop_assert_eq!(facts(&line).length, (expected.0 < 10_000_001_000).then_some(expected));
    }
}
