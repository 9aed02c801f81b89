//! What many starts add up to.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

use anyhow::Result;
use chrono::{Datelike, NaiveDate, NaiveDateTime};

use super::gather::Books;
use super::line::{Entry, Happening, Outcome};
use super::sorter::{Merged, Sorted};

/// Starts before a machine is held against the others: fewer are noise (job catalogue, section 5).
pub const ENOUGH_STARTS: u32 = 20;

/// A spool with less than this is soon empty, mg (job catalogue, section 5).
pub const LOW_SPOOL_MG: i64 = 150_000;

/// Reasons that are named of a month.
pub const TOP_REASONS: usize = 3;

/// Numbers that are named when a machine gave them to several starts; of the others the number is said (judgement).
const CLASHES: usize = 100;

/// Which starts count.
#[derive(Clone, Copy, Debug, Default)]
pub struct Span {
    /// First day.
    pub from: Option<NaiveDate>,
    /// Last day.
    pub to: Option<NaiveDate>,
}

impl Span {
    /// Whether a start at this time counts. Without a time it counts only where no day was asked for.
    #[must_use]
    pub fn holds(self, at: Option<NaiveDateTime>) -> bool {
        let Some(day) = at.map(|at| at.date()) else { return self.from.is_none() && self.to.is_none() };
        self.from.is_none_or(|from| from <= day) && self.to.is_none_or(|to| day <= to)
    }
}

/// Starts by how they ended.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Results {
    /// Starts; refusals are none.
    pub starts: u32,
    /// As wanted.
    pub good: u32,
    /// Usable, with flaws.
    pub flawed: u32,
    /// Failed.
    pub failed: u32,
    /// Stopped by a person for no fault of the print.
    pub stopped: u32,
    /// Not closed out.
    pub open: u32,
    /// Never started.
    pub refused: u32,
}

impl Results {
    fn add(&mut self, result: Outcome) {
        let count = match result {
            Outcome::Refused => {
                self.refused += 1;
                return;
            }
            Outcome::Good => &mut self.good,
            Outcome::Flawed => &mut self.flawed,
            Outcome::Failed => &mut self.failed,
            Outcome::Stopped => &mut self.stopped,
            Outcome::Open => &mut self.open,
        };
        *count += 1;
        self.starts += 1;
    }
}

/// Sums of one grade, or of all.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Use {
    /// How they ended.
    pub results: Results,
    /// Filament used, mg.
    pub used_mg: i64,
    /// Filament wasted, mg.
    pub wasted_mg: i64,
    /// Hundredths of the currency.
    pub cost_cent: i64,
    /// Points that a lead opened.
    pub overrides: u32,
}

impl Use {
    fn add(&mut self, entry: &Entry) {
        self.results.add(entry.result);
        let more = |sum: &mut i64, part: Option<i64>| *sum = sum.saturating_add(part.unwrap_or_default());
        more(&mut self.used_mg, entry.booked_mg);
        more(&mut self.wasted_mg, entry.wasted_mg);
        more(&mut self.cost_cent, entry.cost_cent);
        self.overrides = self.overrides.saturating_add(entry.overrides.into());
    }
}

/// Sums of one machine.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Machine {
    /// How its starts ended.
    pub results: Results,
    /// Time from start to end, all starts, s.
    pub ran_s: u64,
    /// Of jobs that came to their end: time as surveyed, s.
    pub estimated_s: u64,
    /// And as it was, s.
    pub actual_s: u64,
}

impl Machine {
    fn add(&mut self, entry: &Entry) {
        self.results.add(entry.result);
        if entry.result == Outcome::Refused {
            return;
        }
        self.ran_s += u64::from(entry.actual_s.unwrap_or_default());
        if let (Outcome::Good | Outcome::Flawed, Some(estimated), Some(actual)) =
            (entry.result, entry.estimated_s, entry.actual_s)
        {
            self.estimated_s += u64::from(estimated);
            self.actual_s += u64::from(actual);
        }
    }

    /// Failures in a hundred starts, in tenths, rounded to the nearest; `None` without a start.
    #[must_use]
    pub fn failures_per_1000(&self) -> Option<u64> {
        rounded(u64::from(self.results.failed) * 1_000, u64::from(self.results.starts))
    }

    /// Mean time between failures: time run by failures, s; `None` without a failure.
    #[must_use]
    pub fn between_failures_s(&self) -> Option<u64> {
        rounded(self.ran_s, u64::from(self.results.failed))
    }

    /// How long jobs take, in thousandths of what was surveyed, warm-up included; `None` where none was.
    #[must_use]
    pub fn time_permille(&self) -> Option<u64> {
        rounded(self.actual_s * 1_000, self.estimated_s)
    }
}

fn rounded(share: u64, whole: u64) -> Option<u64> {
    (share + whole / 2).checked_div(whole)
}

