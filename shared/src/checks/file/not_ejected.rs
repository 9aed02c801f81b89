//! 5: the card was taken out of the computer before its writing was done.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 5,
    id: "card not ejected",
    group: Group::File,
    levels: &[Level::Look, Level::Hold],
    rule: "the volume's mark \"not cleanly taken out\" is set: LOOK; the job's file is empty: HOLD",
    source: "the volume-dirty marks of FAT16, FAT32 and exFAT (Microsoft's specifications)",
    live: Live::Card,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if !input.file.name.is_empty() && input.file.size_bytes == 0 {
        findings.push(1, Level::Hold, Signal::Notice, []);
    } else if input.card.dirty {
        findings.push(0, Level::Look, Signal::Notice, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, levels};

    #[test]
    fn the_mark_is_looked_at_and_an_empty_file_holds() {
        let bench = Bench::new();
        let mut input = bench.input();
        input.file.name = "A.GCO";
        input.file.size_bytes = 1;
        assert!(levels(&CHECK, &input).is_empty());
        input.card.dirty = true;
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
        input.file.size_bytes = 0;
        assert_eq!(levels(&CHECK, &input), [(HOLD, 1)]);
    }
}
