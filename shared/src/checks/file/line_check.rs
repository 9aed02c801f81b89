//! 16: a line's own check does not fit its bytes.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 16,
    id: "bad line check",
    group: Group::File,
    levels: &[Level::Hold],
    rule: "the exclusive-or of a line's bytes before * is not the number after it",
    source: "trade convention of numbered lines",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(failed) = input.survey.map(|survey| survey.reading.checksums.failed) else { return };
    if failed.any() {
        findings.push(0, Level::Hold, Signal::Notice, [Value::Count(failed.first_line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn one_bad_line_holds() {
        assert!(Bench::surveyed(|survey| survey.reading.checksums.checked = 9).run(&CHECK).is_empty());
        assert_eq!(
            Bench::surveyed(|survey| survey.reading.checksums.failed.add(20_412)).levels(&CHECK),
            [(HOLD, 0)]
        );
    }
}
