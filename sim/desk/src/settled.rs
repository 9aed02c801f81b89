//! `HOLDPT/SETTLED.JSL`: what a lead has settled, one JSON object a line, each one the last word on its check and its
//! machine or spool. Lines are only ever appended, so that who settled what, and who undid it, stays to be read.

use std::path::Path;

use anyhow::{Result, anyhow, bail};
use chrono::NaiveDate;
use holdpoint_shared::checks::{NotSettled, Scope, Settlement, Settlements};
use holdpoint_shared::limits::{BLOCK_BYTES, SETTLEMENTS};
use holdpoint_shared::media::{JobFiles, MediaError, MediaFault};
use serde::{Deserialize, Serialize};

use crate::shown::Shown;

/// The file in the folder `HOLDPT`.
pub const FILE: &str = "SETTLED.JSL";

/// A longer file is refused: some five hundred lines (judgement).
const MOST_BYTES: usize = 64 * 1024;

/// For what a line holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum For {
    /// The machine of this tag.
    Machine,
    /// The spool of this number.
    Spool,
}

impl For {
    /// The core's word for it.
    #[must_use]
    pub const fn scope(self) -> Scope {
        match self {
            Self::Machine => Scope::Machine,
            Self::Spool => Scope::Spool,
        }
    }

    /// In a word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Machine => "machine",
            Self::Spool => "spool",
        }
    }
}

impl From<Scope> for For {
    fn from(scope: Scope) -> Self {
        match scope {
            Scope::Machine => Self::Machine,
            Scope::Spool => Self::Spool,
        }
    }
}

/// A line of the file. Keys that are not known are skipped, so an older program reads a newer file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// The check's number.
    pub check: u8,
    /// For what.
    #[serde(rename = "for")]
    pub scope: For,
    /// The machine's tag or the spool's number.
    pub of: String,
    /// The day on which it was said.
    pub day: NaiveDate,
    /// Whether this undoes the settlement.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub undone: bool,
    /// The lead's code, never a name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// Why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The file as read.
#[derive(Clone, Debug, Default)]
pub struct SettledFile {
    /// Every line, in order.
    pub entries: Vec<Entry>,
    /// What stands after all of them.
    pub settled: Settlements,
    /// Lines that do not count: cut short, or edited wrongly. Each with its number and what is wrong.
    pub left_out: Vec<String>,
}

impl SettledFile {
    /// Reads the file of the card at `card`; none there = nothing is settled.
    ///
    /// # Errors
    /// When it cannot be read. A line that is malformed costs itself alone: [`SettledFile::left_out`] names it.
    pub fn load(files: &mut impl JobFiles, card: &Path) -> Result<Self> {
        let place = || format!("{}, {FILE}", card.shown());
        let bytes = match read(files) {
            Ok(bytes) => bytes,
            Err(MediaError { fault: MediaFault::NotFound, .. }) => return Ok(Self::default()),
            Err(error) => bail!("{}: {error}; try another card", place()),
        };
        if bytes.len() > MOST_BYTES {
            bail!("{}: more than {MOST_BYTES} bytes; keep its last lines only", place());
        }
        let mut file = Self::parse(&bytes);
        for what in &mut file.left_out {
            *what = format!("{}, {what}", place());
        }
        Ok(file)
    }

    fn parse(bytes: &[u8]) -> Self {
        let mut file = Self::default();
        for (number, line) in (1..).zip(bytes.split(|byte| *byte == b'\n')) {
            if line.trim_ascii().is_empty() {
                continue;
            }
            let taken = serde_json::from_slice::<Entry>(line)
                .map_err(|error| {
                    anyhow!(
                        "column {}: {error}; it does not count; correct or delete that line",
                        error.column()
                    )
                })
                .and_then(|mut entry| {
                    // As the core reads the tag of a record.
                    entry.of = entry.of.shown().to_string();
                    for text in [&mut entry.by, &mut entry.why].into_iter().flatten() {
                        *text = text.shown().to_string();
                    }
                    file.take(entry)
                });
            if let Err(error) = taken {
                file.left_out.push(format!("line {number}: {error:#}"));
            }
        }
        file
    }

