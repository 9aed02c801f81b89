//! 25: the head moves before it was homed.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 25,
    id: "moves before homing",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "a move along X, Y or Z before a word homed that axis, and no word of the sheet's start macros in the file",
    source: "trade convention of the home word; machine sheet",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(before) = input.survey.map(|survey| survey.motion.before_homing) else { return };
    if before.any() && !input.homes_by_macro() {
        findings.push(0, Level::Hold, Signal::Notice, [Value::Count(before.first_line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn one_move_holds_unless_a_macro_homes() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        let mut bench = Bench::surveyed(|survey| {
            survey.motion.before_homing.add(9);
            let name = crate::survey::NameTally { name: "START".try_into().unwrap(), ..Default::default() };
            survey.reading.unknown_names.push(name).unwrap();
        });
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
        bench.machine.start_words.push("START".try_into().unwrap()).unwrap();
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn a_home_word_that_comes_too_late_is_no_macro() {
        let mut bench = Bench::surveyed(|survey| {
            survey.motion.before_homing.add(9);
            survey.motion.homes.add(12);
        });
        bench.machine.start_words.push("G28".try_into().unwrap()).unwrap();
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
    }
}
