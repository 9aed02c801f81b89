//! 26: the machine homes or probes again over the part.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 26,
    id: "homes again over the part",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "a word that homes Z or probes after the first layer began; on a round plate not after the last bead: such a head homes \
           upwards",
    source: "trade convention of the home and probe words; round plates: common practice, no source",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let again = survey.motion.homes_over_part;
    let goes_up = input.machine.round && again.first_line > survey.tail.last_bead_line;
    if again.any() && !goes_up {
        findings.push(0, Level::Hold, Signal::Notice, [Value::Count(again.first_line)]);
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

    #[test]
    fn a_head_over_a_round_plate_homes_upwards_at_the_end() {
        // The last bead is on line 39,000.
        let with = |round, line| {
            let mut bench = Bench::surveyed(|survey| survey.motion.homes_over_part.add(line));
            bench.machine.round = round;
            bench.levels(&CHECK)
        };
        assert!(with(true, 39_001).is_empty());
        assert_eq!(with(true, 39_000), [(HOLD, 0)]);
        assert_eq!(with(false, 39_001), [(HOLD, 0)]);
    }
}
