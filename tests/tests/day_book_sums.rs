//! The sums of many day books against a decimal library that knows nothing of milligrams and cents.

use std::collections::BTreeMap;
use std::fs;

use chrono::NaiveDate;
use holdpoint_cli::day_book::gather::Books;
use holdpoint_cli::day_book::sums::{Span, Sums};
use holdpoint_cli::progress::Progress;
use holdpoint_shared::daybook::{COLUMNS, HEADER, ROW_BYTES, Row};
use holdpoint_shared::units::Milligrams;
use holdpoint_tests::images::clock;
use proptest::prelude::*;
use rust_decimal::Decimal;

const GRADES: [&str; 4] = ["PLA", "PETG", "ABS, grey", "=TPU"];
const MACHINES: [&str; 3] = ["M1", "M2", "Fenster"];
const RESULTS: [&str; 4] = ["good", "usable", "failed", "stopped"];

/// A start, and on which of the cards it stands.
fn any_start() -> impl Strategy<Value = (Row, u8)> {
    let amounts = (0_i64..5_000_000, 0_i64..5_000_000, 0_u32..100_000, 0_u32..400_000);
    (0_usize..3, 0_usize..4, 0_usize..4, amounts, 1_u8..8).prop_map(
        |(machine, grade, result, amounts, cards)| {
            let (booked, wasted, cost, seconds) = amounts;
            let mut row = Row {
                started: Some(clock(10, 0, 0)),
                result: RESULTS[result],
                booked: Some(Milligrams(booked)),
                wasted: Some(Milligrams(wasted)),
                cost_cent: Some(cost),
                actual_s: Some(seconds),
                closed_out: true,
                ..Row::default()
            };
            row.set_machine(MACHINES[machine]);
            row.set_spool("S1", GRADES[grade], "");
            (row, cards)
        },
    )
}

/// Decimal sums over the cells of one card's text, as any reader of CSV sees them.
#[derive(Debug, Default, PartialEq, Eq)]
struct Reckoned {
    used: Decimal,
    wasted: Decimal,
    cost: Decimal,
    hours: Decimal,
    starts: u32,
}

impl Reckoned {
    fn add(&mut self, record: &csv::StringRecord) {
        let column = |name: &str| {
            let place = HEADER.trim_end().split(',').position(|column| column == name).expect(name);
            record[place].parse::<Decimal>().expect(name)
        };
        self.used += column("booked_g");
        self.wasted += column("wasted_g");
        self.cost += column("cost");
        self.hours += column("actual_s");
        self.starts += 1;
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn sums_over_any_books_are_exact(starts in proptest::collection::vec(any_start(), 1..120)) {
        let here = tempfile::tempdir().expect("a folder");
        let mut books = vec![HEADER.as_bytes().to_vec(); 3];
        let mut all = HEADER.as_bytes().to_vec();
        for (number, (mut row, cards)) in (1..).zip(starts) {
            row.rec = number;
            let mut buffer = [0; ROW_BYTES];
            let line = row.write(&mut buffer);
            all.extend_from_slice(line);
            for (card, book) in books.iter_mut().enumerate() {
                if cards >> card & 1 == 1 {
                    book.extend_from_slice(line);
                }
            }
        }
        let paths: Vec<_> = books.iter().enumerate().map(|(card, book)| {
            let path = here.path().join(format!("{card}.csv"));
            fs::write(&path, book).expect("a file");
            path
        }).collect();

        let mut total = Reckoned::default();
        let mut grades: BTreeMap<String, Reckoned> = BTreeMap::new();
        let mut machines: BTreeMap<String, Reckoned> = BTreeMap::new();
        let mut reader = csv::Reader::from_reader(all.as_slice());
        for record in reader.records() {
            let record = record.expect("RFC 4180");
            prop_assert_eq!(record.len(), COLUMNS);
            total.add(&record);
            grades.entry(record[12].trim_start_matches('\'').to_owned()).or_default().add(&record);
            machines.entry(record[1].to_owned()).or_default().add(&record);
        }

        let books = Books::read(&paths, clock(12, 0, 0), &Progress::quiet()).expect("space");
        prop_assert!(!books.incomplete(), "{:?}", books.books);
        let day = NaiveDate::from_ymd_opt(2026, 11, 25).expect("a day");
        let sums = Sums::of(books, Span { from: Some(day), to: Some(day) }, day).expect("space");
        let decimal = |of: &holdpoint_cli::day_book::sums::Use| {
            (Decimal::new(of.used_mg, 3), Decimal::new(of.wasted_mg, 3), Decimal::new(of.cost_cent, 2), of.results.starts)
        };
        prop_assert_eq!(decimal(&sums.total), (total.used, total.wasted, total.cost, total.starts));
        prop_assert_eq!(sums.grades.len(), grades.len());
        for (grade, wanted) in &grades {
            prop_assert_eq!(decimal(&sums.grades[grade]), (wanted.used, wanted.wasted, wanted.cost, wanted.starts));
        }
        prop_assert_eq!(sums.machines.len(), machines.len());
        for (tag, wanted) in &machines {
            let machine = &sums.machines[tag];
            prop_assert_eq!((Decimal::from(machine.ran_s), machine.results.starts), (wanted.hours, wanted.starts));
        }
    }
}
