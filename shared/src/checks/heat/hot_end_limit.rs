//! 47: a nozzle target above what the hot end may do.

use crate::checks::prelude::*;
use crate::units::Celsius;

/// A polymer liner in the hot zone softens and fumes above this (common practice: 240 to 250 °C).
const LINER_LOOK: Celsius = Celsius(240);
/// The same, by the upper figure.
const LINER_HOLD: Celsius = Celsius(250);

pub(crate) const CHECK: Check = Check {
    number: 47,
    id: "above hot-end limit",
    group: Group::Heat,
    levels: &[Level::Look, Level::Hold],
    rule: "target above the sheet's nozzle_max_c HOLD; with a lined throat above 240 °C LOOK, above 250 °C HOLD",
    source: "machine sheet; liner: common practice, no source",
    live: Live::Header,
    needs: Needs::Sheet,
    never_silenced: true,
    run,
};

/// The highest nozzle target that the job asks for at any time.
fn highest(input: &CheckInput<'_>) -> Option<Celsius> {
    let facts = input.facts;
    let moves = input.survey.and_then(|survey| survey.heat.highest.first().copied());
    let all =
        [facts.nozzle_c.map(|stated| stated.value), facts.nozzle_first_c.map(|stated| stated.value), moves];
    all.into_iter().flatten().max()
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(highest) = highest(input) else { return };
    let limit = input.machine.nozzle_max_c;
    if highest > limit {
        findings.push(0, Level::Hold, Signal::Warning, [highest.into(), limit.into()]);
    } else if input.machine.lined_throat && highest > LINER_LOOK {
        let level = if highest > LINER_HOLD { Level::Hold } else { Level::Look };
        findings.push(1, level, Signal::Warning, [highest.into(), LINER_LOOK.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

    fn at(celsius: i16, lined: bool, limit: i16) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::with_header(|header| header.nozzle_c = Some(Celsius(celsius)));
        bench.machine.nozzle_max_c = Celsius(limit);
        bench.machine.lined_throat = lined;
        bench.levels(&CHECK)
    }

    #[test]
    fn the_sheets_limit() {
        assert!(at(260, false, 260).is_empty());
        assert_eq!(at(261, false, 260), [(HOLD, 0)]);
    }

    #[test]
    fn the_liners_limits() {
        assert!(at(240, true, 300).is_empty());
        assert_eq!(at(241, true, 300), [(LOOK, 1)]);
        assert_eq!(at(250, true, 300), [(LOOK, 1)]);
        assert_eq!(at(251, true, 300), [(HOLD, 1)]);
        assert!(at(251, false, 300).is_empty());
    }

    #[test]
    fn it_is_a_warning() {
        let mut bench = Bench::new();
        bench.machine.nozzle_max_c = Celsius(200);
        assert_eq!(bench.run(&CHECK)[0].signal, Signal::Warning);
    }

    #[test]
    fn a_target_that_only_the_moves_ask_for_counts() {
        let mut bench = Bench::new();
        let mut survey = crate::survey::Survey::default();
        survey.heat.highest[0] = Celsius(301);
        bench.survey = Some(survey);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
    }
}
