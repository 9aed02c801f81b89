//! 44: filament is fed before the nozzle is hot.

use crate::checks::prelude::*;
use crate::limits::HOT_NOZZLE_C;
use crate::units::{Celsius, Seconds};

/// Below this no grade here melts.
const COLDEST: Celsius = Celsius(HOT_NOZZLE_C);
/// A target set this long before the first feed may do without a wait (judgement: a hot end gains 2 to 3 °C a second, so
/// that it passes 170 °C within a minute; homing alone takes half of that and is no wait).
const UNWAITED_S: u32 = 60;

pub(crate) const CHECK: Check = Check {
    number: 44,
    id: "feeds while cold",
    group: Group::Heat,
    levels: &[Level::Look, Level::Hold],
    rule: "filament fed at a target below 170 °C, or after a word turned the nozzle off, HOLD; \
           target set but not waited for, first feed less than 60 s later, waits for bed and chamber apart, or before the sheet's \
           hot end is at 170 °C: LOOK",
    source: "trade convention: no feeding below 170 °C; 60 s: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let heat = &survey.heat;
    let left_over = survey.tail.beads_after_end;
    let is_left_over = |line: u32| left_over.any() && line >= left_over.first_line;
    let off = heat.fed_after_off;
    if off.any() && !is_left_over(off.first_line) {
        // A macro that heats at the start heats no more after that word.
        let values = [Celsius(0).into(), Value::Count(off.first_line), COLDEST.into()];
        findings.push(0, Level::Hold, Signal::Notice, values);
        return;
    }
    if input.starts_by_macro() || heat.highest.first().is_none_or(|highest| highest.0 <= 0) {
        return; // A macro heats, or row 43 says that nobody does.
    }
    if is_left_over(heat.nozzle_lowest_line) {
        return; // Row 3 says that old lines stand after the end.
    }
    if let Some(lowest) = heat.nozzle_lowest_feeding.filter(|lowest| *lowest < COLDEST) {
        let values = [lowest.into(), Value::Count(heat.nozzle_lowest_line), COLDEST.into()];
        findings.push(0, Level::Hold, Signal::Notice, values);
    } else if heat.waited_before_feed == Some(false)
        && (heat.target_to_feed_s < UNWAITED_S || heat.nozzle_then.is_some_and(|then| then < COLDEST))
    {
        findings.push(1, Level::Look, Signal::None, [Seconds(heat.target_to_feed_s).into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};
    use crate::survey::Survey;

    fn levels(lowest: i16, waited: bool, seconds: u32) -> std::vec::Vec<(Level, u8)> {
        let mut survey = Survey::default();
        survey.heat.highest[0] = Celsius(205);
        survey.heat.nozzle_lowest_feeding = Some(Celsius(lowest));
        survey.heat.waited_before_feed = Some(waited);
        survey.heat.target_to_feed_s = seconds;
        let mut bench = Bench::new();
        bench.survey = Some(survey);
        bench.levels(&CHECK)
    }

    #[test]
    fn below_170_holds() {
        assert!(levels(170, true, 0).is_empty());
        assert_eq!(levels(169, true, 0), [(HOLD, 0)]);
        assert_eq!(levels(0, true, 0), [(HOLD, 0)]);
    }

    #[test]
    fn a_word_that_turns_it_off_holds_even_where_a_macro_heats() {
        let mut bench = Bench::surveyed(|survey| {
            let name =
                crate::survey::NameTally { name: "START_JOB".try_into().unwrap(), ..Default::default() };
            survey.reading.unknown_names.push(name).unwrap();
            survey.heat.nozzle_lowest_feeding = Some(Celsius(0));
        });
        bench.machine.start_words.push("start_job".try_into().unwrap()).unwrap();
        assert!(bench.run(&CHECK).is_empty());
        bench.survey.as_mut().unwrap().heat.fed_after_off.add(700);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
        // What follows the end is row 3's matter.
        bench.survey.as_mut().unwrap().tail.beads_after_end.add(700);
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn no_wait_is_looked_at_within_a_minute() {
        assert!(levels(205, false, 60).is_empty());
        assert_eq!(levels(205, false, 59), [(LOOK, 1)]);
        assert!(levels(205, true, 0).is_empty());
    }

    #[test]
    fn a_slow_hot_end_needs_more_than_a_minute() {
        let then = |celsius| {
            Bench::surveyed(|survey| {
                survey.heat.highest[0] = Celsius(205);
                survey.heat.nozzle_lowest_feeding = Some(Celsius(205));
                survey.heat.waited_before_feed = Some(false);
                survey.heat.target_to_feed_s = 75;
                survey.heat.nozzle_then = Some(Celsius(celsius));
            })
            .levels(&CHECK)
        };
        assert!(then(170).is_empty());
        assert_eq!(then(169), [(LOOK, 1)]);
    }
}
