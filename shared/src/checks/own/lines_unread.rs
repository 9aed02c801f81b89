//! 92: lines that could not be understood, so that the moves may say less than the machine does.

use crate::checks::file::{blank_gap, cut_short, opening};
use crate::checks::no_job::{NotAJob, not_a_job};
use crate::checks::prelude::*;
use crate::survey::Tally;

pub(crate) const CHECK: Check = Check {
    number: 92,
    id: "lines not understood",
    group: Group::Own,
    levels: &[Level::Look, Level::Hold],
    rule: "a line whose words cannot be read (too long, a letter twice, an exponent, a decimal comma), that holds several \
           commands, or that asks for volumetric feed or feed per revolution: LOOK, and HOLD where it may have moved, fed \
           or heated; a line begun with / that would move, feed or heat: LOOK",
    source: "RS274/NGC 3.3; controllers differ in whether they skip lines begun with /",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    // Damage that rows 1, 2, 3, 11 and 12 name leaves such lines behind.
    let damaged = cut_short::why(input).is_some()
        || blank_gap::gap(input).is_some()
        || opening::is_binary(input)
        || survey.reading.controls.met.any()
        || not_a_job(survey) == Some(NotAJob::OtherText)
        || survey.tail.malformed_after_end.any();
    if damaged {
        return;
    }
    let reading = &survey.reading;
    let values = |tally: Tally| [Value::Count(tally.count), Value::Count(tally.first_line)];
    let lines = [reading.malformed, reading.repeated, reading.unread.met];
    if reading.doubtful.any() {
        findings.push(1, Level::Hold, Signal::Notice, values(reading.doubtful));
    } else if let Some(first_line) =
        lines.iter().filter(|tally| tally.any()).map(|tally| tally.first_line).min()
    {
        let count = lines.iter().fold(0_u32, |sum, tally| sum.saturating_add(tally.count));
        findings.push(0, Level::Look, Signal::None, values(Tally { count, first_line }));
    }
    if reading.deleted_commands.any() {
        findings.push(2, Level::Look, Signal::None, values(reading.deleted_commands));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

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
    fn a_line_that_may_move_holds() {
        let found = Bench::surveyed(|survey| {
            survey.reading.malformed.add(4);
            survey.reading.doubtful.add(9);
        })
        .run(&CHECK);
        assert_eq!((found.len(), found[0].level, found[0].wording), (1, HOLD, 1));
        assert_eq!(found[0].values[..2], [Value::Count(1), Value::Count(9)]);
        assert_eq!(Bench::surveyed(|survey| survey.reading.repeated.add(7)).levels(&CHECK), [(LOOK, 0)]);
    }

    #[test]
    fn a_line_begun_with_a_slash_is_looked_at_where_it_would_move() {
        assert!(Bench::surveyed(|survey| survey.reading.block_deleted.add(3)).run(&CHECK).is_empty());
        let bench = Bench::surveyed(|survey| survey.reading.deleted_commands.add(3));
        assert_eq!(bench.levels(&CHECK), [(LOOK, 2)]);
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
