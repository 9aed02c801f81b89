//! 35: the first layer is laid too fast to stick.

use crate::checks::prelude::*;

/// Fastest first layer, µm/s (common practice: 15 to 30 mm/s).
const FASTEST_UM_S: u32 = 40_000;
/// The same for soft grades.
const FASTEST_SOFT_UM_S: u32 = 25_000;

pub(crate) const CHECK: Check = Check {
    number: 35,
    id: "first layer fast",
    group: Group::Machine,
    levels: &[Level::Look],
    rule: "mean speed of laying the first layer above 40 mm/s, TPU above 25 mm/s",
    source: "common practice: 15 to 30 mm/s",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(mean) = input.survey.map(|survey| survey.first_layer.mean_um_s) else { return };
    let soft = input.grade().is_some_and(|grade| grade.base.row().soft);
    let fastest = if soft { FASTEST_SOFT_UM_S } else { FASTEST_UM_S };
    if mean > fastest {
        findings.push(0, Level::Look, Signal::None, [Value::Speed(mean), Value::Speed(fastest)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};

    #[test]
    fn forty_and_for_soft_grades_twenty_five() {
        let with = |material, speed| {
            let mut bench = Bench::job(material);
            bench.survey = Bench::surveyed(|survey| survey.first_layer.mean_um_s = speed).survey;
            bench.levels(&CHECK)
        };
        assert!(with("PLA", 40_000).is_empty());
        assert_eq!(with("PLA", 40_001), [(LOOK, 0)]);
        assert!(with("TPU", 25_000).is_empty());
        assert_eq!(with("TPU", 25_001), [(LOOK, 0)]);
    }
}
