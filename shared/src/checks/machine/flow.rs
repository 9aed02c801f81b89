//! 36: more plastic a second than the hot end melts.

use super::feed_mode;
use crate::checks::file::blank_gap;
use crate::checks::prelude::*;
use crate::records::Base;

/// Beyond the limit by this share it jams or starves, percent (judgement).
const HOLD_PERCENT: u64 = 130;

pub(crate) const CHECK: Check = Check {
    number: 36,
    id: "flow too high",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "flow held over half a second above the hot end's, times the grade's share (PETG, PA, PC 0.8, TPU 0.4, others 1): \
           LOOK; above 1.3 times it: HOLD",
    source: "machine sheet; shares: common practice for a plain hot end (TPU 2 to 5, PA and PC 6 to 10, PLA 8 to 12 mm³/s)",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

/// Share of PLA's flow that a base bears, percent.
const fn share_percent(base: Base) -> u64 {
    match base {
        Base::Petg | Base::Pa6 | Base::Pa66 | Base::Pa12 | Base::Pc => 80,
        Base::Tpu => 40,
        _ => 100,
    }
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let (Some(survey), Some(most)) = (input.survey, input.machine.flow_max_mm3_s) else { return };
    if feed_mode::mixed_up(input) {
        return; // Row 29 says why.
    }
    if blank_gap::gap(input).is_some() {
        return; // The move over the gap: row 2 says why.
    }
    let share = input.grade().map_or(100, |grade| share_percent(grade.base));
    // Thousandths of mm³/s are nl/s.
    let limit = u64::from(most) * 10 * share;
    let sustained = u64::from(survey.flow.sustained_nl_s);
    let level = if sustained * 100 > limit * HOLD_PERCENT {
        Level::Hold
    } else if sustained > limit {
        Level::Look
    } else {
        return;
    };
    let signal = if level == Level::Hold { Signal::Notice } else { Signal::None };
    let limit = Value::Flow(u32::try_from(limit).unwrap_or(u32::MAX));
    let line = Value::Count(survey.flow.sustained_line);
    findings.push(0, level, signal, [Value::Flow(survey.flow.sustained_nl_s), limit, line]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

    fn levels(material: &str, flow_nl_s: u32) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::job(material).spool(material);
        bench.survey = Bench::surveyed(|survey| survey.flow.sustained_nl_s = flow_nl_s).survey;
        bench.machine.flow_max_mm3_s = Some(10);
        bench.levels(&CHECK)
    }

    #[test]
    fn the_sheets_limit_and_a_third_more() {
        assert!(levels("PLA", 10_000).is_empty());
        assert_eq!(levels("PLA", 10_001), [(LOOK, 0)]);
        assert_eq!(levels("PLA", 13_000), [(LOOK, 0)]);
        assert_eq!(levels("PLA", 13_001), [(HOLD, 0)]);
    }

    #[test]
    fn the_grades_share() {
        assert!(levels("PETG", 8_000).is_empty());
        assert_eq!(levels("PETG", 8_001), [(LOOK, 0)]);
        assert!(levels("TPU", 4_000).is_empty());
        assert_eq!(levels("TPU", 4_001), [(LOOK, 0)]);
    }

    #[test]
    fn without_a_limit_it_is_silent() {
        assert!(Bench::surveyed(|survey| survey.flow.sustained_nl_s = 99_000).run(&CHECK).is_empty());
    }

    #[test]
    fn the_move_over_a_gap_is_no_flow() {
        let mut bench = Bench::surveyed(|survey| {
            survey.flow.sustained_nl_s = 40_000;
            survey.reading.blank.bytes = 64;
        });
        bench.machine.flow_max_mm3_s = Some(10);
        assert!(bench.run(&CHECK).is_empty());
        bench.survey.as_mut().unwrap().reading.blank.bytes = 63;
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
    }
}
