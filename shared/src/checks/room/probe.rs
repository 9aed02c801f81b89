//! 75: the plate's probe cannot be believed.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 75,
    id: "probe not believable",
    group: Group::Room,
    levels: &[Level::Note],
    rule: "the probe is open, shorted, jumps by more than 20 K/s, or is more than 5 K from the air after 2 h idle: times go by \
           the clock alone",
    source: "judgement of the room's lead",
    live: Live::Probe,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.probes.plate == ProbeValue::Doubtful {
        findings.push(0, Level::Note, Signal::Caution, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, NOTE, levels};
    use crate::units::Celsius;

    #[test]
    fn only_a_doubtful_probe_is_noted() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.probes.plate = ProbeValue::Celsius(Celsius(22));
        assert!(levels(&CHECK, &input).is_empty());
        input.probes.plate = ProbeValue::Doubtful;
        assert_eq!(levels(&CHECK, &input), [(NOTE, 0)]);
    }
}
