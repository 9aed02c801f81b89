//! 65: the ticket states no density, so the base material's is used.

use super::need::need;
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 65,
    id: "density missing",
    group: Group::Spool,
    levels: &[Level::Note],
    rule: "the ticket states no density: the base material's is used and the error widened by 9 % of the need (filled 15 %, \
           metal-filled 223 %)",
    source: "handbook ranges of the material table; filled grades: common practice, no source",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.spool.is_some() && need(input).is_some_and(|need| need.guessed) {
        findings.push(0, Level::Note, Signal::None, [input.spool_material()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, NOTE};

    #[test]
    fn only_a_missing_density_is_noted() {
        let mut bench = Bench::new();
        assert!(bench.run(&CHECK).is_empty());
        bench.ticket().density_mg_cm3 = None;
        assert_eq!(bench.levels(&CHECK), [(NOTE, 0)]);
    }
}
