//! 30: the job wants more tools than the machine has.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 30,
    id: "several tools",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "filament is fed with a tool number at or above the sheet's number of tools",
    source: "machine sheet",
    live: Live::Moves,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(filament) = input.survey.map(|survey| &survey.filament) else { return };
    let has = input.machine.tools.max(1);
    if filament.highest_tool >= has {
        let wants = u32::from(filament.highest_tool) + 1;
        findings.push(0, Level::Hold, Signal::Notice, [Value::Count(wants), Value::Count(has.into())]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn as_many_tools_as_the_sheet_says() {
        let with = |highest, tools| {
            let mut bench = Bench::surveyed(|survey| survey.filament.highest_tool = highest);
            bench.machine.tools = tools;
            bench.levels(&CHECK)
        };
        assert!(with(0, 1).is_empty());
        assert_eq!(with(1, 1), [(HOLD, 0)]);
        assert!(with(1, 2).is_empty());
    }
}
