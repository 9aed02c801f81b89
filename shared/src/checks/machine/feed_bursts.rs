//! 38: a long pull back or push of the filament alone.

use super::feed_mode;
use crate::checks::prelude::*;
use crate::records::FeedPath;
use crate::units::Micrometres;

/// Longest pull back of a drive on the head: most pull 0.5 to 2 mm, many 3 mm and some 4 mm (common practice, no source). A
/// longer one draws melt into the cold part of the throat.
const PULL_DIRECT: Micrometres = Micrometres::from_mm(4);
/// Longest pull back through a tube (common practice).
const PULL_TUBE: Micrometres = Micrometres::from_mm(7);
/// A longer one draws the filament out of the hot end, where its end hardens (judgement: hot ends are 40 to 60 mm long).
const PULL_OUT: Micrometres = Micrometres::from_mm(30);
/// Longest push beyond what was pulled, once the first bead was laid (judgement: 48 mm³ of 1.75 mm filament are a lump).
const PUSH: Micrometres = Micrometres::from_mm(20);

pub(crate) const CHECK: Check = Check {
    number: 38,
    id: "feed bursts",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "pulls back between two beads of more than 4 mm in all, through a tube 7 mm, LOOK, of more than 30 mm HOLD; pushes \
           between two beads of more than 20 mm beyond what was pulled: LOOK; a pause or another tool between them apart",
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
    let found = [(0, survey.filament.pulled_inside, most), (1, survey.filament.pushed_inside, PUSH)];
    for (wording, pull, limit) in found {
        let length = Micrometres(pull.length_nm / 1000);
        if length > limit {
            let out = wording == 0 && length > PULL_OUT;
            let (level, signal) =
                if out { (Level::Hold, Signal::Notice) } else { (Level::Look, Signal::None) };
            let values = [length.into(), Value::Count(pull.line), limit.into()];
            findings.push(wording, level, signal, values);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};
    use crate::survey::Pull;

    fn pull(length_nm: i64, path: FeedPath) -> std::vec::Vec<(Level, u8)> {
        let mut bench =
            Bench::surveyed(|survey| survey.filament.pulled_inside = Pull { length_nm, line: 900 });
        bench.machine.feed_path = path;
        bench.levels(&CHECK)
    }

    #[test]
    fn pulls_by_the_feed_path() {
        assert!(pull(4_000_999, FeedPath::Direct).is_empty());
        assert_eq!(pull(4_001_000, FeedPath::Direct), [(LOOK, 0)]);
        assert!(pull(7_000_000, FeedPath::Tube).is_empty());
        assert_eq!(pull(7_001_000, FeedPath::Tube), [(LOOK, 0)]);
        assert_eq!(pull(30_000_000, FeedPath::Direct), [(LOOK, 0)]);
        assert_eq!(pull(30_001_000, FeedPath::Tube), [(HOLD, 0)]);
    }

    #[test]
    fn pushes() {
        let push = |length_nm| {
            Bench::surveyed(|survey| survey.filament.pushed_inside = Pull { length_nm, line: 900 })
                .levels(&CHECK)
        };
        assert!(push(20_000_000).is_empty());
        assert_eq!(push(20_001_000), [(LOOK, 1)]);
        assert_eq!(push(90_000_000), [(LOOK, 1)]);
    }
}
