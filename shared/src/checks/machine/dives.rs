//! 23: the head dives into the part.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 23,
    id: "dives into the part",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "a move more than one layer below the printed top, ending within the box of a printed part",
    source: "judgement of the room's lead",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let dive = survey.motion.dive;
    let again = survey.motion.homes_over_part;
    if again.any() && again.first_line <= dive.met.first_line {
        return; // Row 26 says why.
    }
    // The layer, or where there is only one, the bore: no layer is thicker.
    let layer = input.facts.layer_um.map_or(input.machine.bore_um, |stated| stated.value);
    if dive.met.any() && dive.deepest_nm > i64::from(layer).saturating_mul(1000) {
        let percent = u64::from(dive.line) * 100 / u64::from(survey.reading.lines.max(1));
        let percent = Value::Percent(u16::try_from(percent).unwrap_or(100).min(100));
        findings.push(23, 0, Level::Hold, Signal::Notice, [percent, Value::Count(dive.line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn one_layer_below_the_top_is_borne() {
        // The bench's job has 0.2 mm layers and 40,000 lines.
        let with = |deepest_nm| {
            Bench::surveyed(|survey| {
                survey.motion.dive.met.add(29_600);
                (survey.motion.dive.deepest_nm, survey.motion.dive.line) = (deepest_nm, 29_600);
            })
        };
        assert!(with(200_000).run(&CHECK).is_empty());
        assert_eq!(with(200_001).levels(&CHECK), [(HOLD, 0)]);
        assert_eq!(with(200_001).run(&CHECK)[0].values[0], Value::Percent(74));
    }
}
