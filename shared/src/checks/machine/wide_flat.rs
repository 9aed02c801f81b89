//! 41: a long edge that may curl up.

use crate::checks::check::{Check, Group, Live};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::records::GradeRow;
use crate::units::Micrometres;

/// In a closed housing grades that want one bear this, µm (judgement).
const LONG_IN_BOX_UM: i64 = 180_000;
/// The first layer covers at least this share of its box, percent: else it is several small parts (judgement).
const COVERED_PERCENT: i64 = 40;

pub(crate) const CHECK: Check = Check {
    number: 41,
    id: "wide flat, likely to curl",
    group: Group::Machine,
    levels: &[Level::Look],
    rule: "longer side of the first layer above the material table's edge (ABS, ASA, PC, PA, PP 120 mm, PLA, PETG 180 mm; \
           180 mm for what wants a warm box and has one), where it covers 40 % of its box",
    source: "judgement of the room's lead",
    live: Live::Moves,
    never_silenced: false,
    run,
};

/// Longest edge that a base bears here, µm: the material table's, more in a closed housing.
fn longest_um(row: &GradeRow, enclosed: bool) -> Option<i64> {
    let longest = i64::from(row.curl_mm?) * 1000;
    Some(if row.warm_box && enclosed { longest.max(LONG_IN_BOX_UM) } else { longest })
}

/// Longer side of the first layer's box, µm; `None` where nothing was laid, or so little of the box is covered that
/// it holds several small parts.
pub(crate) fn long_edge_um(input: &CheckInput<'_>) -> Option<i64> {
    let first = &input.survey?.first_layer;
    if first.bounds.is_empty() {
        return None;
    }
    let [x, y, _] = first.bounds.size_nm();
    let area = first.area_mm2(input.machine.filament_um).map_or(0, i64::from);
    let box_mm2 = (x / 1_000_000).saturating_mul(y / 1_000_000);
    let covered = area.saturating_mul(100) >= box_mm2.saturating_mul(COVERED_PERCENT);
    covered.then_some(x.max(y) / 1000)
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let (Some(grade), Some(edge)) = (input.grade(), long_edge_um(input)) else { return };
    let Some(longest) = longest_um(grade.base.row(), input.machine.enclosed) else { return };
    if edge > longest {
        findings.push(41, 0, Level::Look, Signal::None, [Value::Length(Micrometres(edge))]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};
    use crate::survey::{Bounds, Plane};

    fn levels(material: &str, edge_um: i64, enclosed: bool, area_mm2: i64) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::job(material).spool(material);
        bench.machine.enclosed = enclosed;
        bench.survey = Bench::surveyed(|survey| {
            survey.first_layer.bounds = Bounds { min_nm: [0; 3], max_nm: [edge_um * 1000, 10_000_000, 0] };
            survey.first_layer.plane = Some(Plane { z_um: 200, line: 1 });
            survey.first_layer.filament_nm = area_mm2 * 200_000_000_000 / 2_405_282 + 100;
        })
        .survey;
        bench.levels(&CHECK)
    }

    #[test]
    fn by_how_much_the_grade_shrinks() {
        assert!(levels("ABS", 120_000, false, 1200).is_empty());
        assert_eq!(levels("ABS", 120_001, false, 1200), [(LOOK, 0)]);
        assert!(levels("ABS", 180_000, true, 1800).is_empty());
        assert_eq!(levels("ABS", 180_001, true, 1800), [(LOOK, 0)]);
        assert!(levels("PLA", 180_000, false, 1800).is_empty());
        assert_eq!(levels("PLA", 180_001, false, 1800), [(LOOK, 0)]);
        assert!(levels("TPU", 220_000, false, 2200).is_empty());
    }

    #[test]
    fn several_small_parts_are_no_long_edge() {
        // 200 x 10 mm: 40 % are 800 mm².
        assert_eq!(levels("PLA", 200_000, false, 800), [(LOOK, 0)]);
        assert!(levels("PLA", 200_000, false, 799).is_empty());
    }
}
