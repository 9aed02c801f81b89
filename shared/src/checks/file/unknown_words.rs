//! 14: words in no class, words that are not followed, and lines that are too long.

use crate::checks::no_job::{NotAJob, not_a_job};
use crate::checks::prelude::*;
use crate::survey::WordClass;

pub(crate) const CHECK: Check = Check {
    number: 14,
    id: "unknown words, line too long",
    group: Group::File,
    levels: &[Level::Note, Level::Look, Level::Hold],
    rule: "a word of no class that the sheet does not list: LOOK; one that moves, feeds or heats in a way that is not \
           followed (`holdpoint words` lists them), unless the sheet lists it: HOLD; a line of more than 256 \
           characters: NOTE",
    source: "RS274/NGC 3.3: 256 characters; classes of words: RS274/NGC 3.5 and 3.6, common practice",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    if not_a_job(survey) == Some(NotAJob::OtherText) {
        return; // Row 12 names it.
    }
    let reading = &survey.reading;
    if let Some((first, _)) = input.unlisted(WordClass::Unfollowed) {
        let values = Value::named(first);
        findings.push(2, Level::Hold, Signal::Notice, values);
    }
    if let Some((first, different)) = input.unlisted(WordClass::Unknown) {
        let values = [Value::Count(different), Value::text(&first.name), Value::Count(first.met.first_line)];
        findings.push(0, Level::Look, Signal::None, values);
    }
    if reading.long_lines.any() {
        findings.push(1, Level::Note, Signal::None, [Value::Count(reading.long_lines.first_line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, NOTE};
    use crate::survey::NameTally;

    fn with(words: &[(&str, WordClass)]) -> Bench {
        Bench::surveyed(|survey| {
            for (word, class) in words {
                let name =
                    NameTally { name: (*word).try_into().unwrap(), class: *class, ..NameTally::default() };
                survey.reading.unknown_names.push(name).unwrap();
            }
        })
    }

    #[test]
    fn a_word_is_looked_at_unless_the_sheet_lists_it() {
        assert!(with(&[]).run(&CHECK).is_empty());
        assert_eq!(with(&[("M870", WordClass::Unknown)]).levels(&CHECK), [(LOOK, 0)]);
        let mut bench = with(&[("START", WordClass::Unknown)]);
        bench.machine.start_words.push("start".try_into().unwrap()).unwrap();
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn a_word_that_is_not_followed_holds() {
        let mut bench = with(&[("G12", WordClass::Unfollowed), ("M870", WordClass::Unknown)]);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 2), (LOOK, 0)]);
        bench.machine.start_words.push("G12".try_into().unwrap()).unwrap();
        assert_eq!(bench.levels(&CHECK), [(LOOK, 0)]);
    }

    #[test]
    fn a_long_line_is_noted() {
        assert_eq!(Bench::surveyed(|survey| survey.reading.long_lines.add(5)).levels(&CHECK), [(NOTE, 1)]);
    }
}
