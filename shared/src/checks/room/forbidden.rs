//! 82: a grade that must never be printed.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 82,
    id: "forbidden grade",
    group: Group::Room,
    levels: &[Level::Hold],
    rule: "PVC in the job or on the spool: it gives off hydrogen chloride",
    source: "from memory; the ISO emission test for desktop machines does not detect chlorinated compounds",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let forbidden = |grade: crate::records::Grade| {
        grade.base.row().forbidden || grade.blend.is_some_and(|blend| blend.row().forbidden)
    };
    if input.facts.grade.is_some_and(forbidden) || input.spool_grade().is_some_and(forbidden) {
        findings.push(82, 0, Level::Hold, Signal::Warning, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn pvc_in_job_or_spool_is_a_warning() {
        assert!(Bench::new().run(&CHECK).is_empty());
        assert_eq!(Bench::job("PVC").levels(&CHECK), [(HOLD, 0)]);
        let found = Bench::new().spool("PVC").run(&CHECK);
        assert_eq!((found[0].level, found[0].signal), (HOLD, Signal::Warning));
    }
}
