//! 28: absolute positions read as relative, or the other way round.

use super::inches;
use crate::checks::prelude::*;

/// So many moves show a habit (judgement).
const MOVES: u32 = 50;
/// Steps of a relative file are shorter than this on the mean, µm (judgement).
const LONG_STEPS_UM: u64 = 20_000;
/// And stay on the plate: places taken for steps run off it by more than its longer side, times this (judgement).
const PLATES: i64 = 2;
/// Positions of an absolute file lie further than this from the corner on the mean, µm (judgement).
const NEAR_CORNER_UM: u64 = 2_000;

pub(crate) const CHECK: Check = Check {
    number: 28,
    id: "position mode mix-up",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "more than 50 relative moves with a mean |X| above 20 mm that go further than two plates; or more than 50 absolute ones with a mean |X| below 2 mm \
           on a machine whose zero is the corner",
    source: "owners' reports of mixed-up modes; numbers: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let (motion, reached) = (&survey.motion, &survey.reached);
    if inches::found(input).is_some() {
        return;
    }
    let (relative, absolute) = (&motion.relative, &motion.absolute);
    let [x, y, _] = reached.size_nm();
    let [width, depth] = input.machine.bed_um;
    let runs_off = x.max(y) / 1000 > width.max(depth).saturating_mul(PLATES);
    if relative.met.count > MOVES && relative.mean_abs_x_um() > LONG_STEPS_UM && runs_off {
        findings.push(0, Level::Hold, Signal::Notice, [Value::Count(relative.met.first_line)]);
    } else if absolute.met.count > MOVES
        && absolute.mean_abs_x_um() < NEAR_CORNER_UM
        && !input.machine.origin_centre
    {
        findings.push(1, Level::Hold, Signal::Notice, [Value::Count(absolute.met.first_line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::{Bounds, PositionUse, Tally};

    fn met(count: u32, mean_um: u64) -> PositionUse {
        PositionUse { met: Tally { count, first_line: 9 }, sum_abs_x_nm: u64::from(count) * mean_um * 1000 }
    }

    #[test]
    fn long_relative_steps_hold() {
        // The bench's plate is 220 mm wide.
        let going = |count, mean, width_nm| {
            Bench::surveyed(|survey| {
                survey.motion.relative = met(count, mean);
                survey.reached = Bounds { min_nm: [0; 3], max_nm: [width_nm, 0, 0] };
            })
            .levels(&CHECK)
        };
        let with = |count, mean| going(count, mean, 900_000_000);
        assert!(with(50, 100_000).is_empty());
        assert!(with(51, 20_000).is_empty());
        assert_eq!(with(51, 20_001), [(HOLD, 0)]);
        // Long steps to and fro stay where they are.
        assert!(going(51, 50_000, 440_000_000).is_empty());
        assert_eq!(going(51, 50_000, 441_000_000), [(HOLD, 0)]);
    }

    #[test]
    fn absolute_positions_at_the_corner_hold() {
        let with = |count, mean| Bench::surveyed(|survey| survey.motion.absolute = met(count, mean));
        assert!(with(50, 0).run(&CHECK).is_empty());
        assert!(with(51, 2_000).run(&CHECK).is_empty());
        assert_eq!(with(51, 1_999).levels(&CHECK), [(HOLD, 1)]);
        let mut centre = with(51, 0);
        centre.machine.origin_centre = true;
        assert!(centre.run(&CHECK).is_empty());
    }
}
