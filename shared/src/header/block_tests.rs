use std::format;
use std::string::{String, ToString};

use proptest::prelude::*;

use super::*;
use crate::json::{Expected, JsonFault};
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};
use crate::visible::visible;

/// A header with these JSON lines, as the whole of a file.
fn file(lines: &str) -> String {
    format!("; job-header 1\n{lines}\n; end-header\nG28\n")
}

fn read(text: &str) -> HeaderOutcome {
    read_header(text.as_bytes(), true)
}

#[track_caller]
fn good(text: &str) -> JobHeader {
    match read(text) {
        HeaderOutcome::Read { header, .. } => header,
        other => panic!("{other:?}"),
    }
}

#[track_caller]
fn assert_broken(text: &str, kind: HeaderErrorKind, key: &str, line: u32, column: u32) {
    match read(text) {
        HeaderOutcome::Broken(error) => assert_eq!(
            (error.kind, error.key.as_str(), error.line, error.column),
            (kind, key, line, column),
            "{text}"
        ),
        other => panic!("{other:?}"),
    }
}

#[test]
fn reads_every_key() {
    let text = "; job-header 1\r\n; {\"material\":\"PA6-CF15\",\"colour\":\"gr\\u00fcn\",\"diameter_um\":1750,\r\n\
        ;  \"bore_um\":400,\"nozzle_c\":265,\"nozzle_first_c\":270,\"bed_c\":80,\"bed_first_c\":85,\r\n\
        ;  \"length_mm\":12681,\"mass_mg\":37822,\"time_s\":30600,\"layer_um\":200,\"first_layer_um\":280,\r\n\
        ;  \"machine\":\"M2\",\"part\":\"bracket\",\"author\":\"K7\",\"made\":\"2026-11-25T10:42:00+01:00\",\r\n\
        ;  \"body_bytes\":8123456,\"body_crc32\":\"CBF43926\",\"later\":[{}]}\r\n; end-header\r\nG28\r\n";
    let HeaderOutcome::Read { header, body_at, mistyped: None } = read(text) else { panic!() };
    assert_eq!(&text[body_at as usize..], "G28\r\n");
    let expected = JobHeader {
        material: Some("PA6-CF15".try_into().unwrap()),
        colour: Some("grün".try_into().unwrap()),
        diameter_um: Some(1750),
        bore_um: Some(400),
        nozzle_c: Some(Celsius(265)),
        nozzle_first_c: Some(Celsius(270)),
        bed_c: Some(Celsius(80)),
        bed_first_c: Some(Celsius(85)),
        length: Some(Micrometres(12_681_000)),
        mass: Some(Milligrams(37_822)),
        time: Some(Seconds(30_600)),
        layer_um: Some(200),
        first_layer_um: Some(280),
        machine: Some("M2".try_into().unwrap()),
        part: Some("bracket".try_into().unwrap()),
        author: Some("K7".try_into().unwrap()),
        made: Some("2026-11-25T10:42:00+01:00".try_into().unwrap()),
        body_bytes: Some(8_123_456),
        body_crc32: Some(0xcbf4_3926),
    };
    assert_eq!(header, expected);
}

