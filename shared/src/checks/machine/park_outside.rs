//! 19: only a purge strip, a park move or another travel leaves the plate.

use super::outside_plate;
use super::plate::{over, over_rim};
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 19,
    id: "only park/purge outside",
    group: Group::Machine,
    levels: &[Level::Note, Level::Hold],
    rule: "moves or the purge strip, but not the work, leave the plate: by no more than the sheet's overrun NOTE, more HOLD",
    source: "machine sheet",
    live: Live::Moves,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    if outside_plate::over(input).is_some() {
        return;
    }
    let beyond = if input.machine.round {
        over_rim(input.machine, survey.motion.farthest_move_nm)
    } else {
        over(input.machine, &survey.reached)
    };
    let Some((side, distance)) = beyond else { return };
    if distance.0 > input.machine.overrun_um.max(super::plate::EDGE_UM) {
        findings.push(side.wording(), Level::Hold, Signal::Notice, [distance.into()]);
    } else {
        findings.push(side.wording(), Level::Note, Signal::None, [distance.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, NOTE};
    use crate::survey::Bounds;

    fn reaching(y1_um: i64) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::surveyed(|survey| {
            survey.reached = Bounds { min_nm: [0; 3], max_nm: [0, y1_um * 1000, 0] };
        });
        bench.machine.overrun_um = 5_000;
        bench.levels(&CHECK)
    }

    #[test]
    fn the_sheets_overrun_is_the_limit() {
        assert!(reaching(220_010).is_empty());
        assert_eq!(reaching(220_011), [(NOTE, 3)]);
        assert_eq!(reaching(225_000), [(NOTE, 3)]);
        assert_eq!(reaching(225_001), [(HOLD, 3)]);
    }
}
