//! 98: motors off in the middle.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 98,
    id: "motors off in the middle",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "motors of X, Y or Z off after homing or within the part, and beads before those axes are homed again: HOLD; the \
           extruder's motor alone: LOOK",
    source: "an axis without current keeps no place: common practice, no source",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(motion) = input.survey.map(|survey| &survey.motion) else { return };
    if motion.laid_lost.any() {
        let line = Value::Count(motion.laid_lost.first_line);
        findings.push(0, Level::Hold, Signal::Notice, [line]);
    }
    if motion.extruder_rested.any() {
        let line = Value::Count(motion.extruder_rested.first_line);
        findings.push(1, Level::Look, Signal::None, [line]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

    #[test]
    fn axes_hold_and_the_extruder_is_looked_at() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        assert_eq!(Bench::surveyed(|survey| survey.motion.laid_lost.add(40)).levels(&CHECK), [(HOLD, 0)]);
        assert_eq!(
            Bench::surveyed(|survey| survey.motion.extruder_rested.add(40)).levels(&CHECK),
            [(LOOK, 1)]
        );
    }
}
