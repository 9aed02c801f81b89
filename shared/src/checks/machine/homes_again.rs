//! 26: the machine homes or probes again over the part.

use crate::checks::check::{Check, Group, Live};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 26,
    id: "homes again over the part",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "a word that homes Z or probes after the first layer began",
    source: "trade convention of the home and probe words",
    live: Live::Moves,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(again) = input.survey.map(|survey| survey.motion.homes_over_part) else { return };
    if again.any() {
        findings.push(26, 0, Level::Hold, Signal::Notice, [Value::Count(again.first_line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn one_such_word_holds() {
        assert!(Bench::surveyed(|survey| survey.motion.homes.add(4)).run(&CHECK).is_empty());
        assert_eq!(
            Bench::surveyed(|survey| survey.motion.homes_over_part.add(900)).levels(&CHECK),
            [(HOLD, 0)]
        );
    }
}
