//! 84: another file than the vetted one was started.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 84,
    id: "other card / other file started",
    group: Group::Room,
    levels: &[Level::Note],
    rule: "the name or the length that the machine shows is answered to be another",
    source: "judgement of the room's lead",
    live: Live::Told,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.answers.same_job == Some(false) {
        findings.push(84, 0, Level::Note, Signal::Notice, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, levels};

    #[test]
    fn only_the_answer_no_is_noted() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.same_job = Some(true);
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.same_job = Some(false);
        assert_eq!(levels(&CHECK, &input), [(Level::Note, 0)]);
    }
}