/// What became of the points of one check.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Point {
    /// Starts and refusals in which it fired.
    pub fired: u32,
    /// In which a lead opened it.
    pub overridden: u32,
    /// In which it was refused.
    pub refused: u32,
    /// Of the starts: failed.
    pub failed: u32,
    /// Somebody who looked said that it held.
    pub right: u32,
    /// That it did not: a false alarm.
    pub wrong: u32,
}

/// A spool's last balance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spool {
    /// Its number.
    pub id: String,
    /// Material.
    pub grade: String,
    /// Left, mg.
    pub left_mg: i64,
    /// Give or take, mg.
    pub left_err_mg: Option<i64>,
    /// When that was written.
    pub at: Option<NaiveDateTime>,
}

/// Everything that is added up.
#[derive(Clone, Debug, Default)]
pub struct Sums {
    /// All starts.
    pub total: Use,
    /// By material.
    pub grades: BTreeMap<String, Use>,
    /// Failed and stopped starts by reason.
    pub reasons: BTreeMap<String, u32>,
    /// By machine.
    pub machines: BTreeMap<String, Machine>,
    /// By check.
    pub points: BTreeMap<u8, Point>,
    /// Spools below [`LOW_SPOOL_MG`], the emptiest first.
    pub low_spools: Vec<Spool>,
    /// The month of the next.
    pub month: Option<(i32, u32)>,
    /// Its commonest reasons, the commonest first.
    pub month_reasons: Vec<(String, u32)>,
    /// Machines that fail more than twice as often as the room's mean, with [`ENOUGH_STARTS`].
    pub failing: Vec<String>,
    /// Starts left out because they have no time and a day was asked for.
    pub undated: u32,
    /// Starts that stand in more than one book, or twice in one.
    pub repeats: usize,
    /// Numbers that one machine gave to several starts, the first of them.
    pub clashes: Vec<(String, u32)>,
    /// How many more of these there are.
    pub more_clashes: usize,
    /// The first and the last day of all starts.
    pub days: Option<(NaiveDate, NaiveDate)>,
}

/// What is kept while the starts go by, one after the other.
struct Adding {
    sums: Sums,
    span: Span,
    month_reasons: BTreeMap<String, u32>,
    spools: BTreeMap<String, Spool>,
    happenings: Merged<Happening>,
    /// The event that was read last and belongs to a later start.
    ahead: Option<Happening>,
}

/// The rows of one machine with one number.
struct Number {
    machine: String,
    rec: u32,
    /// Starts of it so far: one, unless the machine lost its memory.
    starts: usize,
    /// Whether one of them counts.
    counted: bool,
}

impl Sums {
    /// Adds up. `today` says which month is the present one, and where the span ends, its last day.
    ///
    /// # Errors
    /// When the temporary file with the rows cannot be read.
    pub fn of(books: Books, span: Span, today: NaiveDate) -> Result<Self> {
        let month = span.to.unwrap_or(today);
        let mut adding = Adding {
            sums: Self { month: Some((month.year(), month.month())), ..Self::default() },
            span,
            month_reasons: BTreeMap::new(),
            spools: BTreeMap::new(),
            happenings: books.happenings.merge()?,
            ahead: None,
        };
        let mut entries = books.entries.merge()?;
        let mut kept: Option<(Entry, bool)> = None;
        let mut number: Option<Number> = None;
        loop {
            let next = entries.take()?;
            match (&mut kept, next) {
                (Some(kept), Some(next)) if kept.0.order(&next).is_eq() => keep(kept, next),
                (_, next) => {
                    let done = std::mem::replace(&mut kept, next.map(|next| (next, false)));
                    if let Some((entry, again)) = done {
                        adding.sums.repeats += usize::from(again);
                        adding.start(&entry, &mut number)?;
                    }
                    if kept.is_none() {
                        break;
                    }
                }
            }
        }
        adding.close(number)?;
        Ok(adding.finish())
    }

    fn add(&mut self, entry: &Entry) {
        self.total.add(entry);
        self.grades.entry(entry.grade.clone()).or_default().add(entry);
        self.machines.entry(entry.machine.clone()).or_default().add(entry);
        if matches!(entry.result, Outcome::Failed | Outcome::Stopped) {
            *self.reasons.entry(reason_of(entry).to_owned()).or_default() += 1;
        }
        for check in entry.findings.iter().collect::<BTreeSet<_>>() {
            let point = self.points.entry(*check).or_default();
            point.fired += 1;
            point.refused += u32::from(entry.result == Outcome::Refused);
            point.failed += u32::from(entry.result == Outcome::Failed);
        }
    }
}

/// Takes the next row of the same start.
fn keep(kept: &mut (Entry, bool), next: Entry) {
    match next.weight().cmp(&kept.0.weight()) {
        Ordering::Less => {}
        // The last row of a start takes the place of its first.
        Ordering::Greater => *kept = (next, false),
        // Of two that weigh the same the later written counts: a lead may put a row right by a further one.
        Ordering::Equal => *kept = (next, true),
    }
}

