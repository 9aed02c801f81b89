//! 105: beads and pushes that fit nothing round them: blocks of the file lost, repeated or swapped.

use crate::checks::prelude::*;
use crate::survey::Tally;

/// A damaged card breaks a job at a few places; what happens more often is how the job was made (judgement).
const MOST_PLACES: u32 = 8;
/// Beads of the job for each odd one: below that they are no rarity (judgement).
const BEADS_EACH: u32 = 300;
/// Pulls of the job for each push that answers none, and for each bead over a pull (judgement).
const PULLS_EACH: u32 = 40;
/// Ways between beads for each one in several legs (judgement).
const WAYS_EACH: u32 = 300;
/// Far ways for each one with nothing drawn back (judgement).
const FAR_EACH: u32 = 40;

pub(crate) const CHECK: Check = Check {
    number: 105,
    id: "damaged in the middle",
    group: Group::Own,
    levels: &[Level::Look],
    rule: "at up to 8 places, less than one in 300 beads, a bead has plastic unlike the beads before and after it; or, less \
           than once in 40 pulls, filament is pushed that was not drawn back; or, less than once in 300 ways between beads, \
           one goes in several legs; or, less than once in 40 ways of 8 mm and more, nothing is drawn back; silent beside a HOLD",
    source: "judgement; measured on damaged jobs (guide, Damaged files)",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    // What holds the job already may be what disturbs its beads: a wrong feed mode, old lines after the end.
    if findings.count(Level::Hold) > 0 {
        return;
    }
    let breaks = &survey.breaks;
    let rare = |tally: Tally, each: u32, of: u32| {
        tally.any() && tally.count <= MOST_PLACES && tally.count.saturating_mul(each) <= of
    };
    let places = [
        (breaks.odd, BEADS_EACH, breaks.beads),
        (breaks.unasked, PULLS_EACH, breaks.pulls),
        (breaks.legs, WAYS_EACH, breaks.ways),
        (breaks.bare, FAR_EACH, breaks.far),
    ];
    let first = places
        .iter()
        .filter(|(tally, each, of)| rare(*tally, *each, *of))
        .map(|(tally, ..)| tally.first_line);
    if let Some(line) = first.min() {
        findings.push(0, Level::Look, Signal::Notice, [Value::Count(line)]);
    }
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use super::*;
    use crate::checks::bench::{Bench, LOOK};
    use crate::survey::Breaks;

    fn levels(breaks: Breaks) -> Vec<(Level, u8)> {
        Bench::surveyed(|survey| survey.breaks = breaks).levels(&CHECK)
    }

    #[test]
    fn a_few_odd_beads_are_damage_and_many_a_habit() {
        let odd =
            |count, beads| levels(Breaks { odd: Tally { count, first_line: 7 }, beads, ..Breaks::default() });
        assert_eq!(odd(1, 300), [(LOOK, 0)]);
        assert!(odd(1, 299).is_empty() && odd(0, 9000).is_empty());
        assert_eq!(odd(8, 9000), [(LOOK, 0)]);
        assert!(odd(9, 9000).is_empty());
    }

    #[test]
    fn a_way_of_its_own_is_damage() {
        let one = Tally { count: 1, first_line: 7 };
        let legs = |ways| levels(Breaks { legs: one, ways, ..Breaks::default() });
        let bare = |far| levels(Breaks { bare: one, far, ..Breaks::default() });
        assert_eq!((legs(300), bare(40)), (std::vec![(LOOK, 0)], std::vec![(LOOK, 0)]));
        assert!(legs(299).is_empty() && bare(39).is_empty());
    }

    #[test]
    fn a_push_that_answers_no_pull_is_damage_where_all_others_do() {
        let unasked = Tally { count: 1, first_line: 7 };
        assert_eq!(levels(Breaks { unasked, pulls: 40, ..Breaks::default() }), [(LOOK, 0)]);
        assert!(levels(Breaks { unasked, pulls: 39, ..Breaks::default() }).is_empty());
    }
}
