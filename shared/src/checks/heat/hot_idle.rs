//! 51: the nozzle stands hot and idle for long.

use crate::checks::prelude::*;
use crate::limits::HOT_NOZZLE_C;
use crate::units::{Celsius, Seconds};

/// Longest idle time before the first feed (judgement).
const BEFORE: Seconds = Seconds(5 * 60);
/// Longest idle time between two feeds (judgement).
const INSIDE: Seconds = Seconds(10 * 60);
/// Up to this nothing chars.
const HOT: Celsius = Celsius(HOT_NOZZLE_C);

pub(crate) const CHECK: Check = Check {
    number: 51,
    id: "long hot idle",
    group: Group::Heat,
    levels: &[Level::Look],
    rule: "target above 170 °C and no feed for more than 5 min before the first feed, or more than 10 min inside",
    source: "judgement of the room's lead",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(heat) = input.survey.map(|survey| &survey.heat) else { return };
    if heat.highest.first().is_none_or(|highest| *highest <= HOT) {
        return;
    }
    let (before, inside) = (Seconds(heat.idle_before_s), Seconds(heat.idle_inside_s));
    if before > BEFORE {
        findings.push(0, Level::Look, Signal::None, [before.into()]);
    }
    if inside > INSIDE {
        findings.push(1, Level::Look, Signal::None, [inside.into(), Value::Count(heat.idle_inside_line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};
    use crate::survey::Survey;

    fn levels(before: u32, inside: u32, highest: i16) -> std::vec::Vec<(Level, u8)> {
        let mut survey = Survey::default();
        survey.heat.highest[0] = Celsius(highest);
        survey.heat.idle_before_s = before;
        survey.heat.idle_inside_s = inside;
        let mut bench = Bench::new();
        bench.survey = Some(survey);
        bench.levels(&CHECK)
    }

    #[test]
    fn five_minutes_before_and_ten_inside() {
        assert!(levels(300, 600, 205).is_empty());
        assert_eq!(levels(301, 600, 205), [(LOOK, 0)]);
        assert_eq!(levels(300, 601, 205), [(LOOK, 1)]);
        assert!(levels(301, 601, 170).is_empty());
        assert_eq!(levels(301, 0, 171), [(LOOK, 0)]);
    }
}
