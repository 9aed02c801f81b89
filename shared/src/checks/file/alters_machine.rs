//! 15: the job changes what the machine remembers or how it works.

use crate::checks::prelude::*;
use crate::survey::WordClass;

pub(crate) const CHECK: Check = Check {
    number: 15,
    id: "changes machine memory",
    group: Group::File,
    levels: &[Level::Look, Level::Hold],
    rule: "a word that stores or resets settings, or sets steps, heater tuning, currents, sensors, the mesh, cold feeding or limits \
           off: HOLD; one that sets an idle time, a head's mode, a guard off or the like, unless the sheet lists it: LOOK",
    source: "common practice, no source; `holdpoint words` lists each word",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(reading) = input.survey.map(|survey| &survey.reading) else { return };
    let first = &reading.stores;
    if first.met.any() {
        findings.push(0, Level::Hold, Signal::Notice, Value::named(first));
    }
    if let Some((first, _)) = input.unlisted(WordClass::Adjusts) {
        findings.push(1, Level::Look, Signal::None, Value::named(first));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};
    use crate::survey::NameTally;

    #[test]
    fn one_such_word_is_enough() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        assert_eq!(Bench::surveyed(|survey| survey.reading.stores.met.add(12)).levels(&CHECK), [(HOLD, 0)]);
        let mut bench = Bench::surveyed(|survey| {
            let class = WordClass::Adjusts;
            let name = NameTally { name: "M605".try_into().unwrap(), class, ..NameTally::default() };
            survey.reading.unknown_names.push(name).unwrap();
        });
        assert_eq!(bench.levels(&CHECK), [(LOOK, 1)]);
        bench.machine.start_words.push("M605".try_into().unwrap()).unwrap();
        assert!(bench.run(&CHECK).is_empty());
    }
}
