//! 55: the job's or the spool's material is not known.

use super::close_material::acetate_trap;
use crate::checks::file::opening;
use crate::checks::no_job::not_a_job;
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 55,
    id: "unknown material",
    group: Group::Spool,
    levels: &[Level::Look],
    rule: "the job names no material or one that is not known; or there is no ticket, or its word is not known",
    source: "judgement of the room's lead: missing data never gives HOLD",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if acetate_trap(input).is_some() {
        return; // Row 56 names it.
    }
    // Of a job that could not be read it is no news that it names nothing (rows 91, 11 and 12).
    let no_job = opening::is_binary(input) || input.survey.is_some_and(|survey| not_a_job(survey).is_some());
    let unread = input.unread || no_job;
    match (&input.facts.material, input.facts.grade) {
        (None, _) if unread => {}
        (None, _) => findings.push(0, Level::Look, Signal::None, [input.spool_material()]),
        (Some(_), None) => findings.push(1, Level::Look, Signal::None, [input.job_material()]),
        (Some(_), Some(_)) => {}
    }
    if input.spool_grade().is_none() {
        match input.spool {
            None => findings.push(2, Level::Look, Signal::None, []),
            Some(_) => findings.push(3, Level::Look, Signal::None, [input.spool_material()]),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels};

    #[test]
    fn of_a_job_that_cannot_be_read_only_the_ticket_is_told() {
        let mut bench = Bench::with_header(|header| header.material = None);
        bench.spool = None;
        let mut input = bench.input();
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0), (LOOK, 2)]);
        input.unread = true;
        assert_eq!(levels(&CHECK, &input), [(LOOK, 2)]);
    }

    #[test]
    fn none_stated_and_unknown_words_are_looked_at() {
        assert!(Bench::new().run(&CHECK).is_empty());
        assert_eq!(Bench::with_header(|header| header.material = None).levels(&CHECK), [(LOOK, 0)]);
        assert_eq!(Bench::job("unobtainium").levels(&CHECK), [(LOOK, 1)]);
        assert!(Bench::job("PVAC").spool("PVA").run(&CHECK).is_empty(), "row 56 names it");
        assert_eq!(Bench::new().spool("unobtainium").levels(&CHECK), [(LOOK, 3)]);
        let mut bench = Bench::new();
        bench.spool = None;
        assert_eq!(bench.levels(&CHECK), [(LOOK, 2)]);
    }
}
