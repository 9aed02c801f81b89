//! 97: the work is shifted, turned or scaled by what the job does not say, or by baby steps.

use crate::checks::prelude::*;
use crate::units::Micrometres;

/// Baby steps up to here are what people turn by hand while they watch a first layer (judgement): half of a usual first
/// layer of 0.2 mm.
const BABY_STEPS_NM: u64 = 100_000;
/// A place may be called by numbers that differ by so much (judgement: rounding of a job that sets its place anew).
const RENAMED_NM: u64 = 100_000;

pub(crate) const CHECK: Check = Check {
    number: 97,
    id: "shifts the work",
    group: Group::File,
    levels: &[Level::Note, Level::Hold],
    rule: "a word that brings stored or stated offsets of home, probe, tool or work into force, or turns, scales or skews, \
           or between beads calls the place by numbers that differ by more than 0.1 mm (G92): HOLD; baby steps of more \
           than 0.1 mm in all: HOLD, less: NOTE",
    source: "RS274/NGC: G10 L, G43, G55 to G59, G92, G92.3; common practice; 0.1 mm: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(reading) = input.survey.map(|survey| &survey.reading) else { return };
    let first = &reading.shifts;
    if first.met.any() {
        let values = Value::named(first);
        findings.push(0, Level::Hold, Signal::Notice, values);
    } else if reading.renamed.nm > RENAMED_NM {
        let values = [Value::name("G92"), Value::Count(reading.renamed.line)];
        findings.push(0, Level::Hold, Signal::Notice, values);
    }
    let nm = reading.baby_step_nm;
    if nm > 0 {
        let um = i64::try_from(nm.div_ceil(1000)).unwrap_or(i64::MAX);
        let values = [Value::Length(Micrometres(um)), Value::Count(reading.baby_steps.first_line)];
        if nm > BABY_STEPS_NM {
            findings.push(1, Level::Hold, Signal::Notice, values);
        } else {
            findings.push(2, Level::Note, Signal::None, values);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, NOTE};
    use crate::survey::Renamed;

    #[test]
    fn one_such_word_holds() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        assert_eq!(Bench::surveyed(|survey| survey.reading.shifts.met.add(12)).levels(&CHECK), [(HOLD, 0)]);
    }

    #[test]
    fn another_place_between_beads_holds() {
        let of =
            |nm| Bench::surveyed(|survey| survey.reading.renamed = Renamed { nm, line: 99 }).levels(&CHECK);
        assert_eq!(of(RENAMED_NM + 1), [(HOLD, 0)]);
        assert!(of(RENAMED_NM).is_empty());
    }

    #[test]
    fn baby_steps_up_to_a_tenth_are_noted() {
        let of = |nm| Bench::surveyed(|survey| survey.reading.baby_step_nm = nm).levels(&CHECK);
        assert!(of(0).is_empty());
        assert_eq!(of(BABY_STEPS_NM), [(NOTE, 2)]);
        assert_eq!(of(BABY_STEPS_NM + 1), [(HOLD, 1)]);
    }
}
