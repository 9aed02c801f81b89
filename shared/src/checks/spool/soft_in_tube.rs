//! 62: a soft grade pushed fast, or pulled back far, through a long tube.

use crate::checks::prelude::*;
use crate::records::FeedPath;
use crate::units::Micrometres;

/// Fastest filament through the tube, µm/s (judgement).
const FASTEST_UM_S: u32 = 3_000;
/// Longest pull back (judgement).
const PULL: Micrometres = Micrometres::from_mm(2);

pub(crate) const CHECK: Check = Check {
    number: 62,
    id: "soft grade, long tube",
    group: Group::Spool,
    levels: &[Level::Look],
    rule: "TPU through a tube, and the filament faster than 3 mm/s or pulled back by more than 2 mm",
    source: "judgement of the room's lead",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let soft = input.grade().is_some_and(|grade| grade.base.row().soft);
    if !soft || input.machine.feed_path != FeedPath::Tube {
        return;
    }
    let (speed, pull) = (survey.flow.peak_feed_um_s, survey.filament.longest_pull.length_nm);
    if speed > FASTEST_UM_S {
        findings.push(0, Level::Look, Signal::None, [Value::Speed(speed), Value::Speed(FASTEST_UM_S)]);
    } else if pull > PULL.0 * 1000 {
        findings.push(1, Level::Look, Signal::None, [Micrometres(pull / 1000).into(), PULL.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};

    fn levels(material: &str, path: FeedPath, speed: u32, pull_nm: i64) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::job(material).spool(material);
        bench.machine.feed_path = path;
        bench.survey = Bench::surveyed(|survey| {
            survey.flow.peak_feed_um_s = speed;
            survey.filament.longest_pull.length_nm = pull_nm;
        })
        .survey;
        bench.levels(&CHECK)
    }

    #[test]
    fn speed_and_pull_through_a_tube() {
        assert!(levels("TPU", FeedPath::Tube, 3_000, 2_000_000).is_empty());
        assert_eq!(levels("TPU", FeedPath::Tube, 3_001, 0), [(LOOK, 0)]);
        assert_eq!(levels("TPU", FeedPath::Tube, 3_000, 2_000_001), [(LOOK, 1)]);
        assert!(levels("TPU", FeedPath::Direct, 9_000, 9_000_000).is_empty());
        assert!(levels("PLA", FeedPath::Tube, 9_000, 9_000_000).is_empty());
    }
}
