//! 103: the head goes on as if it printed, and nothing is fed.

use super::feed_mode;
use crate::checks::prelude::*;
use crate::units::{Micrometres, times};

/// More moves than a way round a part, a brush or a park has (judgement).
const MOVES: u32 = 60;
/// And a longer way, nm (judgement).
const PATH_NM: u64 = 1_000_000_000;
/// A small part's layers have fewer moves: then a way of this share of all beads' path, percent, that is longer than a plate
/// is wide (judgement).
const SHARE_PERCENT: u64 = 10;
const FEW_MOVES: u32 = 45;
const SHORT_NM: u64 = 300_000_000;

pub(crate) const CHECK: Check = Check {
    number: 103,
    id: "moves on without feed",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "after the first bead, more than 60 moves and 1 m in X and Y in a row without one; or more than 45 moves and 0.3 m, \
           if that is more than 10 % of all beads' path",
    source: "judgement: travels round a part, over a brush or to a park have fewer moves",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    if feed_mode::mixed_up(input) {
        return; // Row 29 says why.
    }
    let idle = survey.motion.idle;
    let long = idle.moves > MOVES && idle.path_nm > PATH_NM;
    let beads_nm = survey.beads.total_nm().saturating_add(survey.first_layer.path_nm);
    let much = times(idle.path_nm.into(), 100) > times(beads_nm.into(), SHARE_PERCENT);
    if long || much && idle.moves > FEW_MOVES && idle.path_nm > SHORT_NM {
        let path = Micrometres(i64::try_from(idle.path_nm / 1000).unwrap_or(i64::MAX));
        findings.push(0, Level::Hold, Signal::Notice, [path.into(), Value::Count(idle.line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::Idle;

    const M: u64 = 1_000_000_000;

    fn levels(moves: u32, path_nm: u64, beads_nm: u64) -> std::vec::Vec<(Level, u8)> {
        Bench::surveyed(|survey| {
            survey.motion.idle = Idle { moves, path_nm, line: 700 };
            survey.first_layer.path_nm = beads_nm;
        })
        .levels(&CHECK)
    }

    #[test]
    fn many_moves_and_a_long_way() {
        assert!(levels(60, 9 * M, 900 * M).is_empty());
        assert!(levels(900, M, 900 * M).is_empty());
        assert_eq!(levels(61, M + 1, 900 * M), [(HOLD, 0)]);
    }

    #[test]
    fn a_large_share_of_a_small_job() {
        assert!(levels(46, 400_000_000, 4 * M).is_empty());
        assert_eq!(levels(46, 400_000_001, 4 * M), [(HOLD, 0)]);
        assert!(levels(45, 400_000_001, 4 * M).is_empty());
        assert!(levels(46, 300_000_000, M).is_empty());
        assert_eq!(levels(46, 300_000_001, M), [(HOLD, 0)]);
    }
}