    /// Takes one entry over.
    ///
    /// # Errors
    /// When it settles what cannot be settled.
    pub fn take(&mut self, entry: Entry) -> Result<()> {
        let scope = entry.scope.scope();
        if entry.undone {
            self.settled.undo(entry.check, scope, &entry.of);
        } else {
            let of = heapless::String::try_from(&*entry.of)
                .map_err(|_| anyhow!("\"of\" is longer than any tag; it has 16 bytes at most"))?;
            let settlement = Settlement { check: entry.check, scope, of, day: Some(entry.day) };
            self.settled.settle(settlement).map_err(|refused| refusal(entry.check, refused))?;
        }
        self.entries.push(entry);
        Ok(())
    }

    /// The entry that settled this.
    #[must_use]
    pub fn entry(&self, settlement: &Settlement) -> Option<&Entry> {
        self.entries.iter().rev().find(|entry| {
            (entry.check, entry.scope.scope(), entry.of.as_str(), entry.undone)
                == (settlement.check, settlement.scope, &*settlement.of, false)
        })
    }
}

/// Why a check cannot be settled, and what to do instead.
fn refusal(check: u8, refused: NotSettled) -> anyhow::Error {
    match refused {
        NotSettled::NoSuchCheck => anyhow!("no check has number {check}; `holdpoint checks` lists them"),
        NotSettled::NeverSilenced => anyhow!(
            "check {check} is never silenced: only changing what it names, or the record that it compares with, helps"
        ),
        NotSettled::HoldOnly => anyhow!(
            "check {check} gives nothing but HOLD, which cannot be settled; correct the job or the record"
        ),
        NotSettled::NoTag => anyhow!("the machine or spool has no tag to settle it for"),
        NotSettled::Full => {
            anyhow!("{SETTLEMENTS} checks are settled already; undo one first (`holdpoint settle --list`)")
        }
    }
}

/// The file's bytes, some more than it may have at most.
fn read(files: &mut impl JobFiles) -> Result<Vec<u8>, MediaError> {
    files.open_record(FILE)?;
    let mut bytes = Vec::new();
    let mut buffer = [0; BLOCK_BYTES];
    while bytes.len() <= MOST_BYTES {
        match nb::block!(files.poll_read(&mut buffer))? {
            0 => break,
            read => bytes.extend_from_slice(&buffer[..read]),
        }
    }
    Ok(bytes)
}

/// Appends an entry to the card's file.
///
/// # Errors
/// The card's fault.
pub fn append(files: &mut impl JobFiles, entry: &Entry) -> Result<(), MediaError> {
    // An entry of plain texts and numbers always has a JSON form.
    let mut line = serde_json::to_vec(entry).unwrap_or_default();
    line.push(b'\n');
    files.append_record(FILE, b"", &line)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LINE: &str = r#"{"check":58,"for":"spool","of":"S17","day":"2026-11-25","by":"K7","later":1}"#;

    #[test]
    fn the_last_word_counts() {
        let undone = LINE.replace("25\"", "26\",\"undone\":true");
        let file = SettledFile::parse(format!("{LINE}\r\n\n{undone}\n").as_bytes());
        assert_eq!((file.entries.len(), file.settled.iter().count()), (2, 0));
        let file = SettledFile::parse(format!("{undone}\n{LINE}").as_bytes());
        let held = file.settled.find(58, "M2", "S17").unwrap();
        assert_eq!(file.entry(held).and_then(|entry| entry.by.as_deref()), Some("K7"));
    }

    #[test]
    fn a_malformed_line_is_placed_and_costs_itself_alone() {
        let said = |text: &str| SettledFile::parse(text.as_bytes()).left_out.join("; ");
        let torn = format!("{LINE}\n{{\"check\":58\r\n{}", LINE.replace("58", "63"));
        assert!(said(&torn).starts_with("line 2: column 12"), "{}", said(&torn));
        let file = SettledFile::parse(torn.as_bytes());
        assert_eq!((file.entries.len(), file.settled.iter().count(), file.left_out.len()), (2, 2, 1));
        assert!(said(&LINE.replace("58", "54")).starts_with("line 1: check 54 is never silenced"));
        assert!(said(&LINE.replace("58", "82")).contains("nothing but HOLD"));
        assert!(said(&LINE.replace("S17", "S1234567890123456")).contains("16 bytes"));
        assert!(said(&LINE.replace("spool", "room")).contains("column"));
    }
}
