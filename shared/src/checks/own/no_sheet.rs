//! 94: there is no machine sheet to check against.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 94,
    id: "no machine sheet",
    group: Group::Own,
    levels: &[Level::Look],
    rule: "no machine sheet is known: its limits of heat, plate, height, nozzle and filament are not compared (checks 17 to 20, \
           30, 32, 47, 48, 57, 60, 61, 80, 81; 33 and 34 where the job states no bore)",
    source: "Holdpoint's rule: missing data is told, and never a HOLD by itself",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let [machine_refused, ..] = input.refused;
    // A sheet that was refused is check 91's.
    if !input.machine.is_stated() && !machine_refused {
        findings.push(0, Level::Look, Signal::Notice, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};
    use crate::checks::check;
    use crate::records::Machine;

    #[test]
    fn a_missing_sheet_is_told_and_holds_nothing() {
        let mut bench = Bench::surveyed(|survey| survey.printed.max_nm = [90_000_000; 3]);
        assert!(bench.levels(&CHECK).is_empty());
        bench.machine = Machine::default();
        assert_eq!(bench.levels(&CHECK), [(LOOK, 0)]);
        let found = check(&bench.input());
        assert_eq!(found.count(Level::Hold), 0, "{found:?}");
        assert!(found.iter().any(|finding| finding.check == 94));
    }
}
