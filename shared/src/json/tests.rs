use std::format;
use std::string::{String as StdString, ToString};
use std::vec::Vec as StdVec;

use heapless::String;
use proptest::prelude::*;

use super::key::Refusal;

use super::*;

static SIZE: Key = Key::whole("size", 1, 9, "mm");
static NAME: Key = Key::text("name", 4);
static PAIR: Key = Key::new("pair", Expected::Wholes { count: 2, least: 0, most: 9, unit: "" });
static INNER: Key = Key::new("inner", Expected::Object);
static DEEP: Key = Key::whole("inner.deep", 0, 9, "");
static ROWS: Key = Key::new("rows", Expected::Objects { count: 2 });
static ROW_NAME: Key = Key::text("rows.name", 4);
static INNER_Y: Key = Key::new("inner.y", Expected::Flag);
static ROW_Y: Key = Key::new("rows.y", Expected::Flag);
static KEYS: &[&Key] = &[&SIZE, &NAME, &PAIR, &INNER, &DEEP, &ROWS, &ROW_NAME];

/// What the text states, before any range is checked.
#[derive(Debug, PartialEq)]
struct Sample<'a> {
    size: bool,
    name: Option<&'a str>,
    inner: bool,
    rows: usize,
}

fn read_bytes(text: &[u8]) -> Result<Sample<'_>, Fault> {
    let (mut members, faults) = (Members::<12>::new(), Faults::default());
    let sample = parse(text, KEYS, &mut members, &faults).map(|stated| Sample {
        size: stated.has(&SIZE),
        name: stated.raw(&NAME),
        inner: stated.has(&INNER),
        rows: stated.entries(&ROWS).count(),
    });
    faults.refusal(text).map_or_else(|| Ok(sample.unwrap()), Err)
}

fn read(text: &str) -> Result<Sample<'_>, Fault> {
    read_bytes(text.as_bytes())
}

/// What `get` finds in the text.
fn get<T>(text: &str, get: impl Fn(Stated<'_, '_>) -> T) -> Result<T, Fault> {
    let (mut members, faults) = (Members::<12>::new(), Faults::default());
    let value = parse(text.as_bytes(), KEYS, &mut members, &faults).map(get);
    faults.refusal(text.as_bytes()).map_or_else(|| Ok(value.unwrap()), Err)
}

/// The fault of a text in which `§` marks the byte at which it must be found.
#[track_caller]
fn assert_fault(marked: &str, key: &str, kind: JsonFault) {
    let at = marked.find('§').expect("a mark");
    let text = marked.replace('§', "");
    let fault = read(&text).expect_err(&text);
    assert_eq!((fault.kind, fault.key.as_str(), fault.at), (kind, key, at), "{text}");
}

#[test]
fn reads_known_keys_and_skips_all_others() {
    let text = r#" { "x" : [1.5e3, {"size": [null, true, "}]"]}, -0.1], "size": 3, "inner":{"deep":0,"y":{}},
        "rows":[{"name":"a"},{"z":"\\\""}], "pair":[ 1 , 2 ], "name":null, "x": 2 }"#;
    assert_eq!(read(text).unwrap(), Sample { size: true, name: None, inner: true, rows: 2 });
    assert_eq!(get(text, |stated| stated.whole(&SIZE)).unwrap(), Some(3_u8));
    assert_eq!(get(text, |stated| stated.wholes(&PAIR)).unwrap(), Some([1_u8, 2]));
    assert_eq!(get(text, |stated| stated.whole(&DEEP)).unwrap(), Some(0_i64));
    let names = |stated: Stated<'_, '_>| stated.entries(&ROWS).map(|row| row.text::<4>(&ROW_NAME)).collect();
    let names: StdVec<_> = get(text, names).unwrap();
    assert_eq!(names, [Some("a".try_into().unwrap()), None]);
}

