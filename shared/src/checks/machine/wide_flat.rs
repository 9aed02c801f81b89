//! 41: a long edge that may curl up.

use crate::checks::prelude::*;
use crate::records::GradeRow;
use crate::survey::{Bounds, FirstLayer};
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
    rule: "no brim, and longer side of the part on the plate above the material table's edge (ABS, ASA, PC, PA, PP 120 mm, PLA, PETG 180 mm; \
           180 mm for what wants a warm box and has one), where it covers 40 % of its box",
    source: "judgement of the room's lead",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

/// Longest edge that a base bears here, µm: the material table's, more in a closed housing.
fn longest_um(row: &GradeRow, enclosed: bool) -> Option<i64> {
    let longest = i64::from(row.curl_mm?) * 1000;
    Some(if row.warm_box && enclosed { longest.max(LONG_IN_BOX_UM) } else { longest })
}

/// A brim is at least this wide (common practice: 3 to 10 mm), nm.
const BRIM_NM: i64 = 3_000_000;
/// And covers at least this share of what it adds to the box, percent: a skirt covers less (judgement).
const BRIM_COVERED_PERCENT: i64 = 50;

/// Longer side of the part's box on the plate, its brim and skirt left out, µm; `None` where nothing was laid, or so little of the box is covered that
/// it holds several small parts.
pub(crate) fn long_edge_um(input: &CheckInput<'_>) -> Option<i64> {
    let first = &input.survey?.first_layer;
    let bounds = part_box(first);
    if bounds.is_empty() {
        return None;
    }
    let [x, y, _] = bounds.size_nm();
    let area = first.area_mm2(input.machine.filament_um).map_or(0, i64::from);
    let covered = area.saturating_mul(100) >= box_mm2(&bounds).saturating_mul(COVERED_PERCENT);
    // Of parts that lie side by side the longest counts.
    let longest = match input.survey?.relief.longest_um {
        0 => i64::MAX,
        piece => i64::from(piece),
    };
    covered.then_some((x.max(y) / 1000).min(longest))
}

/// The part without brim and skirt: what the layers above the first show, if there are any.
const fn part_box(first: &FirstLayer) -> Bounds {
    if first.above.is_empty() { first.bounds } else { first.above }
}

fn box_mm2(bounds: &Bounds) -> i64 {
    let [x, y, _] = bounds.size_nm().map(|nm| nm / 1_000_000);
    x.saturating_mul(y)
}

/// Whether a brim holds the part's ends down: the first layer goes beyond both ends, and covers what it adds.
fn has_brim(input: &CheckInput<'_>) -> bool {
    let Some(first) = input.survey.map(|survey| &survey.first_layer) else { return false };
    let (part, all) = (part_box(first), &first.bounds);
    let [x, y, _] = part.size_nm();
    let ends = |axis: usize| {
        let at = |values: [i64; 3]| values.get(axis).copied().unwrap_or(0);
        at(all.min_nm).saturating_add(BRIM_NM) <= at(part.min_nm)
            && at(all.max_nm) >= at(part.max_nm).saturating_add(BRIM_NM)
    };
    let added = box_mm2(all).saturating_sub(box_mm2(&part));
    // A board that lies askew covers less than its box.
    let covered = match input.survey.map_or(0, |survey| survey.relief.above_mm2) {
        0 => box_mm2(&part),
        above => box_mm2(&part).min(i64::from(above)),
    };
    let laid = first.area_mm2(input.machine.filament_um).map_or(0, i64::from).saturating_sub(covered);
    ends(usize::from(y > x)) && laid.saturating_mul(100) >= added.saturating_mul(BRIM_COVERED_PERCENT)
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let (Some(grade), Some(edge)) = (input.grade(), long_edge_um(input)) else { return };
    let Some(longest) = longest_um(grade.base.row(), input.machine.enclosed) else { return };
    if edge > longest && !has_brim(input) {
        findings.push(0, Level::Look, Signal::None, [Value::Length(Micrometres(edge))]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};
    use crate::survey::Plane;

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

    #[test]
    fn a_brim_holds_the_ends_down_and_a_skirt_does_not() {
        // A solid board of 200 x 20 mm; what the first layer has beyond it, mm at each side, and its area, mm².
        let with = |beyond: i64, area_mm2: i64, board_mm: i64| {
            let mut bench = Bench::job("PLA").spool("PLA");
            let nm = |mm: i64| mm * 1_000_000;
            bench.survey = Bench::surveyed(|survey| {
                let first = &mut survey.first_layer;
                first.above = Bounds { min_nm: [0; 3], max_nm: [nm(board_mm), nm(20), 0] };
                first.bounds = Bounds {
                    min_nm: [nm(-beyond), nm(-beyond), 0],
                    max_nm: [nm(board_mm + beyond), nm(20 + beyond), 0],
                };
                first.plane = Some(Plane { z_um: 200, line: 1 });
                first.filament_nm = area_mm2 * 200_000_000_000 / 2_405_282 + 100;
            })
            .survey;
            bench.levels(&CHECK)
        };
        // 5 mm round it add 210 x 30 - 4000 = 2300 mm².
        assert!(with(5, 6300, 200).is_empty());
        assert!(with(5, 5150, 200).is_empty(), "half of what it adds");
        assert_eq!(with(5, 5149, 200), [(LOOK, 0)], "less");
        assert_eq!(with(2, 4880, 200), [(LOOK, 0)], "too narrow");
        // A board of 170 x 40 mm at 30 degrees has a box of 167 x 120 mm; 5 mm round it are 2,179 mm².
        let askew = |area_mm2: i64| {
            let mut bench = Bench::job("ABS").spool("ABS");
            let nm = |mm: i64| mm * 1_000_000;
            bench.survey = Bench::surveyed(|survey| {
                survey.relief.above_mm2 = 6_800;
                let first = &mut survey.first_layer;
                first.above = Bounds { min_nm: [0; 3], max_nm: [nm(167), nm(120), 0] };
                first.bounds = Bounds { min_nm: [nm(-5), nm(-5), 0], max_nm: [nm(172), nm(125), 0] };
                first.plane = Some(Plane { z_um: 200, line: 1 });
                first.filament_nm = area_mm2 * 200_000_000_000 / 2_405_282 + 100;
            })
            .survey;
            bench.levels(&CHECK)
        };
        assert!(askew(6_800 + 2_179).is_empty());
        assert_eq!(askew(6_800 + 1_400), [(LOOK, 0)], "a skirt beside it");
        // A skirt round a board that is short enough makes it no longer.
        assert!(with(8, 3900, 178).is_empty());
    }
}
