//! An event of the day book: one JSON object a line.

use super::line::{BookLine, SUM_DIGITS};
use super::text::Into;
use crate::checks::{Finding, Value};
use crate::limits::{MATERIAL_BYTES, NAME_BYTES, TAG_BYTES};
use crate::records::OwnerCode;
use crate::time::WallClock;

/// What stands before the sum.
pub(super) const EVENT_SUM: &str = ",\"crc\":\"";
/// What stands after it, without the line end.
pub(super) const EVENT_END: &str = "\"}";
const END: &str = "\"}\n";

/// Bytes of a text in an event at most, its quotes left out.
const TEXT: usize = 40;
/// Bytes of a finding's word at most.
const WORD: usize = MATERIAL_BYTES + MATERIAL_BYTES / 4;
/// Bytes of a job's name at most.
const JOB: usize = NAME_BYTES + NAME_BYTES / 4;
/// Bytes of a tag at most.
const TAG: usize = TAG_BYTES + TAG_BYTES / 4;

/// Bytes of the longest event with its line end: a finding with four words, or two texts with two readings.
pub const EVENT_BYTES: usize = {
    let common = "{\"t\":\"\",\"machine\":\"\",\"rec\":,\"event\":\"\"".len() + 25 + TAG + 10 + 8;
    let finding = ",\"check\":,\"level\":\"\",\"values\":[]".len() + 3 + 4 + 4 * (WORD + 3);
    let told = ",\"question\":\"\",\"answer\":\"\"".len() + 2 * TEXT;
    let probe = ",\"phase\":\"\",\"probe\":\"\",\"min_c\":,\"max_c\":".len() + 2 * TEXT + 2 * 7;
    let longest = if finding > told { finding } else { told };
    let longest = if longest > probe { longest } else { probe };
    common + longest + EVENT_SUM.len() + SUM_DIGITS + END.len()
};

/// Something that happened, and where.
#[derive(Clone, Copy, Debug)]
pub struct Event<'a> {
    /// `t`: local time; `None` where the clock is not set.
    pub at: Option<WallClock>,
    /// Minutes east of UTC of all the event's times.
    pub utc_offset_min: Option<i16>,
    /// `machine`: its tag.
    pub machine: &'a str,
    /// `rec`: the start that it belongs to, as in the rows; `None` = to none.
    pub rec: Option<u32>,
    /// `event` and what follows it.
    pub what: What<'a>,
}

/// What happened. Each has a word in `event` and keys of its own.
#[derive(Clone, Copy, Debug)]
pub enum What<'a> {
    /// `finding`: `check`, `level`, and `values`, each a word, a number, or a number with its unit: found value and
    /// limit in the order of the check's wording.
    Finding(&'a Finding),
    /// `told`: `question` and `answer`, in the phases' own stable words. Told, not seen.
    Told {
        /// What was asked.
        question: &'a str,
        /// What was answered.
        answer: &'a str,
    },
    /// `probe`: `phase`, `probe`, `min_c`, `max_c`: a probe's extremes in one phase, `null` where it gave no reading.
    Probe {
        /// The phase that ended.
        phase: &'a str,
        /// Which probe.
        probe: &'a str,
        /// Least reading, tenths of a degree Celsius.
        least_dc: Option<i16>,
        /// Greatest.
        most_dc: Option<i16>,
    },
    /// `gate`: `open` (true or false), and `by` where a lead's key did it.
    Gate {
        /// Whether the gate is open now.
        open: bool,
        /// Whose key it was.
        by: Option<OwnerCode>,
    },
    /// `override`: `check`, `by`, `why`: a lead opened this point.
    Override {
        /// The check's number.
        check: u8,
        /// Whose key it was.
        by: Option<OwnerCode>,
        /// Why, in the phases' words.
        why: &'a str,
    },
    /// `judged`: `check`, `right`: somebody who looked said that the point holds here, or that it does not.
    Judged {
        /// The check's number.
        check: u8,
        /// Whether the point was right.
        right: bool,
    },
    /// `clock`: `before`: the clock was set, and showed this before; `t` is the new time.
    ClockSet {
        /// What it showed, if it was set at all.
        before: Option<WallClock>,
    },
    /// `lost`: `what`: the device's memory was damaged; this of it is gone, or an older one.
    Lost {
        /// What, in the ledger's word.
        what: &'a str,
    },
    /// `lost`: `what` (`row`), `job`, `started`, `more`: no card took the row of this start (`rec`), and it was given up;
    /// `more` others before it as well, which are named nowhere.
    RowLost {
        /// The job's name.
        job: &'a str,
        /// When it was started.
        started: Option<WallClock>,
        /// Rows given up besides it.
        more: u16,
    },
    /// `settings`: `what`, `before`, `after`: a record was taken over; fingerprints as in the rows' `settings_crc`.
    Settings {
        /// Which record, such as `ROOM`.
        what: &'a str,
        /// CRC-32 before, if there was one.
        before: Option<u32>,
        /// CRC-32 now.
        after: u32,
    },
}