#[test]
fn a_mistyped_key_is_named_and_the_rest_is_read() {
    for (json, key, nearest) in [
        (r#"{"material":"PLA","nozle_c":215,"bore_um":400}"#, "nozle_c", "nozzle_c"),
        // The one that is required, alone and after another slip.
        (r#"{"materail":"PLA","bore_um":400}"#, "materail", "material"),
        (r#"{"nozle_c":215,"shelf":4,"Material_":"PLA","bore_um":400}"#, "Material_", "material"),
    ] {
        let HeaderOutcome::Read { header, mistyped: Some(mistyped), .. } = read(&file(&format!("; {json}")))
        else {
            panic!("{json}")
        };
        assert_eq!(
            (mistyped.key.as_str(), mistyped.nearest, header.bore_um),
            (key, Some(nearest), Some(400))
        );
    }
    // Missing and not meant by any other key; and more than that is wrong.
    for json in [r#"{"nozle_c":215}"#, r#"{"materail":"PLA","bore_um":4}"#, r#"{"materail":"PLA"} x"#] {
        assert!(matches!(read(&file(&format!("; {json}"))), HeaderOutcome::Broken(_)), "{json}");
    }
}

#[test]
fn finds_the_block_anywhere_in_the_window() {
    let header =
        good("G21\n\n ;free words\n\t;   job-header\t1  \n;{\"material\":\n  ;\"PLA\"}\n;end-header\n");
    assert_eq!(header.material.as_deref(), Some("PLA"));
    // After a byte-order mark, and with no line end at the file's end.
    let text = "\u{feff}; job-header 1\n; {\"material\":\"PLA\"}\n; end-header";
    assert!(matches!(read(text), HeaderOutcome::Read { body_at, .. } if body_at as usize == text.len()));
}

#[test]
fn tells_a_file_without_a_header() {
    for text in
        ["", "G28\n", "; job-headers 1\n", "; my job-header 1\n", "G1 ; job-header 1\n", "; job-header"]
    {
        let outcome = read_header(text.as_bytes(), text.ends_with('\n') || text.is_empty());
        assert_eq!(outcome, HeaderOutcome::Absent, "{text}");
    }
    // A header that begins beyond the window is none.
    let late = format!("{}{}", ";\n".repeat(2048), file("; {\"material\":\"PLA\"}"));
    assert_eq!(read(&late), HeaderOutcome::Absent);
}

#[test]
fn refuses_another_version() {
    assert_broken("G28\n; job-header 2\n", HeaderErrorKind::Version, "", 2, 14);
    assert_broken("; job-header 10\n", HeaderErrorKind::Version, "", 1, 14);
    assert_broken(";job-header\n", HeaderErrorKind::Version, "", 1, 12);
    assert_broken("; job-header one\n", HeaderErrorKind::Version, "", 1, 14);
}

#[test]
fn refuses_a_block_that_is_not_closed_in_the_window() {
    assert_broken("G28\n; job-header 1\n; {\"material\":\"PLA\"}\n", HeaderErrorKind::NoEnd, "", 2, 1);
    // The end line may not be cut by the window's end.
    let block = "; job-header 1\n; {\"material\":\"PLA\"}\n; end-header";
    let cut = format!(";{}\n{block}\nG28\n", "-".repeat(4096 - 2 - block.len()));
    assert!(matches!(read(&cut), HeaderOutcome::Broken(error) if error.kind == HeaderErrorKind::NoEnd));
    let fits = cut.replacen("--", "-", 1);
    assert!(matches!(read(&fits), HeaderOutcome::Read { body_at: 4096, .. }));
}

#[test]
fn refuses_a_line_that_is_no_comment() {
    assert_broken(
        "; job-header 1\n; {\n\"material\":\"PLA\"}\n; end-header\n",
        HeaderErrorKind::NotAComment,
        "",
        3,
        1,
    );
    assert_broken(
        "; job-header 1\n\n; {\"material\":\"PLA\"}\n; end-header\n",
        HeaderErrorKind::NotAComment,
        "",
        2,
        1,
    );
}

#[test]
fn takes_2048_bytes_and_refuses_2049() {
    let json = |bytes: usize| {
        let fixed = r#"{"material":"PLA","x":""}"#;
        file(&format!(r#"; {{"material":"PLA","x":"{}"}}"#, "y".repeat(bytes - fixed.len())))
    };
    assert_eq!(good(&json(2048)).material.as_deref(), Some("PLA"));
    assert_broken(&json(2049), HeaderErrorKind::TooLong, "", 2, 3 + 2048);
    // Several lines: each joint counts one byte.
    let line = "; \"k\":1,\n";
    let long = file(&format!("; {{\n{}; \"material\":\"PLA\"}}", line.repeat(300)));
    assert!(matches!(read(&long), HeaderOutcome::Broken(error) if error.kind == HeaderErrorKind::TooLong));
}

#[test]
fn names_key_line_and_column() {
    let value = |expected| HeaderErrorKind::Json(JsonFault::Value(expected));
    let celsius = Expected::Whole { least: 0, most: 500, unit: "°C" };
    assert_broken(
        &file("; {\"material\":\"PLA\",\n;    \"nozzle_c\": 215.5}"),
        value(celsius),
        "nozzle_c",
        3,
        18,
    );
    assert_broken(&file("; {\"material\":\"PLA\",\n;  \"nozzle_c\":501}"), value(celsius), "nozzle_c", 3, 15);
    assert_broken(&file("; {\"material\":\"PLA\",\"bed_c\":-1}"), value(celsius), "bed_c", 2, 29);
    assert_broken(&file("; {\"bed_c\":\"60\",\"material\":\"PLA\"}"), value(celsius), "bed_c", 2, 12);
    let text = Expected::Text { most: 32 };
    assert_broken(&file("; {\"material\":7}"), value(text), "material", 2, 15);
    assert_broken(&file("; {\"material\":\" \"}"), value(text), "material", 2, 15);
    let long = format!("; {{\"material\":\"{}\"}}", "A".repeat(33));
    assert_broken(&file(&long), value(text), "material", 2, 15);
    assert_broken(
        &file("; {\"material\":\"PLA\",\"body_crc32\":\"cbf4392\"}"),
        value(Expected::Hex8),
        "body_crc32",
        2,
        34,
    );
    assert_broken(
        &file("; {\"material\":\"PLA\",\"body_crc32\":\"+bf43926\"}"),
        value(Expected::Hex8),
        "body_crc32",
        2,
        34,
    );
    assert_broken(
        &file("; {\"material\":\"PLA\",\"body_crc32\":123}"),
        value(Expected::Hex8),
        "body_crc32",
        2,
        34,
    );
    let missing = HeaderErrorKind::Json(JsonFault::Missing);
    assert_broken(&file("; {\"bed_c\":60,\n;   \"bore_um\":400\n; }"), missing, "material", 4, 3);
    assert_broken(&file("; {\"material\":null}"), missing, "material", 2, 19);
    let twice = HeaderErrorKind::Json(JsonFault::Twice);
    assert_broken(&file("; {\"material\":\"PLA\",\n; \"material\":\"PLA\"}"), twice, "material", 3, 3);
    let syntax = |expected| HeaderErrorKind::Json(JsonFault::Syntax(expected));
    assert_broken(
        &file("; {\"material\":\"PLA\" \"bed_c\":60}"),
        syntax(Expected::CommaOrBrace),
        "material",
        2,
        21,
    );
    // A text cannot run on in the next line.
    assert_broken(&file("; {\"material\":\"PL\n; A\"}"), syntax(Expected::ClosingQuote), "material", 2, 18);
    assert_broken(&file("; {\"material\":\"PLA\""), syntax(Expected::CommaOrBrace), "material", 2, 20);
    assert_broken("; job-header 1\n; end-header\n", syntax(Expected::Object), "", 2, 3);
    assert_broken(
        &file("; {\"material\":\"PLA\"}\n; more"),
        HeaderErrorKind::Json(JsonFault::Trailing),
        "",
        3,
        3,
    );
    let deep = format!("; {{\"x\":{}}}", "[".repeat(1000));
    assert_broken(&file(&deep), syntax(Expected::Depth(8)), "x", 2, 15);
}

#[test]
fn refuses_bytes_that_are_not_utf8() {
    let text = b"; job-header 1\n; {\"material\":\"P\xE9A\"}\n; end-header\n";
    let HeaderOutcome::Broken(error) = read_header(text, true) else { panic!() };
    assert_eq!((error.kind, error.line, error.column), (HeaderErrorKind::Json(JsonFault::NotUtf8), 2, 17));
}

#[test]
fn every_range_holds_at_both_ends() {
    for key in super::super::fields::KEYS {
        let (least, most) = match key.expected {
            Expected::Whole { least, most, .. } => (least.into(), most.into()),
            // 1 TiB.
            Expected::FileBytes => (0, 1_099_511_627_776),
            _ => continue,
        };
        let with = |value: i64| read(&file(&format!("; {{\"material\":\"PLA\",\"{}\":{value}}}", key.name)));
        for value in [least, most] {
            assert!(matches!(with(value), HeaderOutcome::Read { .. }), "{} {value}", key.name);
        }
        for value in [least - 1, most + 1] {
            let HeaderOutcome::Broken(error) = with(value) else { panic!("{} {value}", key.name) };
            assert_eq!(error.key, key.name);
            assert_eq!(error.kind, HeaderErrorKind::Json(JsonFault::Value(key.expected)));
        }
    }
}

#[test]
fn every_key_is_told_its_type() {
    for key in super::super::fields::KEYS {
        let text = file(&format!("; {{\"{}\":[]}}", key.name));
        let HeaderOutcome::Broken(error) = read(&text) else { panic!("{}", key.name) };
        assert_eq!(error.kind, HeaderErrorKind::Json(JsonFault::Value(key.expected)), "{}", key.name);
        assert_eq!(error.key, key.name);
    }
}

#[test]
fn an_error_says_place_key_expectation_and_remedy() {
    let HeaderOutcome::Broken(error) = read(&file("; {\"material\":\"PLA\",\"nozzle_c\":215.5}")) else {
        panic!()
    };
    assert_eq!(
        error.to_string(),
        "job header, line 2, column 32: nozzle_c: expected a whole number from 0 to 500 °C; change the value, or \
         stamp the job anew"
    );
}

#[test]
fn writes_lines_of_a_hundred_columns() {
    let header = good(&file(
        "; {\"material\":\"PLA\",\"part\":\"a\\\"b\\\\c\",\"length_mm\":12,\"body_crc32\":\"000000ff\"}",
    ));
    let mut text = String::new();
    header.write(&mut text).unwrap();
    assert_eq!(
        text,
        "; job-header 1\n; {\"material\":\"PLA\",\"part\":\"a\\\"b\\\\c\",\"length_mm\":12,\"body_crc32\":\"000000ff\"}\n; end-header\n"
    );
    // A length is rounded up.
    let header = JobHeader { length: Some(Micrometres(12_001)), ..header };
    let mut text = String::new();
    header.write(&mut text).unwrap();
    assert!(text.contains("\"length_mm\":13,"));
}

fn any_text<const N: usize>() -> impl Strategy<Value = Option<heapless::String<N>>> {
    prop::option::of("\\PC{1,8}|[a-z\\x01\\x09\"\\\\ äß🙂]{1,10}").prop_map(|text| {
        // As it is read: hidden characters are no part of a text.
        let text = text.map(|text| text.chars().map(visible).collect::<String>());
        text.filter(|text| !text.trim().is_empty()).and_then(|text| text.as_str().try_into().ok())
    })
}

prop_compose! {
    fn any_header()(
        material in any_text::<32>(), colour in any_text(), machine in any_text(), part in any_text(),
        author in any_text(), made in any_text(),
        wholes in (0_u32..=4_500, 0_u32..=1_900, prop::option::of(0_i16..=500), prop::option::of(0_i16..=500),
            prop::option::of(0_i64..=10_000_000), prop::option::of(0_i64..=100_000_000),
            prop::option::of(0_u32..=31_536_000), prop::option::of(5_u32..=2_000),
            prop::option::of(0_u64..=1 << 40), any::<Option<u32>>()),
    ) -> JobHeader {
        JobHeader {
            material: Some(material.unwrap_or_else(|| "PLA".try_into().unwrap())),
            colour, machine, part, author, made,
            diameter_um: (wholes.0 >= 500).then_some(wholes.0),
            bore_um: (wholes.1 >= 100).then_some(wholes.1),
            nozzle_c: wholes.2.map(Celsius),
            nozzle_first_c: wholes.3.map(Celsius),
            bed_c: wholes.3.map(Celsius),
            bed_first_c: wholes.2.map(Celsius),
            length: wholes.4.map(Micrometres::from_mm),
            mass: wholes.5.map(Milligrams),
            time: wholes.6.map(Seconds),
            layer_um: wholes.7,
            first_layer_um: wholes.7,
            body_bytes: wholes.8,
            body_crc32: wholes.9,
        }
    }
}

proptest! {
    #[test]
    fn what_was_written_reads_back(header in any_header(), rest in "[A-Z0-9 \n]{0,20}") {
        let mut text = String::new();
        header.write(&mut text).unwrap();
        let lines = text.lines().filter(|line| line.matches("\":").count() > 1);
        for line in lines {
            prop_assert!(line.chars().count() <= 100, "{}", line);
        }
        let body_at = u32::try_from(text.len()).unwrap();
        text.push_str(&rest);
        prop_assert_eq!(read(&text), HeaderOutcome::Read { header, body_at, mistyped: None });
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..5000), ends: bool) {
        let _ = read_header(&bytes, ends);
    }

    #[test]
    fn no_broken_header_makes_it_panic(
        text in "; job-header 1\n(;? ?[\\{\\}\\[\\]:, \"a-z0-9\\.\\\\\r]{0,30}\n){0,6}(; end-header\n)?",
        ends: bool,
    ) {
        let _ = read_header(text.as_bytes(), ends);
    }

    /// One byte changed in a good header: never a panic, and an error's place lies within the file.
    #[test]
    fn a_flipped_byte_is_placed_within_the_file(at in any::<prop::sample::Index>(), byte: u8) {
        let mut bytes = file("; {\"material\":\"PLA\",\n; \"bed_c\":60,\"x\":[1,{\"y\":null}]}").into_bytes();
        let at = at.index(bytes.len());
        bytes[at] = byte;
        if let HeaderOutcome::Broken(error) = read_header(&bytes, true) {
            let lines: std::vec::Vec<_> = bytes.split(|&byte| byte == b'\n').collect();
            let line = lines[error.line as usize - 1];
            prop_assert!(error.column as usize <= line.len() + 1, "{:?}", error);
        }
    }
}

#[test]
fn the_place_of_a_header_is_found_even_where_its_text_is_broken() {
    let good = b"; made in a class\r\n ; job-header 1\r\n; {\"material\":\"PLA\"}\r\n; end-header\r\nG28\r\n";
    let place = header_place(good, true).unwrap();
    assert_eq!(&good[..place.start], b"; made in a class\r\n");
    assert_eq!(&good[place.end..], b"G28\r\n");
    let marked = b"\xEF\xBB\xBF; job-header 9\n; {\n; end-header";
    assert_eq!(header_place(marked, true), Some(3..marked.len()));
    assert_eq!(header_place(marked, false), None, "the last line may go on");
    assert_eq!(header_place(b"; job-header 1\n; {}\nG28\n; end-header\n", true), None);
    assert_eq!(header_place(b"; job-header 1\n; {}\n", true), None);
    assert_eq!(header_place(b"; job-headers\n; end-header\n", true), None);
    assert_eq!(header_place(b"", true), None);
}
