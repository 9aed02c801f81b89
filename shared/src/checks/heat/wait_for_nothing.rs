//! 45: the job waits for a heat that never comes.

use crate::checks::prelude::*;
use crate::survey::{HeatStep, Heater, Wait};
use crate::units::Celsius;

/// Air of the room where its rules state none (judgement).
const ROOM: Celsius = Celsius(20);

pub(crate) const CHECK: Check = Check {
    number: 45,
    id: "waits on nothing / forever",
    group: Group::Heat,
    levels: &[Level::Look, Level::Hold],
    rule: "waits for a target of 0 or none, or waits to cool to below the room's air: HOLD; waits for a \
           chamber's heat on a machine that is not enclosed: LOOK",
    source: "trade convention of the heat words; air: room rules, else 20 °C",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let heat = &survey.heat;
    if heat.waits_for_nothing.any() {
        findings.push(0, Level::Hold, Signal::Notice, [Value::Count(heat.waits_for_nothing.first_line)]);
        return;
    }
    let air = input.room.ambient.unwrap_or(ROOM);
    let forever = |target: Celsius| target.0 > 0 && target < air;
    if let Some(step) = heat.steps.iter().find(|step| step.wait == Wait::HeatOrCool && forever(step.target)) {
        findings.push(1, Level::Hold, Signal::Notice, [Value::Count(step.line), step.target.into()]);
        return;
    }
    let open = input.machine.is_stated() && !input.machine.enclosed;
    let chamber = |step: &&HeatStep| step.heater == Heater::Chamber && step.wait != Wait::No;
    if let Some(step) = heat.steps.iter().find(|step| open && chamber(step) && step.target > air) {
        findings.push(2, Level::Look, Signal::None, [Value::Count(step.line), step.target.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};
    use crate::survey::Survey;

    #[test]
    fn a_wait_for_zero_holds() {
        let mut bench = Bench::new();
        let mut survey = Survey::default();
        bench.survey = Some(survey.clone());
        assert!(bench.run(&CHECK).is_empty());
        survey.heat.waits_for_nothing.add(7);
        bench.survey = Some(survey);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
        assert_eq!(bench.run(&CHECK)[0].values[0], Value::Count(7));
    }

    #[test]
    fn a_chamber_that_is_not_there_is_looked_at() {
        let with = |enclosed, target| {
            let mut bench = Bench::surveyed(|survey| {
                let step = HeatStep {
                    heater: Heater::Chamber,
                    target: Celsius(target),
                    wait: Wait::Heat,
                    ..HeatStep::default()
                };
                survey.heat.steps.push(step).unwrap();
            });
            bench.machine.enclosed = enclosed;
            bench.levels(&CHECK)
        };
        assert_eq!(with(false, 50), [(LOOK, 2)]);
        assert!(with(true, 50).is_empty());
        assert!(with(false, 20).is_empty(), "as warm as the room");
    }

    #[test]
    fn a_wait_to_cool_below_the_air_holds() {
        let at = |target, wait| {
            let mut survey = Survey::default();
            survey
                .heat
                .steps
                .push(HeatStep { target: Celsius(target), wait, ..HeatStep::default() })
                .unwrap();
            let mut bench = Bench::new();
            bench.room.ambient = Some(Celsius(24));
            bench.survey = Some(survey);
            bench.levels(&CHECK)
        };
        assert!(at(24, Wait::HeatOrCool).is_empty());
        assert_eq!(at(23, Wait::HeatOrCool), [(HOLD, 1)]);
        // Waiting to heat ends at once when it is warmer already.
        assert!(at(23, Wait::Heat).is_empty());
    }
}
