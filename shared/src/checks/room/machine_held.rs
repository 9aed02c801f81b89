//! 73: the room's lead has put the machine on hold.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 73,
    id: "machine on hold by lead",
    group: Group::Room,
    levels: &[Level::Hold],
    rule: "the lead took the machine out of use at the device, with a reason; only the same way back lifts it",
    source: "judgement of the room's lead",
    live: Live::Ledger,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.history.machine_held {
        findings.push(73, 0, Level::Hold, Signal::Notice, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, levels};

    #[test]
    fn the_flag_holds() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.history.machine_held = true;
        assert_eq!(levels(&CHECK, &input), [(Level::Hold, 0)]);
    }
}
