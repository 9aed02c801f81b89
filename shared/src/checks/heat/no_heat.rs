//! 43: the job feeds without ever having asked for nozzle heat.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 43,
    id: "no heat asked",
    group: Group::Heat,
    levels: &[Level::Hold],
    rule: "filament is fed, no nozzle target is ever set, and no word of the sheet's start macros stands in the file",
    source: "trade convention of the heat words; start macros: machine sheet",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let heat = &survey.heat;
    let never_asked = heat.highest.first().is_none_or(|highest| highest.0 <= 0);
    if never_asked && heat.nozzle_lowest_feeding.is_some() && !input.starts_by_macro() {
        findings.push(0, Level::Hold, Signal::Notice, [Value::Count(heat.nozzle_lowest_line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::Survey;
    use crate::units::Celsius;

    fn fed_at(highest: i16) -> Survey {
        let mut survey = Survey::default();
        survey.heat.highest[0] = Celsius(highest);
        survey.heat.nozzle_lowest_feeding = Some(Celsius(highest));
        survey
    }

    #[test]
    fn feeding_without_any_target_holds() {
        let mut bench = Bench::new();
        assert!(bench.run(&CHECK).is_empty());
        bench.survey = Some(fed_at(0));
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
        bench.survey = Some(fed_at(1));
        assert!(bench.run(&CHECK).is_empty());
        bench.survey = Some(Survey::default());
        assert!(bench.run(&CHECK).is_empty(), "nothing is fed");
    }

    #[test]
    fn a_known_start_macro_heats_by_itself() {
        let mut bench = Bench::new();
        let mut survey = fed_at(0);
        let name = crate::survey::NameTally { name: "START_JOB".try_into().unwrap(), ..Default::default() };
        survey.reading.unknown_names.push(name).unwrap();
        bench.survey = Some(survey);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
        bench.machine.start_words.push("start_job".try_into().unwrap()).unwrap();
        assert!(bench.run(&CHECK).is_empty());
    }
}
