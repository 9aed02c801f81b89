//! 38: a long pull back or push of the filament alone.

use super::feed_mode;
use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::records::FeedPath;
use crate::survey::Pull;
use crate::units::Micrometres;

/// Longest pull back of a drive on the head (common practice).
const PULL_DIRECT: Micrometres = Micrometres::from_mm(2);
/// Longest pull back through a tube (common practice).
const PULL_TUBE: Micrometres = Micrometres::from_mm(7);
/// Longest push once the first layer began (judgement).
const PUSH: Micrometres = Micrometres::from_mm(60);

pub(crate) const CHECK: Check = Check {
    number: 38,
    id: "feed bursts",
    group: Group::Machine,
    levels: &[Level::Look],
    rule: "a single pull back up to the last bead of more than 2 mm, through a tube 7 mm; a single push of more than 60 mm \
           after the first layer began",
    source: "common practice; push: judgement",
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
    let most = match input.machine.feed_path {
        FeedPath::Direct => PULL_DIRECT,
        FeedPath::Tube => PULL_TUBE,
    };
    // After the last bead a long pull is the end text's, and nothing is fed any more.
    let inside = |pull: &Pull| pull.line <= survey.tail.last_bead_line;
    let found = [(0, survey.filament.longest_pull, most), (1, survey.filament.longest_push_inside, PUSH)];
    for (wording, pull, limit) in found {
        if inside(&pull) && pull.length_nm > limit.0 * 1000 {
            let length = Micrometres(pull.length_nm / 1000);
            findings.push(
                38,
                wording,
                Level::Look,
                Signal::None,
                [length.into(), Value::Count(pull.line), limit.into()],
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};

    fn pull(length_nm: i64, line: u32, path: FeedPath) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::surveyed(|survey| survey.filament.longest_pull = Pull { length_nm, line });
        bench.machine.feed_path = path;
        bench.levels(&CHECK)
    }

    #[test]
    fn pulls_by_the_feed_path() {
        assert!(pull(2_000_000, 900, FeedPath::Direct).is_empty());
        assert_eq!(pull(2_000_001, 900, FeedPath::Direct), [(LOOK, 0)]);
        assert!(pull(7_000_000, 900, FeedPath::Tube).is_empty());
        assert_eq!(pull(7_000_001, 900, FeedPath::Tube), [(LOOK, 0)]);
        // The bench's last bead is on line 39,000.
        assert!(pull(90_000_000, 39_001, FeedPath::Direct).is_empty());
    }

    #[test]
    fn pushes() {
        let push = |length_nm| {
            Bench::surveyed(|survey| survey.filament.longest_push_inside = Pull { length_nm, line: 900 })
                .levels(&CHECK)
        };
        assert!(push(60_000_000).is_empty());
        assert_eq!(push(60_000_001), [(LOOK, 1)]);
    }
}
