//! 61: a filled grade through a fine nozzle.

use crate::checks::prelude::*;
use crate::records::Filler;
use crate::units::Micrometres;

/// Particles and fibres bridge bores below this, µm (common practice, no source).
const FINEST_UM: u32 = 400;

pub(crate) const CHECK: Check = Check {
    number: 61,
    id: "filled, fine nozzle",
    group: Group::Spool,
    levels: &[Level::Look, Level::Hold],
    rule: "wood, carbon, glass or metal filler and a bore below 0.4 mm: HOLD; wood at 0.4 mm: LOOK",
    source: "common practice, no source",
    live: Live::Header,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let spool =
        input.spool_grade().and_then(|grade| grade.filler).map(|filler| (filler, input.spool_material()));
    let job = input.facts.grade.and_then(|grade| grade.filler).map(|filler| (filler, input.job_material()));
    let Some((filler, name)) = spool.or(job) else { return };
    if matches!(filler, Filler::Mineral | Filler::Glow) {
        return;
    }
    let bore = input.machine.bore_um;
    let level = if bore < FINEST_UM {
        Level::Hold
    } else if bore == FINEST_UM && filler == Filler::Wood {
        Level::Look
    } else {
        return;
    };
    findings.push(0, level, Signal::Notice, [name, Micrometres(bore.into()).into()]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

    fn at(material: &str, bore_um: u32) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::job(material).spool(material);
        bench.machine.bore_um = bore_um;
        bench.levels(&CHECK)
    }

    #[test]
    fn below_four_tenths_holds() {
        assert_eq!(at("PA6-CF15", 399), [(HOLD, 0)]);
        assert!(at("PA6-CF15", 400).is_empty());
        assert_eq!(at("PLA-WD30", 399), [(HOLD, 0)]);
        assert_eq!(at("PLA-WD30", 400), [(LOOK, 0)]);
        assert!(at("PLA-WD30", 401).is_empty());
        assert!(at("PLA", 250).is_empty());
    }
}