impl Event<'_> {
    /// Writes the event with its sum and its line end.
    #[inline(never)]
    pub fn write<'b>(&self, buffer: &'b mut [u8; EVENT_BYTES]) -> &'b [u8] {
        let mut members = EventMembers { line: BookLine::new(buffer), utc_offset_min: self.utc_offset_min };
        members.line.plain("{\"t\":");
        members.time(self.at);
        members.key("machine");
        members.line.text(self.machine, TAG, Into::Json);
        members.key("rec");
        match self.rec {
            Some(rec) => members.line.decimal(rec.into(), 0),
            None => members.null(),
        }
        match self.what {
            What::Finding(finding) => {
                members.event("finding");
                members.check(finding.check);
                members.text("level", finding.level.word());
                members.values(&finding.values);
            }
            What::Told { question, answer } => {
                members.event("told");
                members.text("question", question);
                members.text("answer", answer);
            }
            What::Probe { phase, probe, least_dc, most_dc } => {
                members.event("probe");
                members.text("phase", phase);
                members.text("probe", probe);
                members.tenths("min_c", least_dc);
                members.tenths("max_c", most_dc);
            }
            What::Gate { open, by } => {
                members.event("gate");
                members.flag("open", open);
                members.owner(by);
            }
            What::Override { check, by, why } => {
                members.event("override");
                members.check(check);
                members.owner(by);
                members.text("why", why);
            }
            What::Judged { check, right } => {
                members.event("judged");
                members.check(check);
                members.flag("right", right);
            }
            What::ClockSet { before } => {
                members.event("clock");
                members.key("before");
                members.time(before);
            }
            What::Lost { what } => {
                members.event("lost");
                members.text("what", what);
            }
            What::RowLost { job, started, more } => {
                members.event("lost");
                members.text("what", "row");
                members.key("job");
                members.line.text(job, JOB, Into::Json);
                members.key("started");
                members.time(started);
                members.key("more");
                members.line.decimal(more.into(), 0);
            }
            What::Settings { what, before, after } => {
                members.event("settings");
                members.text("what", what);
                members.hex("before", before);
                members.hex("after", Some(after));
            }
        }
        members.line.plain(EVENT_SUM);
        members.line.end(END)
    }
}

/// Members of the object, a comma before each but the first.
struct EventMembers<'b> {
    line: BookLine<'b>,
    utc_offset_min: Option<i16>,
}

impl EventMembers<'_> {
    #[inline(never)]
    fn key(&mut self, key: &str) {
        self.line.plain(",\"");
        self.line.plain(key);
        self.line.plain("\":");
    }

    #[inline(never)]
    fn event(&mut self, word: &str) {
        self.text("event", word);
    }

    #[inline(never)]
    fn null(&mut self) {
        self.line.plain("null");
    }

    #[inline(never)]
    fn text(&mut self, key: &str, text: &str) {
        self.key(key);
        self.line.text(text, TEXT, Into::Json);
    }

    #[inline(never)]
    fn tenths(&mut self, key: &str, value: Option<i16>) {
        self.key(key);
        match value {
            Some(value) => self.line.decimal(value.into(), 1),
            None => self.null(),
        }
    }

    #[inline(never)]
    fn check(&mut self, check: u8) {
        self.key("check");
        self.line.decimal(check.into(), 0);
    }

    #[inline(never)]
    fn flag(&mut self, key: &str, flag: bool) {
        self.key(key);
        self.line.plain(if flag { "true" } else { "false" });
    }

    fn hex(&mut self, key: &str, value: Option<u32>) {
        self.key(key);
        let Some(value) = value else { return self.null() };
        self.line.put(b'"');
        self.line.hex(value);
        self.line.put(b'"');
    }

    fn owner(&mut self, by: Option<OwnerCode>) {
        match by {
            Some(by) => self.text("by", by.as_str()),
            None => {
                self.key("by");
                self.null();
            }
        }
    }

    #[inline(never)]
    fn time(&mut self, time: Option<WallClock>) {
        let Some(time) = time else { return self.null() };
        self.line.put(b'"');
        self.line.time(time, self.utc_offset_min);
        self.line.put(b'"');
    }

    fn values(&mut self, values: &[Value]) {
        self.key("values");
        let mut mark = b'[';
        for value in values {
            let (number, places, unit) = match value {
                Value::None => continue,
                Value::Temperature(value) => (value.0.into(), 0, "C"),
                Value::Length(value) => (value.0, 3, "mm"),
                Value::Mass(value) => (value.0, 3, "g"),
                Value::Span(value) => (value.0.into(), 0, "s"),
                Value::Percent(value) => ((*value).into(), 0, "%"),
                Value::Count(value) => ((*value).into(), 0, ""),
                Value::Speed(value) => ((*value).into(), 3, "mm/s"),
                Value::Flow(value) => ((*value).into(), 3, "mm3/s"),
                Value::Clock(time) => {
                    self.line.put(mark);
                    mark = b',';
                    self.time(Some(*time));
                    continue;
                }
                Value::Text(text) => {
                    self.line.put(mark);
                    mark = b',';
                    self.line.text(text, WORD, Into::Json);
                    continue;
                }
            };
            self.line.put(mark);
            mark = b',';
            if unit.is_empty() {
                self.line.decimal(number, 0);
                continue;
            }
            self.line.put(b'[');
            self.line.decimal(number, places);
            self.line.plain(",\"");
            self.line.plain(unit);
            self.line.plain("\"]");
        }
        if mark == b'[' {
            self.line.put(mark);
        }
        self.line.put(b']');
    }
}
