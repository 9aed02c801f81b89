//! The reports as text, JSON and CSV.

use std::io::{self, Write};

use anyhow::Result;
use chrono::NaiveDate;
use holdpoint_desk::amounts::decimals;
use holdpoint_shared::daybook::defused;
use serde_json::{Map, Value, json};
use unicode_width::UnicodeWidthStr;

use super::gather::Book;
use super::report::Table;
use super::sums::{Span, Sums};

/// Version of the JSON document's shape; a key more does not change it, a key less or another meaning does.
const DOCUMENT: u8 = 1;

/// The heading of a measure for people, and how many of its last digits are a fraction; hours are written apart.
fn shown(measure: &str) -> (&str, Form) {
    match measure {
        "used_mg" => ("used g", Form::Decimal(3)),
        "wasted_mg" => ("wasted g", Form::Decimal(3)),
        "left_mg" => ("left g", Form::Decimal(3)),
        "left_err_mg" => ("give or take g", Form::Decimal(3)),
        "cost_cent" => ("cost", Form::Money),
        "ran_s" => ("ran h", Form::Hours),
        "between_failures_s" => ("between failures h", Form::Hours),
        "failed_per_1000" => ("failed in 100", Form::Decimal(1)),
        "time_permille" => ("time by survey", Form::Decimal(3)),
        _ => (measure, Form::Decimal(0)),
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Decimal(u32),
    Money,
    Hours,
}

fn cell(value: Option<i64>, form: Form) -> String {
    match (value, form) {
        (None, _) => "-".to_owned(),
        (Some(value), Form::Decimal(places)) => decimals(value, places),
        (Some(cents), Form::Money) => {
            let sign = if cents < 0 { "-" } else { "" };
            format!("{sign}{}.{:02}", cents.unsigned_abs() / 100, cents.unsigned_abs() % 100)
        }
        // Half a minute and more count as one.
        (Some(seconds), Form::Hours) => {
            let minutes = seconds.saturating_add(30) / 60;
            format!("{}:{:02}", minutes / 60, minutes % 60)
        }
    }
}

/// Writes all reports as text.
///
/// # Errors
/// When `out` cannot be written.
pub fn write_text(out: &mut impl Write, books: &[Book], sums: &Sums, tables: &[Table]) -> io::Result<()> {
    let read = books.iter().filter(|book| book.error.is_none()).count();
    write!(out, "{}", counted(read, "day book"))?;
    if let Some((first, last)) = sums.days {
        write!(out, ", {first} to {last}")?;
    }
    writeln!(out)?;
    if sums.repeats > 0 {
        writeln!(
            out,
            "{} in more than one of them or twice in one, counted once",
            counted(sums.repeats, "start")
        )?;
    }
    for table in tables {
        writeln!(out, "\n{}", table.heading)?;
        if table.rows.is_empty() {
            writeln!(out, "  none")?;
            continue;
        }
        write_table(out, table)?;
    }
    if sums.undated > 0 {
        writeln!(out, "\n{} without a time left out: the clock was not set", counted(sums.undated, "start"))?;
    }
    Ok(())
}

fn counted(count: impl TryInto<usize>, what: &str) -> String {
    let count = count.try_into().unwrap_or(usize::MAX);
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

fn write_table(out: &mut impl Write, table: &Table) -> io::Result<()> {
    let forms: Vec<(&str, Form)> = table.rows[0].measures.iter().map(|(measure, _)| shown(measure)).collect();
    let mut rows: Vec<Vec<String>> = vec![
        std::iter::once(String::new())
            .chain(forms.iter().map(|(heading, _)| (*heading).to_owned()))
            .collect(),
    ];
    for row in &table.rows {
        let name = match (row.name.is_empty(), row.remark.is_empty()) {
            (true, _) => "not told".to_owned(),
            (false, true) => row.name.clone(),
            (false, false) => format!("{} {}", row.name, row.remark),
        };
        let cells = row.measures.iter().zip(&forms).map(|((_, value), (_, form))| cell(*value, *form));
        rows.push(std::iter::once(name).chain(cells).collect());
    }
    let widths: Vec<usize> = (0..=forms.len())
        .map(|column| rows.iter().map(|row| row[column].width()).max().unwrap_or(0))
        .collect();
    for row in rows {
        write!(out, "  {}{}", row[0], " ".repeat(widths[0] - row[0].width()))?;
        for (cell, width) in row[1..].iter().zip(&widths[1..]) {
            write!(out, "  {}{cell}", " ".repeat(width - cell.width()))?;
        }
        writeln!(out)?;
    }
    Ok(())
}

/// All reports as one JSON document.
#[must_use]
pub fn document(books: &[Book], sums: &Sums, span: Span, tables: &[Table]) -> Value {
    let mut document = Map::new();
    let mut put = |key: &str, value: Value| document.insert(key.to_owned(), value);
    put("ledger", DOCUMENT.into());
    put("from", day(span.from));
    put("to", day(span.to));
    put("books", json!(books));
    put("repeats", sums.repeats.into());
    put("undated", sums.undated.into());
    let clashes = sums.clashes.iter().map(|(machine, rec)| json!({"machine": machine, "rec": rec}));
    put("clashes", clashes.collect());
    for table in tables {
        let rows = table.rows.iter().map(|row| {
            let mut object = Map::new();
            object.insert(table.of.to_owned(), row.name.as_str().into());
            if !row.remark.is_empty() {
                object.insert("what".to_owned(), row.remark.as_str().into());
            }
            object.extend(row.measures.iter().map(|(name, value)| ((*name).to_owned(), json!(value))));
            Value::Object(object)
        });
        put(table.name, rows.collect());
    }
    Value::Object(document)
}

fn day(day: Option<NaiveDate>) -> Value {
    day.map_or(Value::Null, |day| day.to_string().into())
}

/// All reports as CSV after RFC 4180, a line a number: `report,name,measure,value`. Names that a spreadsheet would take
/// for a formula are defused as in the day book.
///
/// # Errors
/// When `out` cannot be written.
pub fn write_csv(out: impl Write, tables: &[Table]) -> Result<()> {
    let mut rows = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out);
    rows.write_record(["report", "name", "measure", "value"])?;
    for table in tables {
        for row in &table.rows {
            let name: String = defused(&row.name).collect();
            for (measure, value) in &row.measures {
                let value = value.map_or_else(String::new, |value: i64| value.to_string());
                rows.write_record([table.name, &name, measure, &value])?;
            }
        }
    }
    rows.flush()?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::day_book::report::Measure;

    #[test]
    fn numbers_are_shown_as_people_want_them() {
        let shown_as = |(measure, value): Measure| cell(value, shown(measure).1);
        assert_eq!(shown_as(("used_mg", Some(62_400))), "62.4");
        assert_eq!(shown_as(("cost_cent", Some(194))), "1.94");
        assert_eq!(shown_as(("cost_cent", Some(-5))), "-0.05");
        assert_eq!(shown_as(("ran_s", Some(10_169))), "2:49");
        assert_eq!(shown_as(("ran_s", Some(10_170))), "2:50");
        assert_eq!(shown_as(("failed_per_1000", Some(125))), "12.5");
        assert_eq!(shown_as(("starts", None)), "-");
    }
}
