//! Every wording against the display, the languages against each other, the tables against the catalogue.

use std::collections::BTreeSet;
use std::string::String;
use std::vec::Vec;

use super::*;
use crate::checks::{CATALOGUE, Level, Signal, Value};
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};

const LANGUAGES: [Language; 2] = [Language::English, Language::German];

/// Characters of a line of the display.
const COLUMNS: usize = 21;
/// Lines for the facts or the remedy.
const LINES: usize = 4;
/// Lines that are left where the signal word takes one of its own.
const LINES_BESIDE_SIGNAL: usize = 3;

/// Checks that carry CAUTION or WARNING, with the wordings that do; the others' signals leave all lines.
const INJURY: [(u8, u8); 17] = [
    (1, 0),
    (1, 2),
    (46, 2),
    (47, 0),
    (47, 1),
    (48, 0),
    (48, 1),
    (48, 2),
    (50, 0),
    (50, 1),
    (50, 2),
    (54, 2),
    (74, 0),
    (75, 0),
    (79, 0),
    (79, 1),
    (82, 0),
];

/// The longest that a value of a kind becomes.
fn longest(kind: ValueKind) -> Value {
    match kind {
        // A blend with a filler and its share.
        ValueKind::Mark => Value::text("PC+ABS-GF20"),
        ValueKind::Name => Value::name("A_NAME_THAT_FILLS_LINES.GCO"),
        ValueKind::Celsius => Celsius(320).into(),
        ValueKind::Length => Micrometres(-9_990).into(),
        ValueKind::Mass => Milligrams(9_999_000).into(),
        ValueKind::Span => Seconds(99 * 3600 + 59 * 60).into(),
        ValueKind::Clock => {
            chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap().and_hms_opt(23, 59, 0).unwrap().into()
        }
        ValueKind::Percent => Value::Percent(100),
        // Seven digits: a file of ten million lines.
        ValueKind::Count => Value::Count(9_999_999),
        ValueKind::Speed => Value::Speed(999_000),
        ValueKind::Flow => Value::Flow(99_900),
    }
}

fn finding(check: u8, wording: u8) -> Finding {
    let mut values = [const { Value::None }; 4];
    let kinds = kinds(check, wording).unwrap_or_else(|| panic!("kinds of {check}.{wording}"));
    for (slot, kind) in values.iter_mut().zip(kinds) {
        *slot = longest(*kind);
    }
    Finding { check, wording, level: Level::Hold, signal: Signal::None, values }
}

/// Lines of a text broken at blanks; a number is never parted from its unit.
fn wrapped(text: &str) -> Vec<String> {
    let mut glued = String::from(text);
    for unit in ["mm", "m", "g", "s", "min", "h", "%", "mm/s", "mm\u{b3}/s"] {
        for end in [" ", ".", ",", ":", ";", ")", "-", ""] {
            let from = std::format!(" {unit}{end}");
            if end.is_empty() && !glued.ends_with(&from) {
                continue;
            }
            glued = glued.replace(&from, &std::format!("\u{a0}{unit}{end}"));
        }
    }
    let mut lines: Vec<String> = Vec::new();
    for word in glued.split(' ') {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= COLUMNS => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.into()),
        }
    }
    lines
}

fn all() -> impl Iterator<Item = (u8, u8)> {
    kinds::KINDS.iter().map(|row| (row.0, row.1))
}

