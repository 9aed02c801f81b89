//! 31: the job stops and waits for a person.

use chrono::TimeDelta;

use crate::checks::prelude::*;
use crate::survey::PauseKind;
use crate::units::Seconds;

pub(crate) const CHECK: Check = Check {
    number: 31,
    id: "stops for you",
    group: Group::Machine,
    levels: &[Level::Look],
    rule: "any word that stops for a person or for a change of filament",
    source: "RS274/NGC 3.6: M0, M1; trade convention for the others",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let Some(first) = survey.pauses.first() else { return };
    let clock = input.clock().and_then(|now| now.checked_add_signed(TimeDelta::seconds(first.at_s.into())));
    // Wordings: with the clock 0 and 1, without 2 and 3; the odd ones are for a change of filament.
    let (base, when) = clock.map_or((2, Value::Span(Seconds(first.at_s))), |clock| (0, Value::Clock(clock)));
    let wording = base + u8::from(first.kind == PauseKind::Filament);
    findings.push(wording, Level::Look, Signal::None, [when, Value::Count(survey.pause_count)]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels, run, wednesday};
    use crate::survey::Pause;

    #[test]
    fn a_pause_is_told_with_its_time() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        let bench = Bench::surveyed(|survey| {
            let pause = Pause { kind: PauseKind::Filament, at_s: 7800, ..Pause::default() };
            survey.pauses.push(pause).unwrap();
            survey.pause_count = 1;
        });
        assert_eq!(bench.levels(&CHECK), [(LOOK, 3)]);
        let mut input = bench.input();
        input.now = Some(wednesday(11, 0));
        assert_eq!(levels(&CHECK, &input), [(LOOK, 1)]);
        assert_eq!(run(&CHECK, &input)[0].values[0], Value::Clock(wednesday(13, 10)));
    }
}
