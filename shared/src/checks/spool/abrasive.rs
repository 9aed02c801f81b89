//! 60: an abrasive filler in a soft nozzle.

use crate::checks::prelude::*;
use crate::records::NozzleMetal;

pub(crate) const CHECK: Check = Check {
    number: 60,
    id: "abrasive, soft nozzle",
    group: Group::Spool,
    levels: &[Level::Look, Level::Hold],
    rule: "glass, carbon, metal, mineral or glow filler and a nozzle that is not hardened: HOLD; wood: LOOK",
    source: "common practice, no source",
    live: Live::Header,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.machine.nozzle_metal == NozzleMetal::Hardened {
        return;
    }
    // What is on the spool goes through the nozzle, whatever the job says.
    let spool =
        input.spool_grade().and_then(|grade| grade.filler).map(|filler| (filler, input.spool_material()));
    let job = input.facts.grade.and_then(|grade| grade.filler).map(|filler| (filler, input.job_material()));
    let Some((filler, name)) = spool.or(job) else { return };
    if filler.abrasive() {
        findings.push(0, Level::Hold, Signal::Notice, [name]);
    } else {
        findings.push(1, Level::Look, Signal::Notice, [name]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

    #[test]
    fn abrasives_want_a_hardened_nozzle() {
        let mut bench = Bench::job("PA6-CF15").spool("PA6-CF15");
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
        bench.machine.nozzle_metal = NozzleMetal::Stainless;
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
        bench.machine.nozzle_metal = NozzleMetal::Hardened;
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn wood_is_looked_at_and_plain_is_silent() {
        assert_eq!(Bench::job("PLA").spool("PLA-WD30").levels(&CHECK), [(LOOK, 1)]);
        assert!(Bench::new().run(&CHECK).is_empty());
    }
}
