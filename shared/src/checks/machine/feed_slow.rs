//! 101: beads laid far too slowly: feeds written in mm/s instead of mm/min.

use super::{feed_mode, inches};
use crate::checks::prelude::*;

/// Slower than this on the mean, no setting of the trade lays beads: 5 to 10 mm/s is the least speed that small layers are
/// slowed down to (common practice, no source), µm/s. Feeds of 20 to 300 mm/s taken for mm/min are 0.3 to 5 mm/s.
const SLOW_UM_S: u32 = 5_000;
/// And slower than this surely none does, µm/s (judgement).
const CRAWL_UM_S: u32 = 3_000;

pub(crate) const CHECK: Check = Check {
    number: 101,
    id: "feed in mm/s",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "mean speed of laying beads below 5 mm/s LOOK, below 3 mm/s HOLD; of the first layer alone below 3 mm/s LOOK",
    source: "least speeds of 5 to 10 mm/s: common practice; 3 mm/s: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    if inches::found(input).is_some() || feed_mode::mixed_up(input) {
        return; // Rows 27 and 29 say why.
    }
    let (all, first) = (survey.flow.mean_bead_um_s, survey.first_layer.mean_um_s);
    if (1..CRAWL_UM_S).contains(&all) {
        findings.push(0, Level::Hold, Signal::Notice, [Value::Speed(all)]);
    } else if (1..SLOW_UM_S).contains(&all) {
        findings.push(0, Level::Look, Signal::None, [Value::Speed(all)]);
    } else if (1..CRAWL_UM_S).contains(&first) {
        findings.push(1, Level::Look, Signal::None, [Value::Speed(first)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

    #[test]
    fn five_and_three_millimetres_a_second() {
        let with = |all, first| {
            Bench::surveyed(|survey| {
                (survey.flow.mean_bead_um_s, survey.first_layer.mean_um_s) = (all, first);
            })
            .levels(&CHECK)
        };
        assert!(with(0, 0).is_empty(), "no bead");
        assert!(with(5_000, 3_000).is_empty());
        assert_eq!(with(4_999, 1_000), [(LOOK, 0)]);
        assert_eq!(with(3_000, 3_000), [(LOOK, 0)]);
        assert_eq!(with(2_999, 2_999), [(HOLD, 0)]);
        assert_eq!(with(20_000, 2_999), [(LOOK, 1)]);
    }
}
