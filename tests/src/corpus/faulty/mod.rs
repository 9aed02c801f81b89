//! Faulty jobs: each a sound one with one fault planted, and the points that it must raise.

mod bytes;
pub mod crowd;
mod damage;
mod feed;
mod heat;
pub(super) mod limits;
mod lines;
mod machine;
mod material;
pub(super) mod named;
mod notes;
mod outside;
mod records;
pub mod relief;
pub(super) mod room;
mod words;

use holdpoint_shared::checks::{Finding, Level, Value};
use holdpoint_shared::time::WallClock;
use holdpoint_shared::units::{Celsius, Micrometres, Milligrams, Seconds};

use super::Job;
use super::plan::{Note, Plan};

/// A point that a planted fault must raise.
#[derive(Clone, Debug)]
pub struct Expected {
    pub check: u8,
    pub wording: u8,
    pub level: Level,
    /// Its numbers, by their place in the wording; the others are not stated here.
    pub values: Vec<(usize, Value)>,
}

/// A job with its fault.
#[derive(Clone, Debug)]
pub struct Fault {
    pub job: Job,
    /// The point of the fault; where it cannot but raise a second one, that too.
    pub raises: Vec<Expected>,
    /// Why there is a second one; empty where there is none.
    pub why: &'static str,
}

impl Expected {
    /// Whether this is the point.
    #[must_use]
    pub fn is(&self, finding: &Finding) -> bool {
        (self.check, self.wording, self.level) == (finding.check, finding.wording, finding.level)
            && self.values.iter().all(|(place, value)| finding.values.get(*place) == Some(value))
    }

    /// With its first numbers, in the wording's order.
    fn values(mut self, values: impl IntoIterator<Item = Value>) -> Self {
        self.values = values.into_iter().enumerate().collect();
        self
    }

    /// With the number at one place.
    fn value(mut self, place: usize, value: Value) -> Self {
        self.values.push((place, value));
        self
    }
}

fn hold(check: u8, wording: u8) -> Expected {
    Expected { check, wording, level: Level::Hold, values: Vec::new() }
}

fn look(check: u8, wording: u8) -> Expected {
    Expected { check, wording, level: Level::Look, values: Vec::new() }
}

/// A fault whose only sign is a NOTE.
fn note(check: u8, wording: u8) -> Expected {
    Expected { check, wording, level: Level::Note, values: Vec::new() }
}

fn c(celsius: i16) -> Value {
    Value::Temperature(Celsius(celsius))
}

fn um(um: i64) -> Value {
    Value::Length(Micrometres(um))
}

fn mm_s(mm_s: u32) -> Value {
    Value::Speed(mm_s * 1000)
}

fn grams(g: i64) -> Value {
    Value::Mass(Milligrams(g * 1000))
}

fn hours(hours: u32) -> Value {
    Value::Span(Seconds(hours * 3600))
}

fn text(text: &str) -> Value {
    Value::text(text)
}

fn clock(at: WallClock) -> Value {
    Value::Clock(at)
}

fn fault(job: Job, raises: Expected) -> Fault {
    Fault { job, raises: vec![raises], why: "" }
}

fn both(job: Job, raises: [Expected; 2], why: &'static str) -> Fault {
    Fault { job, raises: raises.to_vec(), why }
}

/// A PLA job on the bench that names material and bore in comments, so that its text may be changed freely.
pub(super) fn plain(what: &str, change: impl FnOnce(&mut Plan)) -> Job {
    super::sound::job(what, &super::cases::PLA, super::rooms::bench(), |plan| {
        plan.note = Note::Head;
        change(plan);
    })
}

/// The line of the text that begins with these words.
fn line_of(job: &Job, words: &str) -> Value {
    let at = job.text().lines().position(|line| line.starts_with(words)).expect("the line stands there");
    Value::Count(at as u32 + 1)
}

/// All of them.
#[must_use]
pub fn jobs() -> Vec<Fault> {
    let mut jobs = bytes::jobs();
    jobs.extend(machine::jobs());
    jobs.extend(heat::jobs());
    jobs.extend(lines::jobs());
    jobs.extend(material::jobs());
    jobs.extend(room::jobs());
    jobs.extend(notes::jobs());
    jobs.extend(words::jobs());
    jobs.extend(feed::jobs());
    jobs.extend(records::jobs());
    jobs.extend(damage::jobs());
    jobs.extend(outside::jobs());
    jobs.extend(named::jobs());
    jobs.extend(limits::jobs());
    jobs
}
