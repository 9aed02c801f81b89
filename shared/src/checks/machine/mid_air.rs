//! 42: the first layer hangs in the air.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::units::Micrometres;

/// Share of the bore that a layer may have, percent (common practice: at most 80).
const THICKEST_PERCENT: u32 = 80;
/// And this much more, µm (judgement).
const SLACK_UM: u32 = 100;

pub(crate) const CHECK: Check = Check {
    number: 42,
    id: "starts in mid-air",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "first layer above 0.8 of the bore + 0.1 mm",
    source: "common practice: a layer has at most 80 % of the bore; 0.1 mm: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(plane) = input.survey.and_then(|survey| survey.first_layer.plane) else { return };
    let most = input.bore_um().saturating_mul(THICKEST_PERCENT) / 100 + SLACK_UM;
    let first = Micrometres(plane.z_um.into());
    if first.0 > i64::from(most) {
        findings.push(42, 0, Level::Hold, Signal::Notice, [first.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::Plane;

    #[test]
    fn four_tenths_and_two_for_the_usual_bore() {
        // 0.8 * 0.4 + 0.1 = 0.42 mm.
        let at = |z_um| {
            Bench::surveyed(|survey| survey.first_layer.plane = Some(Plane { z_um, line: 1 })).levels(&CHECK)
        };
        assert!(at(420).is_empty());
        assert_eq!(at(421), [(HOLD, 0)]);
    }
}
