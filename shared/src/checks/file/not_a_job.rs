//! 12: a file that is no job, or prints nothing. What the card's listing leaves out by its ending never comes here.

use crate::checks::file::opening;
use crate::checks::no_job::{NotAJob, not_a_job};
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 12,
    id: "not a job",
    group: Group::File,
    levels: &[Level::Hold],
    rule: "a file that lays no bead, or with more that cannot be read than moves: NO VERDICT. Models, archives and pictures \
           are not listed; the card's screen counts them",
    source: "file endings, common practice; Holdpoint's rule: a verdict is about a print",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(why) = input.survey.and_then(not_a_job) else { return };
    if opening::is_binary(input) {
        return;
    }
    findings.mark_unread();
    let wording = match why {
        NotAJob::LaysNothing => 0,
        NotAJob::OtherText => 1,
    };
    findings.push(wording, Level::Hold, Signal::Notice, []);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::checks::finding::Verdict;

    #[test]
    fn what_prints_nothing_has_no_verdict() {
        let bench = Bench::surveyed(|survey| survey.tail.last_bead_line = 0);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
        let mut findings = Findings::default();
        run(&bench.input(), &mut findings);
        assert_eq!(findings.verdict(), Verdict::NoVerdict);
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
    }

    #[test]
    fn more_unread_than_moves_is_other_text() {
        let with = |moves| {
            Bench::surveyed(|survey| {
                let reading = &mut survey.reading;
                (reading.moves, reading.malformed.count, reading.unknown.count) = (moves, 6, 4);
            })
        };
        assert!(with(10).run(&CHECK).is_empty());
        assert_eq!(with(9).levels(&CHECK), [(HOLD, 1)]);
    }

    #[test]
    fn it_has_no_time_and_needs_no_filament() {
        let facts = Bench::surveyed(|survey| {
            (survey.time.total_s, survey.tail.last_bead_line) = (3_600, 0);
        })
        .facts;
        assert_eq!((facts.time, facts.length, facts.mass), (None, None, None));
    }
}