#[test]
fn every_wording_fits_the_display_with_its_longest_values() {
    let mut wrong = Vec::new();
    for (check, number) in all() {
        let lines = if INJURY.contains(&(check, number)) { LINES_BESIDE_SIGNAL } else { LINES };
        for language in LANGUAGES {
            for part in [WordingPart::What, WordingPart::Remedy] {
                let mut text = String::new();
                write_wording(&finding(check, number), language, part, &mut text).unwrap();
                let broken = wrapped(&text);
                if broken.len() > lines || broken.iter().any(|line| line.chars().count() > COLUMNS) {
                    wrong.push(std::format!("{check}.{number} {language:?} {part:?}: {broken:#?}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn places(text: &str) -> BTreeSet<&str> {
    text.split('{').skip(1).map(|tail| tail.split('}').next().unwrap()).collect()
}

#[test]
fn the_languages_agree_on_numbers_and_remedies() {
    for (check, number) in all() {
        let [english, german] = LANGUAGES.map(|language| {
            wording(check, number, language).unwrap_or_else(|| panic!("{check}.{number} in {language:?}"))
        });
        assert_eq!(places(&english.what), places(&german.what), "{check}.{number} what");
        assert_eq!(places(&english.remedy), places(&german.remedy), "{check}.{number} remedy");
        let [more, mehr] = LANGUAGES.map(|language| more(check, number, language));
        assert_eq!(places(more), places(mehr), "{check}.{number} more");
        let given = kinds(check, number).unwrap().len();
        for text in [english.what.as_str(), &english.remedy, more] {
            for place in places(text) {
                assert!(
                    place.parse::<usize>().is_ok_and(|place| place < given),
                    "{check}.{number} names {place}"
                );
            }
        }
        assert!(!english.what.is_empty() && !english.remedy.is_empty());
        assert!(!german.what.is_empty() && !german.remedy.is_empty());
    }
}

#[test]
fn each_table_has_each_wording_once() {
    for language in LANGUAGES {
        let rows: Vec<(u8, u8)> =
            tables(language).into_iter().flatten().map(|row| (row.check, row.wording)).collect();
        assert_eq!(rows, all().collect::<Vec<_>>());
        assert_eq!(rows.iter().collect::<BTreeSet<_>>().len(), rows.len());
    }
}

#[test]
fn what_is_shown_is_what_the_tables_say() {
    for language in LANGUAGES {
        for row in tables(language).into_iter().flatten() {
            let shown = wording(row.check, row.wording, language).unwrap();
            assert_eq!((shown.what.as_str(), shown.remedy.as_str()), (row.what, row.remedy));
        }
        assert_eq!(wording(250, 0, language), None);
    }
}

#[test]
fn every_check_that_can_find_something_has_words() {
    for row in CATALOGUE {
        let has = all().any(|(check, _)| check == row.number);
        assert_eq!(has, !row.levels.is_empty(), "{} {}", row.number, row.id);
    }
    // Wordings of a check are numbered from 0 without a gap.
    for (check, number) in all() {
        assert!(number == 0 || all().any(|other| other == (check, number - 1)), "{check}.{number}");
    }
}

#[test]
fn no_text_says_safe_or_shouts() {
    for language in LANGUAGES {
        for row in tables(language).into_iter().flatten() {
            for text in [row.what, row.remedy, row.more] {
                let small = text.to_lowercase();
                for word in ["safe", "sicher", "please", "bitte", "danger", "gefahr", "!"] {
                    assert!(!small.contains(word), "{}.{} says {word}", row.check, row.wording);
                }
            }
        }
    }
}

#[test]
fn a_finding_in_both_languages() {
    let values = [Value::text("PLA"), Value::text("PETG"), Celsius(205).into(), Celsius(220).into()];
    let finding = Finding { check: 54, wording: 1, level: Level::Hold, signal: Signal::Notice, values };
    let said = |language, part| {
        let mut out = String::new();
        write_wording(&finding, language, part, &mut out).unwrap();
        out
    };
    assert_eq!(
        said(Language::English, WordingPart::What),
        "File needs PLA, spool PETG will not melt at 205°C."
    );
    assert_eq!(
        said(Language::English, WordingPart::Sentence),
        "File needs PLA, spool PETG will not melt at 205°C. PETG needs at least 220°C: it would not melt and would jam."
    );
    assert_eq!(
        said(Language::German, WordingPart::What),
        "Datei braucht PLA, Spule PETG schmilzt nicht bei 205°C."
    );
    let unknown = Finding { check: 250, wording: 3, ..finding };
    let mut out = String::new();
    write_wording(&unknown, Language::English, WordingPart::What, &mut out).unwrap();
    assert_eq!(out, "250.3");
}

#[test]
fn sentences_of_a_desk_never_run_together() {
    let said = |check, wording, values, language| {
        let finding = Finding { check, wording, level: Level::Look, signal: Signal::None, values };
        let mut out = String::new();
        write_wording(&finding, language, WordingPart::Sentence, &mut out).unwrap();
        out
    };
    let plate = [Value::text("PETG"), Value::text("P2"), Value::None, Value::None];
    assert_eq!(
        said(70, 2, plate.clone(), Language::English),
        "PETG needs plate P2. The other plate of this machine is not suitable."
    );
    assert_eq!(
        said(70, 2, plate, Language::German),
        "PETG braucht Platte P2. Eine andere Platte dieser Maschine passt nicht."
    );
    let spool = [Value::text("PLA"), Value::None, Value::None, Value::None];
    assert_eq!(said(55, 0, spool, Language::English), "File names no material. The spool is PLA.");
    // A stop after a file's name would be read as a part of it.
    let name = [Value::text("Caf\u{e9}.gcode"), Value::None, Value::None, Value::None];
    assert!(said(10, 0, name, Language::English).ends_with(" Caf\u{e9}.gcode"));
}
