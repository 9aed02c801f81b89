//! 4: two passes over the file gave different bytes.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 4,
    id: "card reads differ",
    group: Group::File,
    levels: &[Level::Hold],
    rule: "two readings of the first and the last 16 KiB give different CRC-32 (ISO-HDLC)",
    source: "judgement of the room's lead",
    live: Live::Card,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.file.reads_differ {
        findings.push(4, 0, Level::Hold, Signal::Notice, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, levels};

    #[test]
    fn only_differing_reads_hold() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.file.reads_differ = true;
        assert_eq!(levels(&CHECK, &input), [(Level::Hold, 0)]);
    }
}