impl Adding {
    /// Takes the row of a start that counts. `number` is the one that the start before had.
    fn start(&mut self, entry: &Entry, number: &mut Option<Number>) -> Result<()> {
        let same = number
            .as_ref()
            .is_some_and(|number| (&number.machine, number.rec) == (&entry.machine, entry.rec));
        if !same {
            self.close(number.take())?;
        }
        let number = number.get_or_insert_with(|| Number {
            machine: entry.machine.clone(),
            rec: entry.rec,
            starts: 0,
            counted: false,
        });
        number.starts += 1;
        if number.starts == 2 {
            if self.sums.clashes.len() < CLASHES {
                self.sums.clashes.push((entry.machine.clone(), entry.rec));
            } else {
                self.sums.more_clashes += 1;
            }
        }
        number.counted |= self.add(entry);
        Ok(())
    }

    /// Adds a start; whether it is within the span.
    fn add(&mut self, entry: &Entry) -> bool {
        let day = entry.at().map(|at| at.date());
        if let Some(day) = day {
            let (first, last) = self.sums.days.unwrap_or((day, day));
            self.sums.days = Some((first.min(day), last.max(day)));
        }
        // A balance is what it was last, whenever that was.
        let by_then = Span { from: None, to: self.span.to }.holds(entry.at());
        if let (true, false, Some(left_mg)) = (by_then, entry.spool_id.is_empty(), entry.left_mg) {
            let spool = Spool {
                id: entry.spool_id.clone(),
                grade: entry.grade.clone(),
                left_mg,
                left_err_mg: entry.left_err_mg,
                at: entry.ended.or(entry.started),
            };
            if self.spools.get(&entry.spool_id).is_none_or(|kept| spool.at >= kept.at) {
                self.spools.insert(entry.spool_id.clone(), spool);
            }
        }
        if !self.span.holds(entry.at()) {
            self.sums.undated += u32::from(entry.at().is_none());
            return false;
        }
        self.sums.add(entry);
        let month = day.map(|day| (day.year(), day.month()));
        if month == self.sums.month && matches!(entry.result, Outcome::Failed | Outcome::Stopped) {
            *self.month_reasons.entry(reason_of(entry).to_owned()).or_default() += 1;
        }
        true
    }

    /// Takes the events of a number whose starts have all gone by. A start's point is opened or judged once, however often
    /// that was written; the last judgement counts.
    fn close(&mut self, number: Option<Number>) -> Result<()> {
        let Some(number) = number else { return Ok(()) };
        let mut opened = BTreeSet::new();
        let mut judged = BTreeMap::new();
        loop {
            let next = match self.ahead.take() {
                Some(next) => Some(next),
                None => self.happenings.take()?,
            };
            let Some(next) = next else { break };
            match (&next.machine, next.rec).cmp(&(&number.machine, Some(number.rec))) {
                Ordering::Less => continue,
                Ordering::Greater => {
                    self.ahead = Some(next);
                    break;
                }
                Ordering::Equal => {}
            }
            match (next.event.as_str(), next.check, next.right) {
                _ if !number.counted => {}
                ("override", Some(check), _) => {
                    opened.insert(check);
                }
                ("judged", Some(check), Some(right)) => {
                    judged.insert(check, right);
                }
                _ => {}
            }
        }
        for check in opened {
            self.sums.points.entry(check).or_default().overridden += 1;
        }
        for (check, right) in judged {
            let point = self.sums.points.entry(check).or_default();
            *(if right { &mut point.right } else { &mut point.wrong }) += 1;
        }
        Ok(())
    }

    fn finish(self) -> Sums {
        let Self { mut sums, month_reasons, spools, .. } = self;
        let mut top: Vec<_> = month_reasons.into_iter().collect();
        // By count; ties keep the order of their names.
        top.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        top.truncate(TOP_REASONS);
        sums.month_reasons = top;
        sums.low_spools = spools.into_values().filter(|spool| spool.left_mg < LOW_SPOOL_MG).collect();
        sums.low_spools.sort_by_key(|spool| spool.left_mg);
        let room = sums.total.results;
        let fails_often = |machine: &Machine| {
            let (failed, starts) = (machine.results.failed, machine.results.starts);
            // failed / starts > 2 · room's failed / room's starts, without dividing.
            starts >= ENOUGH_STARTS
                && u64::from(failed) * u64::from(room.starts) > 2 * u64::from(room.failed) * u64::from(starts)
        };
        let failing = sums.machines.iter().filter(|(_, machine)| fails_often(machine));
        sums.failing = failing.map(|(tag, _)| tag.clone()).collect();
        sums
    }
}

fn reason_of(entry: &Entry) -> &str {
    if entry.reason.is_empty() { "not told" } else { &entry.reason }
}
