//! 91: an input could not be read.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 91,
    id: "input not readable",
    group: Group::Own,
    levels: &[Level::Hold],
    rule: "the job file or one of the three records could not be read: NO VERDICT",
    source: "Holdpoint's rule: what could not be read is never CLEAR",
    live: Live::Card,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let [machine, spool, room] = input.refused;
    for (wording, unread) in (0..).zip([input.unread, spool, machine, room]) {
        if unread {
            findings.mark_unread();
            findings.push(wording, Level::Hold, Signal::Notice, []);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::Bench;
    use crate::checks::finding::Verdict;

    #[test]
    fn nothing_unread_is_ever_clear() {
        let bench = Bench::new();
        for unread in 0..4 {
            let mut input = bench.input();
            input.unread = unread == 3;
            input.refused = [0, 1, 2].map(|record| record == unread);
            let mut findings = Findings::default();
            run(&input, &mut findings);
            assert_eq!(findings.verdict(), Verdict::NoVerdict);
        }
        assert!(bench.run(&CHECK).is_empty());
    }
}
