//! 79: the grade gives off what a room should be rid of.

use crate::checks::prelude::*;
use crate::records::{AgeGroup, Fume};

pub(crate) const CHECK: Check = Check {
    number: 79,
    id: "vent / door needed",
    group: Group::Room,
    levels: &[Level::Note, Level::Look, Level::Hold],
    rule: "styrene (ABS, ASA, PS-HI), caprolactam (PA), formaldehyde (POM), methacrylate (PMMA), PC, PEEK, PEI, PPS or a filled \
           grade: LOOK until somebody says that the vent is on; NOTE where the room rules say that it is vented; where children print, HOLD in a room that is not",
    source: "NIOSH 2024-103 and 2020-115; Azimi et al. 2016: styrene 10 to 110 µg/min, caprolactam 2 to 180 µg/min",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(grade) = input.grade() else { return };
    if !(grade.base.row().fume != Fume::Ordinary || grade.filler.is_some())
        || input.answers.vent_on == Some(true)
    {
        return;
    }
    let vented = input.room.vented == Some(true) && input.answers.vent_on.is_none();
    let children = input.room.age_group == Some(AgeGroup::Children);
    let (wording, level) = match (vented, children && input.room.vented != Some(true)) {
        (true, _) => (0, Level::Note),
        (false, false) => (0, Level::Look),
        (false, true) => (1, Level::Hold),
    };
    findings.push(wording, level, Signal::Caution, [Value::text(grade.base.row().symbol)]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, NOTE, levels, run};

    #[test]
    fn fumes_are_a_caution() {
        assert!(Bench::new().run(&CHECK).is_empty());
        assert!(Bench::job("PETG").run(&CHECK).is_empty());
        let mut bench = Bench::job("ABS");
        assert_eq!(bench.levels(&CHECK), [(LOOK, 0)]);
        assert_eq!(bench.run(&CHECK)[0].signal, Signal::Caution);
        bench.room.vented = Some(true);
        let mut input = bench.input();
        assert_eq!(levels(&CHECK, &input), [(NOTE, 0)]);
        assert_eq!(run(&CHECK, &input)[0].signal, Signal::Caution);
        input.answers.vent_on = Some(false);
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
        input.answers.vent_on = Some(true);
        assert!(levels(&CHECK, &input).is_empty());
    }

    #[test]
    fn where_children_print_a_room_without_vent_holds_fumes() {
        let mut bench = Bench::job("ABS");
        bench.room.age_group = Some(AgeGroup::Children);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 1)]);
        assert_eq!(bench.run(&CHECK)[0].signal, Signal::Caution);
        bench.room.vented = Some(true);
        assert_eq!(bench.levels(&CHECK), [(NOTE, 0)]);
        bench.room.vented = None;
        bench.room.age_group = Some(AgeGroup::Adults);
        assert_eq!(bench.levels(&CHECK), [(LOOK, 0)]);
        assert!(Bench::new().run(&CHECK).is_empty());
    }
}
