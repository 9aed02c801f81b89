//! 87: the last jobs on this machine failed for the same reason.

use crate::checks::prelude::*;

/// From this many failures in a row (judgement).
const FROM: u8 = 2;

pub(crate) const CHECK: Check = Check {
    number: 87,
    id: "first user after fault",
    group: Group::Room,
    levels: &[Level::Look],
    rule: "the last 2 results on this machine are failures for the same reason",
    source: "judgement of the room's lead",
    live: Live::Ledger,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let failures = input.history.same_failures;
    if failures >= FROM {
        findings.push(0, Level::Look, Signal::None, [Value::Count(failures.into())]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels};

    #[test]
    fn from_the_second_on() {
        let bench = Bench::new();
        let mut input = bench.input();
        input.history.same_failures = 1;
        assert!(levels(&CHECK, &input).is_empty());
        input.history.same_failures = 2;
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
    }
}
