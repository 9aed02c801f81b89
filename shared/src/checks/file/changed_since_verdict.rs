//! 7: the file is no longer the one that was vetted.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 7,
    id: "changed since verdict",
    group: Group::File,
    levels: &[Level::Hold],
    rule: "the seal kept with the verdict differs from the file's now",
    source: "judgement of the room's lead",
    live: Live::Ledger,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.file.changed_since_verdict {
        findings.push(7, 0, Level::Hold, Signal::Notice, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, levels};

    #[test]
    fn a_changed_seal_holds() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.file.changed_since_verdict = true;
        assert_eq!(levels(&CHECK, &input), [(Level::Hold, 0)]);
    }
}
