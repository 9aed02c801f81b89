//! 50: a heater stays on when the job ends.

use crate::checks::file::cut_short;
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 50,
    id: "heat left on",
    group: Group::Heat,
    levels: &[Level::Hold],
    rule: "nozzle, bed or chamber target is not 0 at the end, and no word of the sheet's macros ends the file",
    source: "trade convention of the heat words",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    // A file that was cut short leaves heat on too: row 1 says both in one.
    if cut_short::why(input).is_some() || input.ends_by_macro() {
        return;
    }
    let heat = &survey.heat;
    let ends = [(0, heat.nozzle_end), (1, heat.bed_end), (2, heat.chamber_end)];
    if let Some((wording, target)) = ends.into_iter().find(|(_, target)| target.0 > 0) {
        findings.push(wording, Level::Hold, Signal::Warning, [target.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::Survey;
    use crate::units::Celsius;

    fn levels(change: impl FnOnce(&mut Survey)) -> std::vec::Vec<(Level, u8)> {
        let mut survey = Survey::default();
        survey.tail.last_line_ended = true;
        survey.tail.last_line_readable = true;
        survey.tail.parked = true;
        change(&mut survey);
        let mut bench = Bench::new();
        bench.survey = Some(survey);
        bench.levels(&CHECK)
    }

    #[test]
    fn each_heater_counts() {
        assert!(levels(|_| {}).is_empty());
        assert_eq!(levels(|survey| survey.heat.nozzle_end = Celsius(1)), [(HOLD, 0)]);
        assert_eq!(levels(|survey| survey.heat.bed_end = Celsius(60)), [(HOLD, 1)]);
        assert_eq!(levels(|survey| survey.heat.chamber_end = Celsius(50)), [(HOLD, 2)]);
    }
}
