//! One line of a day book as values.

use std::cmp::Ordering;
use std::collections::HashMap;
use std::sync::LazyLock;

use chrono::{DateTime, NaiveDateTime};
use holdpoint_desk::shown::Shown;
use holdpoint_shared::daybook::{COLUMNS, HEADER, REFUSED, plain};
use holdpoint_shared::visible::visible;
use serde::{Deserialize, Serialize};

use super::sorter::Sorted;

/// How a start ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Outcome {
    /// As wanted.
    Good,
    /// Usable, with flaws.
    Flawed,
    /// Failed.
    Failed,
    /// Stopped by a person for no fault of the print.
    Stopped,
    /// Never started.
    Refused,
    /// Not closed out yet.
    Open,
}

/// One row, in the units of the day book's columns made whole.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// Number of the start on its machine.
    pub rec: u32,
    /// Tag of the machine.
    pub machine: String,
    /// Local time of the start, or of the refusal.
    pub started: Option<NaiveDateTime>,
    /// Local time of the end.
    pub ended: Option<NaiveDateTime>,
    /// How it ended.
    pub result: Outcome,
    /// Why it failed or was stopped.
    pub reason: String,
    /// Material.
    pub grade: String,
    /// The spool's number.
    pub spool_id: String,
    /// Printing time as surveyed, s.
    pub estimated_s: Option<u32>,
    /// From start to end, s.
    pub actual_s: Option<u32>,
    /// Filament used, mg.
    pub booked_mg: Option<i64>,
    /// Filament wasted, mg.
    pub wasted_mg: Option<i64>,
    /// Filament left on the spool, mg.
    pub left_mg: Option<i64>,
    /// Give or take, mg.
    pub left_err_mg: Option<i64>,
    /// Checks that found something.
    pub findings: Vec<u8>,
    /// How many of them a lead opened.
    pub overrides: u8,
    /// Whether the close-out was answered.
    pub closed_out: bool,
    /// Hundredths of the currency.
    pub cost_cent: Option<i64>,
}

