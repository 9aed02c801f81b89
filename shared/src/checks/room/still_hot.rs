//! 74: the plate is still hot from the last job.

use crate::checks::prelude::*;
use crate::records::AgeGroup;
use crate::units::Celsius;

/// Warmer surfaces burn at long contact (ISO 13732-1: 43 °C for 8 h and longer, whatever the surface; from memory).
const TOUCH: Celsius = Celsius(43);
/// And at a contact of ten minutes (ISO 13732-1, whatever the surface; from memory): enough where only adults print,
/// who let go.
const TOUCH_ADULTS: Celsius = Celsius(48);

pub(crate) const CHECK: Check = Check {
    number: 74,
    id: "still hot from last job",
    group: Group::Room,
    levels: &[Level::Note],
    rule: "the plate's probe reads more than 43 °C when the card comes; 48 °C where the room rules say that only adults print",
    source: "ISO 13732-1, contact of 8 h and longer, of 10 min for adults; from memory",
    live: Live::Probe,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let touch = if input.room.age_group == Some(AgeGroup::Adults) { TOUCH_ADULTS } else { TOUCH };
    if let ProbeValue::Celsius(plate) = input.probes.plate
        && plate > touch
    {
        findings.push(0, Level::Note, Signal::Caution, [plate.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, NOTE, levels, run};

    #[test]
    fn above_48_where_only_adults_print() {
        let mut bench = Bench::new();
        bench.room.age_group = Some(AgeGroup::Adults);
        let mut input = bench.input();
        input.probes.plate = ProbeValue::Celsius(Celsius(48));
        assert!(levels(&CHECK, &input).is_empty());
        input.probes.plate = ProbeValue::Celsius(Celsius(49));
        assert_eq!(levels(&CHECK, &input), [(NOTE, 0)]);
        bench.room.age_group = Some(AgeGroup::Children);
        let mut input = bench.input();
        input.probes.plate = ProbeValue::Celsius(Celsius(44));
        assert_eq!(levels(&CHECK, &input), [(NOTE, 0)]);
    }

    #[test]
    fn above_43_is_a_caution() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.probes.plate = ProbeValue::Celsius(Celsius(43));
        assert!(levels(&CHECK, &input).is_empty());
        input.probes.plate = ProbeValue::Celsius(Celsius(44));
        assert_eq!(levels(&CHECK, &input), [(NOTE, 0)]);
        assert_eq!(run(&CHECK, &input)[0].signal, Signal::Caution);
    }
}
