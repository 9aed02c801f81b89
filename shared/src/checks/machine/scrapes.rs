//! 22: the nozzle travels on the plate.

use super::inches;
use crate::checks::prelude::*;

/// Travel below 0.05 mm that is still borne, nm (judgement).
const BORNE_NM: u64 = 5_000_000;

pub(crate) const CHECK: Check = Check {
    number: 22,
    id: "scrapes the plate",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "more than 5 mm of travel in X and Y at Z from 0 to below 0.05 mm",
    source: "judgement of the room's lead",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(motion) = input.survey.map(|survey| &survey.motion) else { return };
    // The survey's first band: from 0 to below 50 µm.
    let ([lowest, ..], [line, ..]) = (motion.low_travel_nm, motion.low_travel_line);
    // Heights that are inches lie low: row 27 says so.
    if lowest > BORNE_NM && !inches::unworded(input) {
        findings.push(0, Level::Hold, Signal::Notice, [Value::Count(line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn five_millimetres_are_borne() {
        let with =
            |band: usize, nm| Bench::surveyed(|survey| survey.motion.low_travel_nm[band] = nm).levels(&CHECK);
        assert!(with(0, 5_000_000).is_empty());
        assert_eq!(with(0, 5_000_001), [(HOLD, 0)]);
        assert!(with(1, u64::MAX).is_empty());
    }
}
