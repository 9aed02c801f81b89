//! 39: beads far thicker or thinner than the rest.

use super::feed_mode;
use crate::checks::check::{Check, Group, Live};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

/// Bounds as shares of the median bead, percent (common practice).
const LEAST_PERCENT: u32 = 30;
const MOST_PERCENT: u32 = 150;
/// Share of the path that may lie outside, thousandths (judgement).
const BORNE_PERMILLE: u16 = 30;

pub(crate) const CHECK: Check = Check {
    number: 39,
    id: "bead implausible",
    group: Group::Machine,
    levels: &[Level::Look],
    rule: "more than 3 % of the path above the first layer has beads below 0.3 or above 1.5 times the median one",
    source: "common practice; 3 %: judgement",
    live: Live::Moves,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let Some(median) = survey.beads.median_ppm() else { return };
    if feed_mode::mixed_up(input) {
        return; // Row 29 says why.
    }
    let share = |percent: u32| median.saturating_mul(percent) / 100;
    let outside = survey.beads.outside_permille(share(LEAST_PERCENT), share(MOST_PERCENT));
    if outside > BORNE_PERMILLE {
        findings.push(39, 0, Level::Look, Signal::None, [Value::Percent(outside / 10)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};
    use crate::survey::Beads;

    #[test]
    fn three_percent_of_the_path_are_borne() {
        let with = |odd_nm| {
            Bench::surveyed(|survey| {
                survey.beads.path_nm[Beads::band(34_000)] = 1_000_000 - odd_nm;
                survey.beads.path_nm[Beads::band(100_000)] = odd_nm;
            })
            .levels(&CHECK)
        };
        assert!(with(30_000).is_empty());
        assert_eq!(with(31_000), [(LOOK, 0)]);
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
    }
}
