//! What many starts add up to.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, NaiveDate, NaiveDateTime};

use super::gather::Books;
use super::line::{Entry, Outcome};

/// Starts before a machine is held against the others: fewer are noise (job catalogue, section 5).
pub const ENOUGH_STARTS: u32 = 20;

/// A spool with less than this is soon empty, mg (job catalogue, section 5).
pub const LOW_SPOOL_MG: i64 = 150_000;

/// Reasons that are named of a month.
pub const TOP_REASONS: usize = 3;

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
}

impl Sums {
    /// Adds up. `today` says which month is the present one, and where the span ends, its last day.
    #[must_use]
    pub fn of(books: &Books, span: Span, today: NaiveDate) -> Self {
        let mut sums = Self::default();
        let month = span.to.unwrap_or(today);
        let month = (month.year(), month.month());
        sums.month = Some(month);
        let mut month_reasons: BTreeMap<&str, u32> = BTreeMap::new();
        let mut spools: BTreeMap<&str, &Entry> = BTreeMap::new();
        let mut counted = BTreeSet::new();
        for entry in &books.entries {
            // A balance is what it was last, whenever that was.
            let by_then = Span { from: None, to: span.to }.holds(entry.at());
            if by_then && !entry.spool_id.is_empty() && entry.left_mg.is_some() {
                let kept = spools.entry(&entry.spool_id).or_insert(entry);
                if entry.ended.or(entry.started) >= kept.ended.or(kept.started) {
                    *kept = entry;
                }
            }
            if !span.holds(entry.at()) {
                sums.undated += u32::from(entry.at().is_none());
                continue;
            }
            counted.insert((entry.machine.as_str(), entry.rec));
            sums.add(entry);
            let at = entry.at().map(|at| (at.year(), at.month()));
            if at == Some(month) && matches!(entry.result, Outcome::Failed | Outcome::Stopped) {
                *month_reasons.entry(reason_of(entry)).or_default() += 1;
            }
        }
        sums.take_happenings(books, &counted);
        let mut top: Vec<_> =
            month_reasons.into_iter().map(|(reason, count)| (reason.to_owned(), count)).collect();
        // By count; ties keep the order of their names.
        top.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        top.truncate(TOP_REASONS);
        sums.month_reasons = top;
        sums.low_spools = low_spools(spools.into_values());
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

    /// A start's point is opened or judged once, however often that was written; the last judgement counts.
    fn take_happenings(&mut self, books: &Books, counted: &BTreeSet<(&str, u32)>) {
        let mut opened = BTreeSet::new();
        let mut judged = BTreeMap::new();
        for happening in &books.happenings {
            let (Some(rec), Some(check)) = (happening.rec, happening.check) else { continue };
            let start = (happening.machine.as_str(), rec);
            match (happening.event.as_str(), happening.right) {
                _ if !counted.contains(&start) => {}
                ("override", _) => {
                    opened.insert((start, check));
                }
                ("judged", Some(right)) => {
                    judged.insert((start, check), right);
                }
                _ => {}
            }
        }
        for (_, check) in opened {
            self.points.entry(check).or_default().overridden += 1;
        }
        for ((_, check), right) in judged {
            let point = self.points.entry(check).or_default();
            *(if right { &mut point.right } else { &mut point.wrong }) += 1;
        }
    }
}

fn reason_of(entry: &Entry) -> &str {
    if entry.reason.is_empty() { "not told" } else { &entry.reason }
}

fn low_spools<'e>(last: impl Iterator<Item = &'e Entry>) -> Vec<Spool> {
    let mut low: Vec<Spool> = last
        .filter_map(|entry| {
            let left_mg = entry.left_mg.filter(|left| *left < LOW_SPOOL_MG)?;
            Some(Spool {
                id: entry.spool_id.clone(),
                grade: entry.grade.clone(),
                left_mg,
                left_err_mg: entry.left_err_mg,
                at: entry.ended.or(entry.started),
            })
        })
        .collect();
    low.sort_by_key(|spool| spool.left_mg);
    low
}
