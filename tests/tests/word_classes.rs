//! Every number that a G or M word may have is modelled, silent by the table, or told: nothing unknown is silent.

use std::collections::BTreeMap;

use holdpoint_shared::motion::{Known, WordClass, rows};
use holdpoint_shared::records::Machine;
use holdpoint_shared::survey::{Reading, Surveyor};

/// What stands after a word, as jobs write it.
const LETTERS: [&str; 8] = ["", " S1", " S0", " P1", " X10 Y10 Z5", " L2", " E1 T0", " word"];

fn read(line: &str) -> Reading {
    let mut surveyor = Surveyor::new(&Machine::default());
    surveyor.feed(line.as_bytes());
    surveyor.finish().reading
}

fn told(reading: &Reading) -> bool {
    let named = [&reading.stores, &reading.reaches, &reading.shifts];
    reading.unknown.any() || named.into_iter().any(|name| name.met.any())
}

fn classes() -> BTreeMap<(u8, u32), Vec<WordClass>> {
    let mut classes: BTreeMap<_, Vec<_>> = BTreeMap::new();
    for row in rows() {
        classes.entry((row.letter(), row.tenths())).or_default().push(row.known.class());
    }
    classes
}

#[test]
fn no_number_without_a_class_is_silent() {
    let classes = classes();
    let numbers = |letter: u8, most: u32| {
        (0..=most)
            .map(|number| number * 10)
            .chain((0..most * 10).step_by(7))
            .map(move |tenths| (letter, tenths))
    };
    let mut unknown = 0;
    for (letter, tenths) in numbers(b'G', 999).chain(numbers(b'M', 1999)) {
        let rows = classes.get(&(letter, tenths));
        let may_be_silent = rows.is_some_and(|rows| {
            rows.iter()
                .any(|class| matches!(class, WordClass::Modelled | WordClass::Tuning | WordClass::Report))
        });
        unknown += u32::from(rows.is_none());
        for letters in LETTERS {
            let point = if tenths % 10 == 0 { String::new() } else { format!(".{}", tenths % 10) };
            let line = format!("{}{}{point}{letters}\n", letter as char, tenths / 10);
            assert!(told(&read(&line)) || may_be_silent, "{line:?}");
        }
    }
    assert!(unknown > 2000);
}

#[test]
fn the_table_covers_the_trade() {
    let classes = classes();
    assert!(classes.len() >= 250, "{} words", classes.len());
    for (word, what) in
        [(b'M', 1120), (b'M', 5000), (b'G', 550), (b'M', 290)].map(|word| (word, classes.get(&word)))
    {
        assert!(what.is_some(), "{word:?}");
    }
}

#[test]
fn spelling_changes_no_class() {
    for line in
        ["M112", "m112", "M 112", "M0112", "m 00 112", "M112.0", "N9 M112", "M 1 1 2", "M105M112", "m112*8"]
    {
        assert_eq!(read(&format!("{line}\n")).reaches.name.as_str(), "M112", "{line}");
    }
    for line in ["G59.3", "g 59.3", "G059.30", "G 5 9 . 3"] {
        assert_eq!(read(&format!("{line}\n")).shifts.name.as_str(), "G59.3", "{line}");
    }
}

#[test]
fn each_word_of_a_line_is_classed() {
    let reading = read("M500 M112 M206 X1 M7777\nG55 G51 X2\n");
    let names = [&reading.stores, &reading.reaches, &reading.shifts].map(|name| name.name.as_str());
    assert_eq!(names, ["M500", "M112", "M206"]);
    assert_eq!((reading.shifts.met.count, reading.unknown_names[0].name.as_str()), (3, "M7777"));
}

#[test]
fn letters_decide() {
    for silent in
        ["M420 S1", "M84", "M211 S1", "M302 P0", "M92", "M503", "M30", "M111 S7", "M208 S1", "M118 done"]
    {
        assert!(!told(&read(&format!("{silent}\n"))), "{silent}");
    }
    for other in ["M421 X1", "M84 S9", "M211 S0", "M302 P1", "M92 X1", "M500", "M30 A", "M111 S9", "M208 X1"]
    {
        assert!(told(&read(&format!("{other}\n"))), "{other}");
    }
}

/// A probe that comes down over the part strikes it, whichever word sends it there.
#[test]
fn every_probing_word_is_met_over_the_part() {
    for row in rows().filter(|row| row.known == Known::Probe) {
        let word = format!("{}{}", row.letter() as char, row.tenths() / 10);
        let mut surveyor = Surveyor::new(&Machine::default());
        let job = format!("G28\nG90\nM83\nG1 X50 Y50 Z0.2 F3000\nG1 X80 E2\nG1 Y80 E2\n{word}\nG1 X50 E2\n");
        surveyor.feed(job.as_bytes());
        assert_eq!(surveyor.finish().motion.homes_over_part.count, 1, "{word}");
    }
}
