//! 92: lines that could not be understood, so that the moves may say less than the machine does.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::file::{blank_gap, cut_short, opening};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 92,
    id: "lines not understood",
    group: Group::Own,
    levels: &[Level::Look],
    rule: "a line whose words cannot be read, or that asks for a move this build does not know (other arc planes, volumetric \
           feed, feed per revolution)",
    source: "RS274/NGC 3.3",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    // Damage that rows 1, 2, 3 and 11 name leaves such lines behind.
    let damaged = cut_short::why(input).is_some()
        || blank_gap::gap(input).is_some()
        || opening::is_binary(input)
        || survey.tail.malformed_after_end.any();
    if damaged {
        return;
    }
    let reading = &survey.reading;
    let lines = [reading.malformed, reading.unread.met];
    let count = lines.iter().fold(0_u32, |sum, tally| sum.saturating_add(tally.count));
    if let Some(first) = lines.iter().filter(|tally| tally.any()).map(|tally| tally.first_line).min() {
        findings.push(92, 0, Level::Look, Signal::None, [Value::Count(count), Value::Count(first)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};

    #[test]
    fn one_line_is_looked_at() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        assert_eq!(Bench::surveyed(|survey| survey.reading.malformed.add(7)).levels(&CHECK), [(LOOK, 0)]);
        let found = Bench::surveyed(|survey| {
            survey.reading.malformed.add(9);
            survey.reading.unread.met.add(4);
        })
        .run(&CHECK);
        assert_eq!(found[0].values[..2], [Value::Count(2), Value::Count(4)]);
    }

    #[test]
    fn damage_that_another_row_names_is_not_told_twice() {
        let bench = Bench::surveyed(|survey| {
            survey.reading.malformed.add(7);
            survey.reading.blank.bytes = 64;
        });
        assert!(bench.run(&CHECK).is_empty());
    }
}
