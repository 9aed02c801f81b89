//! The sums as tables, the same for every form of output.

use holdpoint_shared::checks::CATALOGUE;

use super::sums::{Machine, Point, Results, Sums, Use};

/// A number with the unit in its name; `None` = there is none.
pub type Measure = (&'static str, Option<i64>);

/// One report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Its key in JSON, its first column in CSV.
    pub name: &'static str,
    /// Its heading on a terminal.
    pub heading: String,
    /// What a row is of.
    pub of: &'static str,
    /// Rows: what each is of, a remark for people, its measures.
    pub rows: Vec<Row>,
}

/// A row of a report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Which grade, machine and so on.
    pub name: String,
    /// What people want beside it.
    pub remark: String,
    /// Its numbers.
    pub measures: Vec<Measure>,
}

fn wide(count: impl TryInto<i64>) -> Option<i64> {
    Some(count.try_into().unwrap_or(i64::MAX))
}

fn results(results: &Results) -> Vec<Measure> {
    vec![
        ("starts", wide(results.starts)),
        ("good", wide(results.good)),
        ("flawed", wide(results.flawed)),
        ("failed", wide(results.failed)),
        ("stopped", wide(results.stopped)),
        ("open", wide(results.open)),
        ("refused", wide(results.refused)),
    ]
}

fn used(used: &Use) -> Vec<Measure> {
    let mut measures = results(&used.results);
    measures.extend([
        ("used_mg", Some(used.used_mg)),
        ("wasted_mg", Some(used.wasted_mg)),
        ("cost_cent", Some(used.cost_cent)),
        ("overrides", wide(used.overrides)),
    ]);
    measures
}

fn machine(machine: &Machine) -> Vec<Measure> {
    let mut measures = results(&machine.results);
    measures.extend([
        ("ran_s", wide(machine.ran_s)),
        ("failed_per_1000", machine.failures_per_1000().and_then(wide)),
        ("between_failures_s", machine.between_failures_s().and_then(wide)),
        ("time_permille", machine.time_permille().and_then(wide)),
    ]);
    measures
}

fn point(point: &Point) -> Vec<Measure> {
    vec![
        ("fired", wide(point.fired)),
        ("overridden", wide(point.overridden)),
        ("refused", wide(point.refused)),
        ("failed", wide(point.failed)),
        ("right", wide(point.right)),
        ("wrong", wide(point.wrong)),
    ]
}

fn row(name: &str, measures: Vec<Measure>) -> Row {
    Row { name: name.to_owned(), remark: String::new(), measures }
}

/// All reports, in the order in which they are shown.
#[must_use]
pub fn tables(sums: &Sums) -> Vec<Table> {
    let table = |name, heading: &str, of, rows| Table { name, heading: heading.to_owned(), of, rows };
    let (year, month) = sums.month.unwrap_or_default();
    let check = |(number, of): (&u8, &Point)| Row {
        name: number.to_string(),
        remark: CATALOGUE.iter().find(|row| row.number == *number).map_or("", |row| row.id).to_owned(),
        measures: point(of),
    };
    let spools = sums.low_spools.iter().map(|spool| Row {
        name: spool.id.clone(),
        remark: spool.grade.clone(),
        measures: vec![("left_mg", Some(spool.left_mg)), ("left_err_mg", spool.left_err_mg)],
    });
    let failing = sums.failing.iter().filter_map(|tag| {
        let of = sums.machines.get(tag)?;
        Some(row(tag, vec![("starts", wide(of.results.starts)), ("failed", wide(of.results.failed))]))
    });
    let counted = |rows: &mut dyn Iterator<Item = (&String, &u32)>| -> Vec<Row> {
        rows.map(|(name, count)| row(name, vec![("starts", wide(*count))])).collect()
    };
    vec![
        table("total", "ALL STARTS", "of", vec![row("all", used(&sums.total))]),
        table(
            "grades",
            "BY GRADE",
            "grade",
            sums.grades.iter().map(|(grade, of)| row(grade, used(of))).collect(),
        ),
        table("reasons", "BY REASON, FAILED AND STOPPED", "reason", counted(&mut sums.reasons.iter())),
        table(
            "machines",
            "BY MACHINE",
            "machine",
            sums.machines.iter().map(|(tag, of)| row(tag, machine(of))).collect(),
        ),
        table("findings", "BY FINDING", "check", sums.points.iter().map(check).collect()),
        table("low_spools", "SPOOLS BELOW 150 g", "spool", spools.collect()),
        table(
            "month_reasons",
            &format!("COMMONEST REASONS IN {year}-{month:02}"),
            "reason",
            counted(&mut sums.month_reasons.iter().map(|(reason, count)| (reason, count))),
        ),
        table(
            "failing",
            "FAIL MORE THAN TWICE AS OFTEN AS THE ROOM, IN 20 STARTS OR MORE",
            "machine",
            failing.collect(),
        ),
    ]
}
