//! 102: beads that begin after a pull that was never made good.

use super::feed_mode;
use crate::checks::file::cut_short;
use crate::checks::prelude::*;

/// The first layer may begin so once: start texts end with a pull, and the skirt makes it good (common practice).
const BORNE_FIRST: u32 = 1;
/// So many gaps spoil the part (judgement).
const MANY: u32 = 8;

pub(crate) const CHECK: Check = Check {
    number: 102,
    id: "bead not primed",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "a bead that begins with at least half of a pull back, and 0.3 mm, not pushed again, the first such bead of the first \
           layer apart: LOOK; more than 8 of them: HOLD",
    source: "a pull leaves the nozzle empty until it is made good; numbers: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    if feed_mode::mixed_up(input) || cut_short::why(input).is_some() {
        return; // Rows 29 and 1 say why.
    }
    let [first, above] = survey.filament.unprimed;
    let count = first.count.saturating_sub(BORNE_FIRST).saturating_add(above.count);
    if count == 0 {
        return;
    }
    let line = if first.count > BORNE_FIRST { first.first_line } else { above.first_line };
    let (level, signal) =
        if count > MANY { (Level::Hold, Signal::Notice) } else { (Level::Look, Signal::None) };
    findings.push(0, level, signal, [Value::Count(line), Value::Count(count)]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};
    use crate::survey::Tally;

    #[test]
    fn once_on_the_first_layer_is_borne() {
        let with = |first, above| {
            let tally = |count| Tally { count, first_line: 90 };
            Bench::surveyed(|survey| survey.filament.unprimed = [tally(first), tally(above)]).levels(&CHECK)
        };
        assert!(with(1, 0).is_empty());
        assert_eq!(with(2, 0), [(LOOK, 0)]);
        assert_eq!(with(0, 1), [(LOOK, 0)]);
        assert_eq!(with(1, 8), [(LOOK, 0)]);
        assert_eq!(with(2, 8), [(HOLD, 0)]);
    }
}
