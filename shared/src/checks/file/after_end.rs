//! 3: lines of an older, longer file stand after the job's end.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 3,
    id: "leftovers after end",
    group: Group::File,
    levels: &[Level::Hold],
    rule: "a bead, or a line that cannot be read, after an end word or after heaters and motors were both off",
    source: "an owner's report of stale moves after a proper end",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(tail) = input.survey.map(|survey| survey.tail) else { return };
    let first = [tail.beads_after_end, tail.malformed_after_end]
        .into_iter()
        .filter(|tally| tally.any())
        .map(|tally| tally.first_line)
        .min();
    if let Some(line) = first {
        findings.push(0, Level::Hold, Signal::Notice, [Value::Count(line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn beads_or_fragments_after_the_end_hold() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        let found = Bench::surveyed(|survey| survey.tail.beads_after_end.add(39_500)).run(&CHECK);
        assert_eq!((found[0].level, &found[0].values[0]), (HOLD, &Value::Count(39_500)));
        assert_eq!(
            Bench::surveyed(|survey| survey.tail.malformed_after_end.add(1)).levels(&CHECK),
            [(HOLD, 0)]
        );
    }
}
