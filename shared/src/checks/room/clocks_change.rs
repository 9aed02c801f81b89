//! 86: the clocks change while the job runs.

use super::forecast::forecast;
use crate::checks::prelude::*;
use crate::time::WallClock;

pub(crate) const CHECK: Check = Check {
    number: 86,
    id: "summer-time jump",
    group: Group::Room,
    levels: &[Level::Note],
    rule: "a clock_changes entry of the room rules lies between start and latest end",
    source: "room rules: the region's summer-time rule",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(forecast) = forecast(input) else { return };
    let during = |change: &&WallClock| forecast.start < **change && **change <= forecast.latest;
    if let Some(change) = input.room.clock_changes.iter().find(during) {
        findings.push(0, Level::Note, Signal::None, [(*change).into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, NOTE, levels, wednesday};

    #[test]
    fn within_the_run() {
        // 10:00 to 13:01 (worked in `forecast`).
        let at = |hour, minute| {
            let mut bench = Bench::new();
            bench.room.clock_changes.push(wednesday(hour, minute)).unwrap();
            let mut input = bench.input();
            input.now = Some(wednesday(10, 0));
            levels(&CHECK, &input)
        };
        assert!(at(10, 0).is_empty());
        assert_eq!(at(10, 1), [(NOTE, 0)]);
        assert_eq!(at(13, 1), [(NOTE, 0)]);
        assert!(at(13, 2).is_empty());
    }
}
