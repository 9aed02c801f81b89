//! The day book: what a room's lead wants to know of every start, and of what happened around it, as lines of text.
//!
//! Two files on the card, [`ROWS_FILE`] and [`EVENTS_FILE`], both append only and open to any program:
//!
//! - **Rows** are CSV after RFC 4180 with [`HEADER`]: a row at each start, close-out and refusal. Rows with one machine
//!   and one record number are the same start; the one that is closed out counts.
//! - **Events** are one JSON object (RFC 8259) a line: findings with their values, told answers, probe extremes, the
//!   gate, overrides, the clock, settings.
//!
//! Every line ends with the CRC-32 (ISO-HDLC, as in the job header) of all its bytes before the sum's own eight
//! digits, so that a line that was cut by a loss of power or changed by hand is told apart from a whole one:
//! [`row_state`], [`event_state`]. Times are the room's wall clock in ISO 8601, with the offset from UTC where the
//! room rules state it. No names of persons: owner codes of two to four letters or digits.
//!
//! # Spreadsheets
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@` for a formula, also with their full-width forms and
//! after blanks or quotes that it takes off, and a job's name may be anything. In a text, such a sign (and `'` itself) gets
//! an apostrophe before it where it stands first or after a semicolon, at which some spreadsheets part cells. A reader takes
//! the apostrophes off again at the same places ([`plain`] says how). Characters that are never shown
//! ([`crate::visible`]) become `?`: a row is one line for every reader.
//!
//! # To the next person here
//! A row is kept by whoever runs the job and filled as it goes; the same value is written at the start and, with its
//! end, at the close-out:
//!
//! ```
//! use holdpoint_shared::daybook::{HEADER, LineState, OwnerCode, ROW_BYTES, Row, row_state};
//! use holdpoint_shared::units::Milligrams;
//!
//! let mut row = Row { rec: 412, estimated: Some(Milligrams(62_000)), ..Row::default() };
//! row.set_machine("M2");
//! row.set_job("BRACKET_V3", Some(4_183_221), Some(0x9F3A_11C0));
//! row.owner = OwnerCode::new("K7");
//! let mut buffer = [0; ROW_BYTES];
//! let line = row.write(&mut buffer);
//! assert!(line.starts_with(b"412,M2,,,,,,,K7,BRACKET_V3,9F3A11C0,4183221,"));
//! assert_eq!(row_state(line), LineState::Whole);
//! assert_eq!(HEADER.trim_end().split(',').count(), 38);
//! ```

#![cfg_attr(not(test), deny(clippy::arithmetic_side_effects, clippy::cast_possible_truncation))]

mod event;
mod line;
mod read;
mod row;
mod text;

pub use crate::records::OwnerCode;
pub use event::{EVENT_BYTES, Event, What};
pub use read::{LineState, defused, event_state, plain, row_state};
pub(crate) use row::wall;
pub use row::{COLUMNS, HEADER, REFUSED, ROW_BYTES, Row};

/// The rows' file in the card's own folder: an 8.3 name, so that any writer can make it.
pub const ROWS_FILE: &str = "DAYBOOK.CSV";

/// The events' file in the card's own folder.
pub const EVENTS_FILE: &str = "EVENTS.JSL";
