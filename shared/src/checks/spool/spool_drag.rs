//! 66: the spool does not turn freely.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 66,
    id: "spool drag, crossed turn",
    group: Group::Spool,
    levels: &[Level::Hold],
    rule: "20 cm of filament do not pull off freely, as answered",
    source: "judgement of the room's lead",
    live: Live::Told,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.answers.spool_free == Some(false) {
        findings.push(66, 0, Level::Hold, Signal::Notice, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, levels};

    #[test]
    fn only_the_answer_no_holds() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.spool_free = Some(true);
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.spool_free = Some(false);
        assert_eq!(levels(&CHECK, &input), [(HOLD, 0)]);
    }
}
