//! 52: the part's fan does not suit the grade.

use crate::checks::prelude::*;
use crate::limits::FAN_TURNS_PERMILLE;
use crate::records::Base;

/// By this layer PLA wants its fan (common practice).
const PLA_BY_LAYER: u32 = 5;
/// A mean below this is no fan, thousandths (judgement).
const PLA_LEAST_PERMILLE: u16 = FAN_TURNS_PERMILLE;
/// More than this cracks ABS, thousandths (common practice).
const ABS_MOST_PERMILLE: u16 = 300;
/// A fan that is full on, thousandths. 255 of 255 is 1000; nothing below counts.
const FULL_PERMILLE: u16 = 1000;

pub(crate) const CHECK: Check = Check {
    number: 52,
    id: "fan missing / on too soon",
    group: Group::Heat,
    levels: &[Level::Note, Level::Look],
    rule: "fan at 100 % on the first layer LOOK; PLA without fan (10 % or more) by layer 5, or below 10 % on the mean, NOTE; ABS or ASA with more than 30 % NOTE",
    source: "common practice, no source; 10 %: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let fan = survey.fan;
    if fan.first_layer_permille >= FULL_PERMILLE {
        findings.push(0, Level::Look, Signal::None, []);
    }
    match input.grade().map(|grade| grade.base) {
        Some(Base::Pla) => {
            let late = fan.on_at_layer.is_none_or(|layer| layer > PLA_BY_LAYER);
            let weak = fan.mean_permille < PLA_LEAST_PERMILLE;
            if (late || weak) && survey.layers.passes >= PLA_BY_LAYER {
                findings.push(1, Level::Note, Signal::None, [Value::Count(PLA_BY_LAYER)]);
            }
        }
        Some(Base::Abs | Base::Asa) if fan.highest_permille > ABS_MOST_PERMILLE => {
            findings.push(2, Level::Note, Signal::None, [Value::Percent(fan.highest_permille / 10)]);
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, NOTE};
    use crate::survey::Survey;

    fn levels(material: &str, change: impl FnOnce(&mut Survey)) -> std::vec::Vec<(Level, u8)> {
        let mut survey = Survey::default();
        survey.layers.passes = 100;
        survey.fan.on_at_layer = Some(2);
        survey.fan.mean_permille = 800;
        change(&mut survey);
        let mut bench = Bench::job(material);
        bench.survey = Some(survey);
        bench.levels(&CHECK)
    }

    #[test]
    fn full_on_the_first_layer_is_looked_at() {
        assert!(levels("PLA", |survey| survey.fan.first_layer_permille = 999).is_empty());
        assert_eq!(levels("PLA", |survey| survey.fan.first_layer_permille = 1000), [(LOOK, 0)]);
    }

    #[test]
    fn pla_wants_it_by_layer_five() {
        assert!(levels("PLA", |survey| survey.fan.on_at_layer = Some(5)).is_empty());
        assert_eq!(levels("PLA", |survey| survey.fan.on_at_layer = Some(6)), [(NOTE, 1)]);
        assert_eq!(levels("PLA", |survey| survey.fan.on_at_layer = None), [(NOTE, 1)]);
        assert!(levels("PLA", |survey| survey.fan.mean_permille = 100).is_empty());
        assert_eq!(levels("PLA", |survey| survey.fan.mean_permille = 99), [(NOTE, 1)]);
        // Four layers alone never come to the fifth.
        assert!(
            levels("PLA", |survey| (survey.layers.passes, survey.fan.on_at_layer) = (4, None)).is_empty()
        );
    }

    #[test]
    fn abs_wants_little() {
        assert!(levels("ABS", |survey| survey.fan.highest_permille = 300).is_empty());
        assert_eq!(levels("ABS", |survey| survey.fan.highest_permille = 301), [(NOTE, 2)]);
    }
}
