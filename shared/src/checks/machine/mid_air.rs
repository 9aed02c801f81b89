//! 42: a layer hangs in the air.

use super::inches;
use crate::checks::prelude::*;
use crate::survey::LayerPath;
use crate::units::Micrometres;

/// Share of the bore that a layer may have, percent (common practice: at most 80).
pub(super) const THICKEST_PERCENT: u32 = 80;
/// And this much more, µm (judgement).
const SLACK_UM: u32 = 100;
/// Path of a layer in the air that is still borne, µm: small overhangs droop and are printed over (judgement).
const BORNE_UM: u32 = 12_000;
/// And its share of the layer's path, percent (judgement).
const BORNE_PERCENT: u64 = 10;
/// A level run in the air that is still borne, µm, whatever its share: the walls round a hole of 12 mm in a ceiling, and
/// no outline that lies beside the part (judgement).
const BORNE_RUN_UM: u32 = 45_000;

pub(crate) const CHECK: Check = Check {
    number: 42,
    id: "printed in mid-air",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "first layer above 0.8 of the bore + 0.1 mm; or more than 12 mm and 10 % of a layer's path, or 45 mm in \
           one run, over nothing, bridges apart",
    source: "common practice: a layer has at most 80 % of the bore; the others: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let most = input.bore_um().saturating_mul(THICKEST_PERCENT) / 100 + SLACK_UM;
    let first = survey.first_layer.plane.map(|plane| Micrometres(plane.z_um.into()));
    if let Some(first) = first.filter(|first| first.0 > i64::from(most)) {
        findings.push(0, Level::Hold, Signal::Notice, [first.into()]);
        return;
    }
    let LayerPath { met_um, path_um, z_um, line } = survey.relief.air;
    let run = survey.relief.air_run;
    // Heights that are inches lie low: row 27 says so.
    let inches = inches::unworded(input);
    if !inches && met_um > BORNE_UM && u64::from(met_um) * 100 > u64::from(path_um) * BORNE_PERCENT {
        let z = Micrometres(z_um.into());
        findings.push(1, Level::Hold, Signal::Notice, [z.into(), Value::Count(line)]);
    } else if !inches && run.met_um > BORNE_RUN_UM {
        let z = Micrometres(run.z_um.into());
        findings.push(1, Level::Hold, Signal::Notice, [z.into(), Value::Count(run.line)]);
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
    #[test]
    fn a_layer_needs_something_below() {
        let air = |met_um, path_um| {
            Bench::surveyed(|survey| {
                survey.relief.air = LayerPath { met_um, path_um, z_um: 5_000, line: 77 };
            })
        };
        assert!(air(12_000, 12_000).run(&CHECK).is_empty());
        assert_eq!(air(12_001, 12_001).levels(&CHECK), [(HOLD, 1)]);
        assert!(air(15_000, 150_000).run(&CHECK).is_empty());
        let run = |met_um| {
            Bench::surveyed(|survey| {
                survey.relief.air_run = LayerPath { met_um, path_um: 5_000_000, z_um: 6_000, line: 78 };
            })
        };
        assert!(run(45_000).run(&CHECK).is_empty());
        assert_eq!(run(45_001).run(&CHECK)[0].values[..2], [Micrometres(6_000).into(), Value::Count(78)]);
        let found = air(15_001, 150_000).run(&CHECK);
        assert_eq!(found[0].values[..2], [Micrometres(5_000).into(), Value::Count(77)]);
    }
}
