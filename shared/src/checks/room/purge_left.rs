//! 68: scrap of the last job's purge is left.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 68,
    id: "purge scrap left",
    group: Group::Room,
    levels: &[Level::Hold],
    rule: "the answer about the last job's purge place is \"some still there\"",
    source: "judgement of the room's lead",
    live: Live::Told,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.answers.purge_gone == Some(false) {
        findings.push(68, 0, Level::Hold, Signal::Notice, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, levels};

    #[test]
    fn only_the_answer_no_holds() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.purge_gone = Some(true);
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.purge_gone = Some(false);
        assert_eq!(levels(&CHECK, &input), [(Level::Hold, 0)]);
    }
}
