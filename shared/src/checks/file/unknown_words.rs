//! 14: words that are not known, and lines that are too long.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::{CheckInput, same_word};

/// From this many different unknown words on, the file was likely made for another family of machines (judgement).
const LOOK_FROM: usize = 3;

pub(crate) const CHECK: Check = Check {
    number: 14,
    id: "line too long, unknown words",
    group: Group::File,
    levels: &[Level::Note, Level::Look],
    rule: "a line of more than 256 characters, or an unknown word that the sheet does not list: NOTE; 3 different words: LOOK",
    source: "RS274/NGC 3.3: 256 characters; number of words: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(reading) = input.survey.map(|survey| &survey.reading) else { return };
    let listed = |name: &str| input.machine.start_words.iter().any(|word| same_word(name, word));
    let unknown = || reading.unknown_names.iter().filter(|name| !listed(&name.name));
    let different = unknown().count();
    if let Some(first) = unknown().next() {
        let level = if different >= LOOK_FROM { Level::Look } else { Level::Note };
        let count = Value::Count(u32::try_from(different).unwrap_or(u32::MAX));
        let values = [count, Value::text(&first.name), Value::Count(first.met.first_line)];
        findings.push(14, 0, level, Signal::None, values);
    }
    if reading.long_lines.any() {
        findings.push(14, 1, Level::Note, Signal::None, [Value::Count(reading.long_lines.first_line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, NOTE};
    use crate::survey::NameTally;

    fn with(words: &[&str]) -> Bench {
        Bench::surveyed(|survey| {
            for word in words {
                let name = NameTally { name: (*word).try_into().unwrap(), ..NameTally::default() };
                survey.reading.unknown_names.push(name).unwrap();
            }
        })
    }

    #[test]
    fn three_different_words_are_looked_at() {
        assert!(with(&[]).run(&CHECK).is_empty());
        assert_eq!(with(&["M870", "M871"]).levels(&CHECK), [(NOTE, 0)]);
        assert_eq!(with(&["M870", "M871", "M872"]).levels(&CHECK), [(LOOK, 0)]);
        let mut bench = with(&["M870", "M871", "START"]);
        bench.machine.start_words.push("start".try_into().unwrap()).unwrap();
        assert_eq!(bench.levels(&CHECK), [(NOTE, 0)]);
    }

    #[test]
    fn a_long_line_is_noted() {
        assert_eq!(Bench::surveyed(|survey| survey.reading.long_lines.add(5)).levels(&CHECK), [(NOTE, 1)]);
    }
}
