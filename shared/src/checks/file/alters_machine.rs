//! 15: the job changes what the machine remembers.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 15,
    id: "changes machine memory",
    group: Group::File,
    levels: &[Level::Hold],
    rule: "a word that stores or resets settings, sets steps, heater tuning or offsets, deletes a file, or turns the guard \
           against cold feeding off",
    source: "trade convention of the M-words",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(reading) = input.survey.map(|survey| &survey.reading) else { return };
    if reading.memory.any() {
        let name = reading.memory_names.first().map_or(Value::None, |name| Value::text(&name.name));
        let values = [name, Value::Count(reading.memory.first_line)];
        findings.push(15, 0, Level::Hold, Signal::Notice, values);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn one_such_word_holds() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        assert_eq!(Bench::surveyed(|survey| survey.reading.memory.add(12)).levels(&CHECK), [(HOLD, 0)]);
    }
}