#[test]
fn unescapes_texts_and_takes_known_keys_plain_only() {
    let name = |json: &str| get(json, |stated| stated.text::<4>(&NAME)).unwrap().unwrap();
    assert_eq!(name(r#"{"name":"\u00e9\/"}"#), "é/");
    // A control character and one that turns the writing round show as U+FFFD, and never make a text too long.
    assert_eq!(name(r#"{"name":"\n"}"#), "\u{fffd}");
    assert_eq!(name(r#"{"name":"\u202ea"}"#), "\u{fffd}a");
    assert_eq!(name(r#"{"name":"a\n\n\n"}"#), "a\u{fffd}");
    // RFC 8259, section 7: the G clef, U+1D11E, is \uD834\uDD1E.
    assert_eq!(name(r#"{"name":"\uD834\uDD1E"}"#), "\u{1D11E}");
    assert_fault(r#"{§"n\u0061me":"ab"}"#, "", JsonFault::Syntax(Expected::PlainKey));
    assert_eq!(name(r#"{"\u0061":1,"name":"ab"}"#), "ab");
    // An unknown key's text may be longer than any buffer.
    let long = format!(r#"{{"x":"{}","name":"a"}}"#, r"\n".repeat(900));
    assert_eq!(name(&long), "a");
}

#[test]
fn places_wrong_values() {
    let size = JsonFault::Value(SIZE.expected);
    assert_fault(r#"{"flag":true,"size":§"3"}"#, "size", size);
    assert_fault(r#"{"size": §3.5,"name":"a"}"#, "size", size);
    assert_fault(r#"{"size":§3e2}"#, "size", size);
    assert_fault(r#"{"size":§true}"#, "size", size);
    assert_fault(r#"{"size":§[3]}"#, "size", size);
    assert_fault(r#"{"size":§{"a":1}}"#, "size", size);
    assert_fault(r#"{"size":§99999999999999999999}"#, "size", size);
    let name = JsonFault::Value(NAME.expected);
    assert_fault(r#"{"name":§12}"#, "name", name);
    // Two letters of two bytes fit, and not one more.
    let long = |json: &str| get(json, |stated| stated.text::<4>(&NAME));
    assert_eq!(long(r#"{"x":1,"name":"éé"}"#).unwrap().unwrap(), "éé");
    let fault = long(r#"{"x":1,"name":"éé\u0041"}"#).unwrap_err();
    assert_eq!((fault.kind, fault.at), (name, 14));
    let pair = JsonFault::Value(PAIR.expected);
    assert_fault(r#"{"pair":§[1]}"#, "pair", pair);
    assert_fault(r#"{"pair":§[1,2,3]}"#, "pair", pair);
    assert_fault(r#"{"pair":[1,§"2"]}"#, "pair", pair);
    assert_fault(r#"{"pair":[1,§2.5]}"#, "pair", pair);
    assert_fault(r#"{"inner":§7}"#, "inner", JsonFault::Value(INNER.expected));
    assert_fault(
        r#"{"size":1,"inner":{"x":[1],"deep":§"1"}}"#,
        "inner.deep",
        JsonFault::Value(DEEP.expected),
    );
    assert_fault(r#"{"rows":[{},{"name":§1}]}"#, "rows.name", JsonFault::Value(ROW_NAME.expected));
    assert_fault(r#"{"rows":[{},§3]}"#, "rows", JsonFault::Value(ROWS.expected));
    assert!(read(r#"{"rows":[{},{},{}]}"#).is_err_and(|fault| fault.key == "rows"));
}

/// Every fault, unknown keys as well, each with its key and its byte.
fn all(text: &str) -> StdVec<(StdString, usize, JsonFault)> {
    let mut list = StdVec::new();
    loop {
        let (mut members, faults) = (Members::<12>::new(), Faults::with(list.len() as u16));
        if let Some(stated) = parse(text.as_bytes(), KEYS, &mut members, &faults) {
            let _: (Option<u8>, Option<String<4>>) = (stated.whole(&SIZE), stated.text(&NAME));
            stated.miss(&PAIR);
        }
        match faults.kept(text.as_bytes()) {
            Some(fault) => list.push((fault.key.as_str().into(), fault.at, fault.kind)),
            None => return list,
        }
    }
}

#[test]
fn every_fault_is_told_and_the_reading_goes_on() {
    let text = r#"{"sise":1,"size":12,"name":5,"inner":{"deeep":1,"deep":"x"},"rows":[{"nane":1},7]}"#;
    let unknown = |nearest| JsonFault::Unknown { nearest: Some(nearest) };
    let value = |key: &Key| JsonFault::Value(key.expected);
    let told = all(text);
    let told: StdVec<_> = told.iter().map(|(key, at, kind)| (key.as_str(), *at, *kind)).collect();
    assert_eq!(
        told,
        [
            ("sise", 1, unknown("size")),
            ("name", 27, value(&NAME)),
            ("inner.deeep", 38, unknown("inner.deep")),
            ("inner.deep", 55, value(&DEEP)),
            ("rows.nane", 69, unknown("rows.name")),
            ("rows", 79, value(&ROWS)),
            ("size", 17, value(&SIZE)),
            ("pair", 81, JsonFault::Missing),
        ]
    );
}

#[test]
fn a_fault_of_form_ends_the_list_and_nothing_is_called_missing() {
    let told = all(r#"{"size":"a","name":"b" "pair":[1,2]}"#);
    let told: StdVec<_> = told.iter().map(|(key, at, _)| (key.as_str(), *at)).collect();
    assert_eq!(told, [("size", 8), ("name", 23)]);
}

#[test]
fn refuses_a_known_key_that_stands_twice() {
    assert_fault(r#"{"size":1,"name":"a",§"size":1}"#, "size", JsonFault::Twice);
    assert_fault(r#"{"size":null,§"size":1}"#, "size", JsonFault::Twice);
    assert_fault(r#"{"inner":{"deep":1,§"deep":2}}"#, "inner.deep", JsonFault::Twice);
}

#[test]
fn places_faults_of_form() {
    let wants = |expected| JsonFault::Syntax(expected);
    assert_fault("§", "", wants(Expected::Object));
    assert_fault("§[1]", "", wants(Expected::Object));
    assert_fault("§null", "", wants(Expected::Object));
    assert_fault("{§", "", wants(Expected::KeyInQuotes));
    assert_fault("{§size:1}", "", wants(Expected::KeyInQuotes));
    assert_fault(r#"{"size" §1}"#, "size", wants(Expected::Colon));
    assert_fault(r#"{"size":§}"#, "size", wants(Expected::AnyValue));
    assert_fault(r#"{"size":§nul}"#, "size", wants(Expected::AnyValue));
    assert_fault(r#"{"size":1 §"name":"a"}"#, "size", wants(Expected::CommaOrBrace));
    assert_fault(r#"{"size":1§]"#, "size", wants(Expected::CommaOrBrace));
    assert_fault(r#"{"pair":[1 §2]}"#, "pair", wants(Expected::CommaOrBracket));
    assert_fault(r#"{"size":1,§}"#, "", wants(Expected::AfterComma));
    assert_fault(r#"{"pair":[1,§]}"#, "pair", wants(Expected::AfterComma));
    assert_fault(r#"{"size":1§"#, "size", wants(Expected::CommaOrBrace));
    assert_fault(r#"{"size":0§1}"#, "size", wants(Expected::Number));
    assert_fault(r#"{"size":-§x}"#, "size", wants(Expected::Number));
    assert_fault(r#"{"size":1.§}"#, "size", wants(Expected::Number));
    assert_fault(r#"{"size":1e§}"#, "size", wants(Expected::Number));
    assert_fault(r#"{"size":§+1}"#, "size", wants(Expected::AnyValue));
    assert_fault("{\"name\":\"a§\nb\"}", "name", wants(Expected::ClosingQuote));
    assert_fault(r#"{"name":"a§"#, "name", wants(Expected::ClosingQuote));
    assert_fault(r#"{"name":"a§\x"}"#, "name", wants(Expected::Escape));
    assert_fault(r#"{"name":"§\u12g4"}"#, "name", wants(Expected::Escape));
    assert_fault(r#"{"name":"§\uD834x"}"#, "name", wants(Expected::Escape));
    assert_fault(r#"{"name":"§\uDD1E"}"#, "name", wants(Expected::Escape));
    assert_fault(r#"{"size":1} §x"#, "", JsonFault::Trailing);
    assert_fault(r#"{}§{}"#, "", JsonFault::Trailing);
}

#[test]
fn refuses_what_is_not_utf8() {
    let fault = read_bytes(b"{\"name\":\"a\xFF\"}").unwrap_err();
    assert_eq!((fault.kind, fault.key.as_str(), fault.at), (JsonFault::NotUtf8, "name", 10));
    let fault = read_bytes(b"{\"size\":1,\xFF}").unwrap_err();
    assert_eq!((fault.kind, fault.at), (JsonFault::NotUtf8, 10));
    // A fault before it comes first.
    let fault = read_bytes(b"{size:1,\xFF}").unwrap_err();
    assert_eq!((fault.kind, fault.at), (JsonFault::Syntax(Expected::KeyInQuotes), 1));
}

#[test]
fn nesting_is_bounded() {
    let nested = |depth: usize| format!("{{\"x\":{}{}}}", "[".repeat(depth), "]".repeat(depth));
    let most = usize::from(crate::limits::JSON_DEPTH) - 1;
    assert!(read(&nested(most)).is_ok());
    let fault = read(&nested(most + 1)).unwrap_err();
    assert_eq!(fault.kind, JsonFault::Syntax(Expected::Depth(crate::limits::JSON_DEPTH)));
    assert!(read(&nested(2000)).is_err());
}

#[test]
fn checks_name_the_place_of_a_value_out_of_range() {
    let text = br#"{"rows":[{"name":"a"},{"name":" "}], "inner":{"deep": 12}, "size":10}"#;
    let size = |text: &str| get(text, |stated| stated.whole::<u8>(&SIZE));
    let fault = size(core::str::from_utf8(text).unwrap()).unwrap_err();
    assert_eq!((fault.kind, fault.at), (JsonFault::Value(SIZE.expected), 66));
    assert_eq!(size(r#"{"size":9}"#).unwrap(), Some(9));
    assert_eq!(size(r#"{"size":1}"#).unwrap(), Some(1));
    assert!(size(r#"{"size":0}"#).is_err());
    assert_eq!(Refusal::value(&DEEP).at(text).at, 54);
    assert_eq!(Refusal::value(&ROW_NAME).in_entry(1).at(text).at, 30);
    assert_eq!(Refusal::value(&ROW_NAME).in_entry(0).at(text).at, 17);
    // The brace that closes the object where the key is missing.
    assert_eq!(Refusal::missing(&INNER_Y).at(text).at, 56);
    assert_eq!(Refusal::missing(&ROW_Y).in_entry(1).at(text).at, 33);
    assert_eq!(Refusal::missing(&NAME).at(text).at, 68);
}

#[test]
fn lines_and_columns_count_from_one() {
    assert_eq!(line_and_column(b"ab\ncd", 0), (1, 1));
    assert_eq!(line_and_column(b"ab\ncd", 2), (1, 3));
    assert_eq!(line_and_column(b"ab\ncd", 4), (2, 2));
    assert_eq!(line_and_column(b"ab\ncd", 99), (2, 3));
}

/// A value of any shape, within the depth that is allowed.
fn any_value() -> impl Strategy<Value = serde_json::Value> {
    let leaf = prop_oneof![
        Just(serde_json::Value::Null),
        any::<bool>().prop_map(serde_json::Value::from),
        any::<i64>().prop_map(serde_json::Value::from),
        (-1e9..1e9).prop_map(serde_json::Value::from),
        any::<StdString>().prop_map(serde_json::Value::from),
    ];
    leaf.prop_recursive(4, 24, 4, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4).prop_map(serde_json::Value::from),
            prop::collection::btree_map("[a-z\\\\\"é]{0,6}", inner, 0..4)
                .prop_map(|map| serde_json::Value::Object(map.into_iter().collect())),
        ]
    })
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = read_bytes(&bytes);
    }

    #[test]
    fn no_near_json_makes_it_panic(text in r#"[\{\}\[\]:, "\\a-z0-9\.eu+-]{0,60}"#) {
        if let Err(fault) = read(&text) {
            prop_assert!(fault.at <= text.len());
        }
    }

    /// serde_json, an independent reader, says what is JSON.
    #[test]
    fn takes_as_json_what_an_outside_reader_takes(value in any_value(), cut in any::<prop::sample::Index>()) {
        let text = serde_json::json!({"x": value}).to_string();
        prop_assert!(read(&text).is_ok(), "{}", text);
        let mut bytes: StdVec<u8> = text.into_bytes();
        bytes.truncate(cut.index(bytes.len()));
        prop_assert!(read_bytes(&bytes).is_err());
    }

    #[test]
    fn takes_no_more_than_an_outside_reader(text in r#"\{"x":[\{\}\[\]:, "\\ntrue0-9\.+-]{0,12}\}"#) {
        let outside = serde_json::from_str::<serde_json::Value>(&text).is_ok_and(|value| value.is_object());
        prop_assert_eq!(read(&text).is_ok(), outside, "{}", text);
    }
}
