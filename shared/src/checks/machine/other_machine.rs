//! 17: made for another machine.

use super::{outside_plate, too_tall};
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 17,
    id: "made for another machine",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "the job names a machine that is neither the sheet's tag nor one of its other names: LOOK; and the job goes outside \
           its plate or height too, or over its heat limits: HOLD",
    source: "machine sheet",
    live: Live::Header,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(stated) = &input.facts.machine else { return };
    let name = stated.value.trim();
    let machine = input.machine;
    let mine =
        core::iter::once(&machine.tag).chain(&machine.also).any(|own| own.trim().eq_ignore_ascii_case(name));
    if mine || name.is_empty() {
        return;
    }
    let hot = |asked: Option<crate::units::Celsius>, limit| asked.is_some_and(|asked| asked > limit);
    let misfit = outside_plate::over(input).is_some()
        || too_tall::over(input).is_some()
        || hot(input.facts.nozzle_c.map(|stated| stated.value), machine.nozzle_max_c)
        || hot(input.facts.bed_c.map(|stated| stated.value), machine.bed_max_c);
    let level = if misfit { Level::Hold } else { Level::Look };
    findings.push(0, level, Signal::Notice, [Value::text(name), Value::text(&machine.tag)]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

    fn made_for(tag: &str) -> Bench {
        Bench::with_header(|header| header.machine = Some(tag.try_into().unwrap()))
    }

    #[test]
    fn the_tag_and_the_other_names_are_mine() {
        assert!(Bench::new().run(&CHECK).is_empty());
        assert!(made_for("m2").run(&CHECK).is_empty());
        let mut bench = made_for("M-LARGE");
        assert_eq!(bench.levels(&CHECK), [(LOOK, 0)]);
        bench.machine.also.push("M-Large".try_into().unwrap()).unwrap();
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn a_misfit_makes_it_hold() {
        let mut bench = made_for("M-LARGE");
        bench.machine.nozzle_max_c = crate::units::Celsius(204);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
        bench.machine.nozzle_max_c = crate::units::Celsius(205);
        assert_eq!(bench.levels(&CHECK), [(LOOK, 0)]);
    }
}
