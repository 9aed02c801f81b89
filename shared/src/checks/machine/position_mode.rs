//! 28: absolute positions read as relative, or the other way round.

use super::inches;
use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

/// So many moves show a habit (judgement).
const MOVES: u32 = 50;
/// Steps of a relative file are shorter than this on the mean, µm (judgement).
const LONG_STEPS_UM: u64 = 20_000;
/// Positions of an absolute file lie further than this from the corner on the mean, µm (judgement).
const NEAR_CORNER_UM: u64 = 2_000;

pub(crate) const CHECK: Check = Check {
    number: 28,
    id: "position mode mix-up",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "more than 50 relative moves with a mean |X| above 20 mm; or more than 50 absolute ones with a mean |X| below 2 mm \
           on a machine whose zero is the corner",
    source: "owners' reports of mixed-up modes; numbers: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(motion) = input.survey.map(|survey| &survey.motion) else { return };
    if inches::found(input).is_some() {
        return;
    }
    let (relative, absolute) = (&motion.relative, &motion.absolute);
    if relative.met.count > MOVES && relative.mean_abs_x_um() > LONG_STEPS_UM {
        findings.push(28, 0, Level::Hold, Signal::Notice, [Value::Count(relative.met.first_line)]);
    } else if absolute.met.count > MOVES
        && absolute.mean_abs_x_um() < NEAR_CORNER_UM
        && !input.machine.origin_centre
    {
        findings.push(28, 1, Level::Hold, Signal::Notice, [Value::Count(absolute.met.first_line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::{PositionUse, Tally};

    fn met(count: u32, mean_um: u64) -> PositionUse {
        PositionUse { met: Tally { count, first_line: 9 }, sum_abs_x_nm: u64::from(count) * mean_um * 1000 }
    }

    #[test]
    fn long_relative_steps_hold() {
        let with =
            |count, mean| Bench::surveyed(|survey| survey.motion.relative = met(count, mean)).levels(&CHECK);
        assert!(with(50, 100_000).is_empty());
        assert!(with(51, 20_000).is_empty());
        assert_eq!(with(51, 20_001), [(HOLD, 0)]);
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
