//! 81: PLA in a closed, warm box.

use crate::checks::prelude::*;
use crate::units::Celsius;

/// Warmer air softens PLA in the drive (judgement: its glass transition is 45 to 65 °C by the handbook).
const WARM: Celsius = Celsius(40);

pub(crate) const CHECK: Check = Check {
    number: 81,
    id: "PLA in closed box",
    group: Group::Room,
    levels: &[Level::Note, Level::Look],
    rule: "PLA in a machine with a housing: LOOK if its door is shut or its air above 40 °C, NOTE if neither is known",
    source: "judgement; glass transition of PLA by the handbook",
    live: Live::Header,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if !input.machine.enclosed || input.grade().is_none_or(|grade| !grade.base.row().cool_air) {
        return;
    }
    let air = match input.probes.air {
        ProbeValue::Celsius(air) => Some(air),
        ProbeValue::None | ProbeValue::Doubtful => None,
    };
    let level = match (input.answers.door_shut, air) {
        (Some(true), _) => Level::Look,
        (_, Some(air)) if air > WARM => Level::Look,
        (None, None) => Level::Note,
        _ => return,
    };
    findings.push(0, level, Signal::None, []);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, NOTE, levels};

    #[test]
    fn a_shut_door_or_warm_air() {
        let mut bench = Bench::new();
        assert!(bench.run(&CHECK).is_empty());
        bench.machine.enclosed = true;
        let mut input = bench.input();
        assert_eq!(levels(&CHECK, &input), [(NOTE, 0)]);
        input.probes.air = ProbeValue::Celsius(Celsius(40));
        assert!(levels(&CHECK, &input).is_empty());
        input.probes.air = ProbeValue::Celsius(Celsius(41));
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
        input.probes.air = ProbeValue::Doubtful;
        input.answers.door_shut = Some(false);
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.door_shut = Some(true);
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
    }
}
