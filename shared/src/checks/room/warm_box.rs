//! 80: the grade wants a warm box and the machine or its door is open.

use crate::checks::machine::wide_flat::long_edge_um;
use crate::checks::prelude::*;

/// Parts beyond this edge are large, µm (the same judgement as for curling, row 41).
const LARGE_UM: i64 = 120_000;

pub(crate) const CHECK: Check = Check {
    number: 80,
    id: "needs warm box",
    group: Group::Room,
    levels: &[Level::Note, Level::Look],
    rule: "a grade that wants a warm box (ABS, ASA, PC, PA, PEEK, PEI, PPS) on a machine without a housing: LOOK for a part longer than 120 mm (its first layer \
           covers 40 % of its box), else NOTE; in a housing: LOOK if its door is answered to be open",
    source: "common practice; length: judgement",
    live: Live::Header,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(grade) = input.grade() else { return };
    if !grade.base.row().warm_box {
        return;
    }
    let symbol = Value::text(grade.base.row().symbol);
    if input.machine.enclosed {
        if input.answers.door_shut == Some(false) {
            findings.push(1, Level::Look, Signal::None, [symbol]);
        }
        return;
    }
    let large = long_edge_um(input).is_some_and(|edge| edge > LARGE_UM);
    let level = if large { Level::Look } else { Level::Note };
    findings.push(0, level, Signal::None, [symbol]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, NOTE, levels};
    use crate::survey::Bounds;

    #[test]
    fn large_parts_on_an_open_machine() {
        let with = |material, edge_nm, enclosed| {
            let mut bench = Bench::job(material);
            bench.machine.enclosed = enclosed;
            bench.survey = Bench::surveyed(|survey| {
                survey.first_layer.bounds = Bounds { min_nm: [0; 3], max_nm: [edge_nm, 0, 0] };
            })
            .survey;
            bench.levels(&CHECK)
        };
        assert_eq!(with("ABS", 120_000_000, false), [(NOTE, 0)]);
        assert_eq!(with("ABS", 120_001_000, false), [(LOOK, 0)]);
        assert!(with("ABS", 120_001_000, true).is_empty());
        assert!(with("PLA", 120_001_000, false).is_empty());
        assert_eq!(Bench::job("PC").levels(&CHECK), [(NOTE, 0)], "nothing is known of its size yet");
    }

    #[test]
    fn a_housing_is_as_good_as_its_door() {
        let with = |material, shut| {
            let mut bench = Bench::job(material);
            bench.machine.enclosed = true;
            let mut input = bench.input();
            input.answers.door_shut = shut;
            levels(&CHECK, &input)
        };
        assert_eq!(with("ABS", Some(false)), [(LOOK, 1)]);
        assert!(with("ABS", Some(true)).is_empty() && with("ABS", None).is_empty());
        assert!(with("PLA", Some(false)).is_empty());
    }
}
