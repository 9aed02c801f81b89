//! 72: the nozzle is due for a change.

use crate::checks::prelude::*;
use crate::units::Seconds;

pub(crate) const CHECK: Check = Check {
    number: 72,
    id: "nozzle worn / service due",
    group: Group::Room,
    levels: &[Level::Look],
    rule: "the nozzle's hours, an hour of abrasive filament counted ten times, are beyond the sheet's nozzle_service_h",
    source: "judgement of the room's lead",
    live: Live::Ledger,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let (Some(hours), Some(due)) =
        (input.history.nozzle_hours, input.machine.nozzle_service_h.map(u32::from))
    else {
        return;
    };
    if hours > due {
        let span = |hours: u32| Seconds(hours.saturating_mul(3600)).into();
        findings.push(0, Level::Look, Signal::None, [span(hours), span(due)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels};

    #[test]
    fn beyond_the_sheets_hours() {
        let mut bench = Bench::new();
        bench.machine.nozzle_service_h = Some(400);
        let mut input = bench.input();
        input.history.nozzle_hours = Some(400);
        assert!(levels(&CHECK, &input).is_empty());
        input.history.nozzle_hours = Some(401);
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
    }
}
