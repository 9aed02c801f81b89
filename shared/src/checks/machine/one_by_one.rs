//! 24: parts printed one after the other stand too close or too tall.

use crate::checks::prelude::*;
use crate::units::Micrometres;

pub(crate) const CHECK: Check = Check {
    number: 24,
    id: "one-by-one clearance",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "the gap between two parts (what was there already, without its brim and skirt) is below the sheet's clearance radius, or a part that another follows is above its \
           clearance height: HOLD; the sheet states no clearance: LOOK",
    source: "machine sheet",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(parts) = input.survey.map(|survey| &survey.parts) else { return };
    if parts.count < 2 {
        return;
    }
    let (radius, height) = (input.machine.clearance_radius_um, input.machine.clearance_height_um);
    let um = |um: i32| Micrometres(um.into());
    if let (Some(gap), Some(radius)) = (parts.least_gap_um().map(um), radius.map(Micrometres))
        && gap < radius
    {
        findings.push(0, Level::Hold, Signal::Notice, [gap.into(), radius.into()]);
    } else if let (Some(top), Some(height)) =
        (parts.tallest_before_last_um().map(um), height.map(Micrometres))
        && top > height
    {
        findings.push(1, Level::Hold, Signal::Notice, [top.into(), height.into()]);
    } else if radius.is_none() || height.is_none() {
        findings.push(2, Level::Look, Signal::None, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};
    use crate::survey::Part;

    fn two_parts(gap_um: i32, top_um: i32) -> Bench {
        let mut bench = Bench::surveyed(|survey| {
            survey.parts.count = 2;
            let first = Part { max_um: [50_000, 50_000], top_um, ..Part::default() };
            let second = Part { min_um: [50_000 + gap_um, 0], max_um: [150_000, 50_000], ..Part::default() };
            survey.parts.list.extend([first, second]);
        });
        bench.machine.clearance_radius_um = Some(35_000);
        bench.machine.clearance_height_um = Some(25_000);
        bench
    }

    #[test]
    fn a_skirt_round_the_part_before_is_not_struck() {
        let mut bench = two_parts(30_000, 25_000);
        let low = |bench: &mut Bench, part: usize, um| {
            bench.survey.as_mut().unwrap().parts.list[part].low_max_um[0] = um;
        };
        low(&mut bench, 0, 5_000);
        assert!(bench.run(&CHECK).is_empty());
        low(&mut bench, 0, 4_999);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
    }

    #[test]
    fn the_sheets_clearances() {
        assert!(two_parts(35_000, 25_000).run(&CHECK).is_empty());
        assert_eq!(two_parts(34_999, 25_000).levels(&CHECK), [(HOLD, 0)]);
        assert_eq!(two_parts(35_000, 25_001).levels(&CHECK), [(HOLD, 1)]);
        let mut bench = two_parts(35_000, 25_000);
        bench.machine.clearance_height_um = None;
        assert_eq!(bench.levels(&CHECK), [(LOOK, 2)]);
        assert!(Bench::surveyed(|survey| survey.parts.count = 1).run(&CHECK).is_empty());
    }
}
