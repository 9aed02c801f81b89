//! 21: the nozzle goes below the plate.

use crate::checks::prelude::*;
use crate::units::Micrometres;

pub(crate) const CHECK: Check = Check {
    number: 21,
    id: "below the plate",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "any move to Z below 0, offsets of G92 counted",
    source: "geometry: the plate's face is Z 0",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let [_, _, lowest] = survey.reached.min_nm;
    if !survey.reached.is_empty() && lowest < 0 {
        let depth = Micrometres(lowest.div_euclid(1000));
        let line = Value::Count(survey.motion.lowest_xy_line);
        findings.push(0, Level::Hold, Signal::Notice, [depth.into(), line]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::Bounds;

    #[test]
    fn anything_below_zero_holds() {
        let at = |nm| {
            Bench::surveyed(|survey| survey.reached = Bounds { min_nm: [0, 0, nm], max_nm: [0; 3] })
                .levels(&CHECK)
        };
        assert!(at(0).is_empty());
        assert_eq!(at(-1), [(HOLD, 0)]);
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
    }
}
