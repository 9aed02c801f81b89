//! 48: a bed target above what the bed or a plate may do.

use crate::checks::prelude::*;
use crate::units::Celsius;

pub(crate) const CHECK: Check = Check {
    number: 48,
    id: "above bed / plate limit",
    group: Group::Heat,
    levels: &[Level::Look, Level::Hold],
    rule: "target above the sheet's bed_max_c, or above max_c of every plate: HOLD; of some plates only: LOOK",
    source: "machine sheet",
    live: Live::Header,
    needs: Needs::Sheet,
    never_silenced: true,
    run,
};

/// The highest bed target that the job asks for at any time.
fn highest(input: &CheckInput<'_>) -> Option<Celsius> {
    let facts = input.facts;
    let moves = input.survey.and_then(|survey| survey.heat.highest.get(1).copied());
    let all = [facts.bed_c.map(|stated| stated.value), facts.bed_first_c.map(|stated| stated.value), moves];
    all.into_iter().flatten().max()
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(highest) = highest(input) else { return };
    let limit = input.machine.bed_max_c;
    if highest > limit {
        findings.push(0, Level::Hold, Signal::Warning, [highest.into(), limit.into()]);
        return;
    }
    let plates = &input.machine.plates;
    let too_hot_for = |max: Option<Celsius>| max.filter(|max| highest > *max);
    let exceeded = || plates.iter().filter(|plate| too_hot_for(plate.max_c).is_some());
    let Some(plate) = exceeded().max_by_key(|plate| plate.max_c) else { return };
    let values = [highest.into(), plate.max_c.map_or(Value::None, Value::from), Value::text(&plate.name)];
    if exceeded().count() == plates.len() {
        findings.push(1, Level::Hold, Signal::Warning, values);
    } else {
        findings.push(2, Level::Look, Signal::Warning, values);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};
    use crate::records::Plate;

    fn plate(name: &str, max_c: Option<i16>) -> Plate {
        Plate { name: name.try_into().unwrap(), max_c: max_c.map(Celsius), ..Plate::default() }
    }

    fn at(celsius: i16, plates: &[Plate]) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::with_header(|header| header.bed_c = Some(Celsius(celsius)));
        bench.machine.bed_max_c = Celsius(110);
        bench.machine.plates = plates.iter().cloned().collect();
        bench.levels(&CHECK)
    }

    #[test]
    fn the_beds_limit() {
        assert!(at(110, &[]).is_empty());
        assert_eq!(at(111, &[]), [(HOLD, 0)]);
    }

    #[test]
    fn the_plates_limits() {
        let (magnet, steel) = (plate("MAGNET", Some(90)), plate("STEEL", None));
        assert!(at(90, core::slice::from_ref(&magnet)).is_empty());
        assert_eq!(at(91, core::slice::from_ref(&magnet)), [(HOLD, 1)]);
        assert_eq!(at(91, &[magnet.clone(), steel]), [(LOOK, 2)]);
        assert_eq!(at(91, &[magnet, plate("OLD", Some(80))]), [(HOLD, 1)]);
    }
}
