//! 86: the clocks change while the job runs.

use super::forecast::forecast;
use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 86,
    id: "summer-time jump",
    group: Group::Room,
    levels: &[Level::Note],
    rule: "a change of the room's clocks lies between start and latest end",
    source: "the region's summer-time rule",
    live: Live::Unfed,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let (Some(change), Some(forecast)) = (input.history.clocks_change, forecast(input)) else { return };
    if forecast.start < change && change <= forecast.latest {
        findings.push(86, 0, Level::Note, Signal::None, [change.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, NOTE, levels, wednesday};

    #[test]
    fn within_the_run() {
        // 10:00 to 13:01 (worked in `forecast`).
        let bench = Bench::new();
        let at = |hour, minute| {
            let mut input = bench.input();
            input.now = Some(wednesday(10, 0));
            input.history.clocks_change = Some(wednesday(hour, minute));
            levels(&CHECK, &input)
        };
        assert!(at(10, 0).is_empty());
        assert_eq!(at(10, 1), [(NOTE, 0)]);
        assert_eq!(at(13, 1), [(NOTE, 0)]);
        assert!(at(13, 2).is_empty());
    }
}
