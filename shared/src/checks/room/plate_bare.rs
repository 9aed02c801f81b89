//! 67: something lies on the plate, or nobody said that it is bare.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 67,
    id: "old part or scrap on plate",
    group: Group::Room,
    levels: &[Level::Look, Level::Hold],
    rule: "the answer is not \"nothing, bare\"; or the last run was never closed out and nobody answered yet",
    source: "judgement of the room's lead",
    live: Live::Told,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let wording = match input.answers.plate {
        Some(PlateAnswer::Occupied) => 0,
        Some(PlateAnswer::Missing) => 1,
        None if input.history.last_run_open => 2,
        Some(PlateAnswer::Bare) | None => return,
    };
    // What nobody has looked at yet is asked in the walk-round, and the answer holds or not.
    let level = if wording == 2 { Level::Look } else { Level::Hold };
    findings.push(wording, level, Signal::Notice, []);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, levels};

    #[test]
    fn only_a_bare_plate_passes() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.history.last_run_open = true;
        assert_eq!(levels(&CHECK, &input), [(LOOK, 2)]);
        input.answers.plate = Some(PlateAnswer::Bare);
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.plate = Some(PlateAnswer::Occupied);
        assert_eq!(levels(&CHECK, &input), [(HOLD, 0)]);
        input.answers.plate = Some(PlateAnswer::Missing);
        assert_eq!(levels(&CHECK, &input), [(HOLD, 1)]);
    }
}
