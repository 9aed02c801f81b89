//! 56: close to the job's material, but not the same.

use super::compare::{Relation, is_acetate, relation};
use crate::checks::prelude::*;
use crate::records::{Base, Grade};

pub(crate) const CHECK: Check = Check {
    number: 56,
    id: "close but not same",
    group: Group::Spool,
    levels: &[Level::Note, Level::Look, Level::Hold],
    rule: "PET/PETG, PS-HI/ABS, PVAL/PVAC: HOLD; PA6/PA66/PA12, ABS/ASA, blend, Shore A differs by more than 5, plain/filled: LOOK; \
           a trade modifier alone: NOTE",
    source: "ISO 1043-1, ISO 1043-2; levels: judgement of the room's lead",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

/// The words of job and spool where one names the alcohol and the other the acetate.
pub(crate) fn acetate_trap<'a>(input: &CheckInput<'a>) -> Option<(&'a str, &'a str)> {
    let job = input.facts.material.as_ref().map(|stated| stated.value.as_str())?;
    let spool =
        input.spool.filter(|_| input.answers.sticker.is_none()).map(|spool| spool.material.as_str())?;
    let alcohol = |grade: Option<Grade>| grade.is_some_and(|grade| grade.base == Base::Pval);
    let trap = (is_acetate(job) && alcohol(input.spool_grade()))
        || (is_acetate(spool) && alcohol(input.facts.grade));
    trap.then_some((job, spool))
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if let Some((job, spool)) = acetate_trap(input) {
        findings.push(0, Level::Hold, Signal::Notice, [Value::name(job), Value::name(spool)]);
        return;
    }
    let (Some(job), Some(spool)) = (input.facts.grade, input.spool_grade()) else { return };
    let (wording, level) = match relation(job, spool) {
        Relation::Trap => (0, Level::Hold),
        Relation::Near => (1, Level::Look),
        Relation::Filler => (2, Level::Look),
        Relation::Blend => (3, Level::Look),
        Relation::Hardness => (4, Level::Look),
        Relation::Modified => (5, Level::Note),
        Relation::Same | Relation::Different => return,
    };
    let signal = if level == Level::Hold { Signal::Notice } else { Signal::None };
    // A modifier is no part of a mark: there the words are shown as written.
    let (job, spool) = match (wording, &input.facts.material, input.spool) {
        (5, Some(stated), Some(ticket)) => (Value::name(&stated.value), Value::name(&ticket.material)),
        _ => (input.job_material(), input.spool_material()),
    };
    findings.push(wording, level, signal, [job, spool]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, NOTE};

    #[test]
    fn each_near_miss_has_its_level() {
        for (job, spool, expected) in [
            ("PET", "PETG", (HOLD, 0)),
            ("HIPS", "ABS", (HOLD, 0)),
            ("PVA", "PVAC", (HOLD, 0)),
            (">PVAC<", "PVAL", (HOLD, 0)),
            ("PA6", "PA12", (LOOK, 1)),
            ("ABS", "ASA", (LOOK, 1)),
            ("PLA", "PLA-WD30", (LOOK, 2)),
            ("PC", "PC+ABS", (LOOK, 3)),
            ("PLA", "Tough PLA", (NOTE, 5)),
        ] {
            assert_eq!(Bench::job(job).spool(spool).levels(&CHECK), [expected], "{job} {spool}");
        }
    }

    #[test]
    fn the_same_and_the_wholly_different_are_not_its_matter() {
        assert!(Bench::new().run(&CHECK).is_empty());
        assert!(Bench::new().spool("PETG").run(&CHECK).is_empty());
    }
}