/// Why a line with a sum that fits has no value that can be used: the column and its text.
pub type Unfit = (&'static str, String);

impl Entry {
    /// Reads the cells of a row whose sum fits.
    ///
    /// # Errors
    /// The first column whose cell is none of its kind.
    pub fn read(line: &[u8]) -> Result<Self, Unfit> {
        // A row at a time: the reader needs no more room than the row.
        let mut builder = csv::ReaderBuilder::new();
        let mut reader = builder.has_headers(false).buffer_capacity(line.len()).from_reader(line);
        let mut record = csv::StringRecord::new();
        let read = reader.read_record(&mut record).is_ok_and(|read| read);
        if !read || record.len() != COLUMNS {
            return Err((
                "rec",
                String::from_utf8_lossy(line).chars().take(40).collect::<String>().shown().to_string(),
            ));
        }
        let cells = Cells(record);
        Ok(Self {
            rec: cells.number("rec")?.ok_or(("rec", String::new()))?,
            machine: cells.text("machine"),
            started: cells.time("started")?,
            ended: cells.time("ended")?,
            result: cells.result()?,
            reason: cells.text("reason"),
            grade: cells.text("grade"),
            spool_id: cells.text("spool_id"),
            estimated_s: cells.number("est_s")?,
            actual_s: cells.number("actual_s")?,
            booked_mg: cells.fixed("booked_g", 3)?,
            wasted_mg: cells.fixed("wasted_g", 3)?,
            left_mg: cells.fixed("left_g", 3)?,
            left_err_mg: cells.fixed("left_err_g", 3)?,
            findings: cells.checks()?,
            overrides: cells.number("overrides")?.unwrap_or_default(),
            closed_out: cells.number("closed_out")? == Some(1_u8),
            cost_cent: cells.fixed("cost", 2)?,
        })
    }

    /// When it belongs to: its start, else its end.
    #[must_use]
    pub fn at(&self) -> Option<NaiveDateTime> {
        self.started.or(self.ended)
    }

    /// What makes a later row of the same start count: closed out, then the later end.
    #[must_use]
    pub fn weight(&self) -> (bool, Option<NaiveDateTime>) {
        (self.closed_out || self.result == Outcome::Refused, self.ended)
    }
}

/// By its start. The time comes with the number, since a device that lost its memory counts anew.
impl Sorted for Entry {
    fn order(&self, other: &Self) -> Ordering {
        let key = |entry: &Self| (entry.rec, entry.started);
        self.machine.cmp(&other.machine).then_with(|| key(self).cmp(&key(other)))
    }
}

/// By the start that it belongs to.
impl Sorted for Happening {
    fn order(&self, other: &Self) -> Ordering {
        self.machine.cmp(&other.machine).then_with(|| self.rec.cmp(&other.rec))
    }
}

struct Cells(csv::StringRecord);

impl Cells {
    fn cell(&self, name: &str) -> &str {
        /// Where each column is: looked up once, not for every cell of a long book.
        static PLACES: LazyLock<HashMap<&str, usize>> =
            LazyLock::new(|| HEADER.trim_end().split(',').zip(0..).collect());
        PLACES.get(name).and_then(|place| self.0.get(*place)).unwrap_or_default()
    }

    /// A text as it was before it was defused.
    fn text(&self, name: &str) -> String {
        plain(self.cell(name)).map(visible).collect()
    }

    fn parsed<T>(&self, name: &'static str, parse: impl Fn(&str) -> Option<T>) -> Result<Option<T>, Unfit> {
        match self.cell(name) {
            "" => Ok(None),
            cell => parse(cell).map(Some).ok_or_else(|| (name, self.text(name))),
        }
    }

    fn number<T: std::str::FromStr>(&self, name: &'static str) -> Result<Option<T>, Unfit> {
        self.parsed(name, |cell| cell.parse().ok())
    }

    fn fixed(&self, name: &'static str, places: u32) -> Result<Option<i64>, Unfit> {
        self.parsed(name, |cell| fixed(cell, places))
    }

    fn time(&self, name: &'static str) -> Result<Option<NaiveDateTime>, Unfit> {
        self.parsed(name, time)
    }

    fn result(&self) -> Result<Outcome, Unfit> {
        let result = self.parsed("result", |cell| {
            Some(match cell {
                "good" => Outcome::Good,
                "usable" | "flawed" => Outcome::Flawed,
                "failed" => Outcome::Failed,
                "stopped" => Outcome::Stopped,
                REFUSED => Outcome::Refused,
                _ => return None,
            })
        })?;
        Ok(result.unwrap_or(Outcome::Open))
    }

    fn checks(&self) -> Result<Vec<u8>, Unfit> {
        let checks =
            self.parsed("findings", |cell| cell.split(';').map(|check| check.parse::<u8>().ok()).collect())?;
        Ok(checks.unwrap_or_default())
    }
}

/// A decimal as a whole number of 10^-`places`, exactly; nothing that is not one, or has more places.
fn fixed(text: &str, places: u32) -> Option<i64> {
    let (sign, digits) = match text.strip_prefix('-') {
        Some(digits) => (-1, digits),
        None => (1, text),
    };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let is_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let missing = places.checked_sub(u32::try_from(part.len()).ok()?)?;
    if whole.is_empty() || !is_digits(whole) || !is_digits(part) {
        return None;
    }
    let part = if part.is_empty() { 0 } else { part.parse::<i64>().ok()? };
    let whole = whole.parse::<i64>().ok()?.checked_mul(10_i64.checked_pow(places)?)?;
    whole.checked_add(part.checked_mul(10_i64.checked_pow(missing)?)?)?.checked_mul(sign)
}

/// A local time of ISO 8601, with or without its offset.
fn time(text: &str) -> Option<NaiveDateTime> {
    let with_offset = DateTime::parse_from_rfc3339(text).map(|time| time.naive_local());
    with_offset.or_else(|_| NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M:%S")).ok()
}

/// An event that the sums use.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Happening {
    /// Tag of the machine.
    pub machine: String,
    /// The start that it belongs to.
    pub rec: Option<u32>,
    /// What happened.
    pub event: String,
    /// The check that it is about.
    #[serde(default)]
    pub check: Option<u8>,
    /// Of `judged`: whether the point was right.
    #[serde(default)]
    pub right: Option<bool>,
    /// Of `lost`: what the device lost.
    #[serde(default)]
    pub what: Option<String>,
    /// Of a row that was lost: the job's name.
    #[serde(default)]
    pub job: Option<String>,
    /// The same: when it was started.
    #[serde(default)]
    pub started: Option<String>,
    /// The same: how many were lost before it that are named nowhere.
    #[serde(default)]
    pub more: u32,
    /// Local time.
    #[serde(default)]
    pub t: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_exact_or_none() {
        for (text, places, value) in [
            ("62.4", 3, Some(62_400)),
            ("62", 3, Some(62_000)),
            ("0.005", 3, Some(5)),
            ("-0.005", 3, Some(-5)),
            ("1.94", 2, Some(194)),
            ("1.945", 2, None),
            ("", 3, None),
            (".5", 3, None),
            ("1e3", 3, None),
            ("+1", 3, None),
            ("1.-5", 3, None),
            ("9223372036854775.807", 3, Some(i64::MAX)),
            ("9223372036854775.808", 3, None),
        ] {
            assert_eq!(fixed(text, places), value, "{text}");
        }
    }

    #[test]
    fn times_are_local_whatever_their_offset() {
        let local = time("2026-11-25T10:52:10").unwrap();
        assert_eq!(time("2026-11-25T10:52:10+01:00"), Some(local));
        assert_eq!(time("2026-11-25T10:52:10-11:00"), Some(local));
        assert_eq!(time("2026-11-25"), None);
    }
}
