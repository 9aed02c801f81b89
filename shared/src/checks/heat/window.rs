//! The windows that several checks measure against.

use crate::checks::input::CheckInput;
use crate::checks::spool::compare::{Relation, relation};
use crate::records::{Grade, GradeRow};
use crate::units::Celsius;

/// Above the window by more than this the melt gives off fumes (common practice: at most 15 K over).
pub(crate) const FUMES_OVER_K: i16 = 15;

/// A window and whether it is the spool maker's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Window {
    pub(crate) least: Celsius,
    pub(crate) most: Celsius,
    /// Whether it fits this very grade: the ticket's, or the table's for a plain grade of that base.
    pub(crate) exact: bool,
}

/// The job's nozzle target for most of its layers.
pub(crate) fn nozzle_asked(input: &CheckInput<'_>) -> Option<Celsius> {
    let facts = input.facts;
    facts.nozzle_c.or(facts.nozzle_first_c).map(|stated| stated.value).filter(|target| target.0 > 0)
}

/// The lowest and the highest nozzle target that the job feeds at.
pub(crate) fn nozzle_extremes(input: &CheckInput<'_>) -> Option<(Celsius, Celsius)> {
    let facts = input.facts;
    let heat = input.survey.map(|survey| &survey.heat);
    let all = [
        facts.nozzle_c.map(|stated| stated.value),
        facts.nozzle_first_c.map(|stated| stated.value),
        heat.and_then(|heat| heat.nozzle_lowest_feeding),
        heat.and_then(|heat| heat.nozzle_highest_feeding),
    ];
    extremes(all)
}

/// The lowest and the highest bed target that the job lays at.
pub(crate) fn bed_extremes(input: &CheckInput<'_>) -> Option<(Celsius, Celsius)> {
    let facts = input.facts;
    let heat = input.survey.map(|survey| &survey.heat);
    let all = [
        facts.bed_c.map(|stated| stated.value),
        facts.bed_first_c.map(|stated| stated.value),
        heat.and_then(|heat| heat.bed_lowest_laying),
        heat.and_then(|heat| heat.bed_highest_laying),
    ];
    extremes(all)
}

/// Targets of 0 are left out: off, or left to a start macro, is the matter of checks 43, 44 and 49.
fn extremes(all: [Option<Celsius>; 4]) -> Option<(Celsius, Celsius)> {
    let asked = || all.iter().flatten().filter(|target| target.0 > 0);
    Some((*asked().min()?, *asked().max()?))
}

/// Nozzle window of what is on the spool: the maker's, else the table's for its base.
pub(crate) fn spool_nozzle_window(input: &CheckInput<'_>) -> Option<(Celsius, Celsius)> {
    let ticket = input.spool.filter(|_| input.answers.sticker.is_none()).and_then(|spool| spool.nozzle_c);
    ticket.or_else(|| input.spool_grade().map(|grade| input.room.row(grade.base).nozzle_c))
}

/// The grade whose windows the job is held to, and the ticket's windows if they are for it.
///
/// On the wrong spool (rows 54 and 56) the job is held to its own grade: the spool will be changed.
fn judged_by(input: &CheckInput<'_>) -> Option<(Grade, bool)> {
    let job = input.facts.grade;
    let spool = input.spool_grade();
    match (job, spool) {
        (Some(job), Some(spool)) => {
            let other = matches!(relation(job, spool), Relation::Different | Relation::Trap | Relation::Near);
            Some(if other { (job, false) } else { (spool, true) })
        }
        (Some(job), None) => Some((job, false)),
        (None, Some(spool)) => Some((spool, true)),
        (None, None) => None,
    }
}

fn plain(grade: Grade) -> bool {
    grade.filler.is_none() && grade.blend.is_none() && !grade.modified
}

fn window(
    input: &CheckInput<'_>,
    ticket: Option<(Celsius, Celsius)>,
    table: impl FnOnce(&GradeRow) -> (Celsius, Celsius),
) -> Option<Window> {
    let (grade, spool_counts) = judged_by(input)?;
    let (least, most, exact) = match ticket.filter(|_| spool_counts && input.answers.sticker.is_none()) {
        Some((least, most)) => (least, most, true),
        None => {
            let (least, most) = table(&input.room.row(grade.base));
            (least, most, plain(grade))
        }
    };
    Some(Window { least, most, exact })
}

/// The nozzle window that the job is held to.
pub(crate) fn nozzle_window(input: &CheckInput<'_>) -> Option<Window> {
    window(input, input.spool.and_then(|spool| spool.nozzle_c), |row| row.nozzle_c)
}

/// The bed window that the job is held to.
pub(crate) fn bed_window(input: &CheckInput<'_>) -> Option<Window> {
    window(input, input.spool.and_then(|spool| spool.bed_c), |row| row.bed_c)
}

/// Glass transition of the grade that the job is held to.
pub(crate) fn glass_transition(input: &CheckInput<'_>) -> Option<Celsius> {
    judged_by(input).and_then(|(grade, _)| input.room.row(grade.base).glass_transition)
}

/// The job's grade or, where it names none, the spool's, as a symbol.
pub(crate) fn judged_symbol(input: &CheckInput<'_>) -> &'static str {
    judged_by(input).map_or("", |(grade, _)| grade.base.row().symbol)
}
