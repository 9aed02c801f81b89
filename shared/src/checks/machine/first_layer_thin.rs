//! 34: the first layer is too thin.

use super::inches;
use crate::checks::prelude::*;
use crate::header::Source;
use crate::units::Micrometres;

/// Below this the nozzle scratches, µm (judgement).
const SCRATCH_UM: u32 = 50;
/// Below this a plate that is not quite flat shows, µm (judgement).
const THIN_UM: u32 = 100;
/// Share of the bore, percent (common practice: at least half, a quarter is the least).
const THIN_PERCENT: u32 = 25;

pub(crate) const CHECK: Check = Check {
    number: 34,
    id: "first layer thin",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "first layer below 0.05 mm HOLD; below 0.10 mm or a quarter of the bore LOOK",
    source: "common practice; 0.05 mm: judgement",
    live: Live::Header,
    needs: Needs::Bore,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    // A text that states 0 says nothing; beads at height 0 do.
    let told = input.facts.first_layer_um.filter(|stated| stated.value > 0 || stated.source == Source::Moves);
    let Some(first) = told.map(|stated| stated.value) else { return };
    if inches::unworded(input) {
        return; // Row 27 says why.
    }
    let quarter = first.saturating_mul(100) < input.bore_um().saturating_mul(THIN_PERCENT);
    let height = Micrometres(first.into()).into();
    if first < SCRATCH_UM {
        findings.push(0, Level::Hold, Signal::Notice, [height]);
    } else if first < THIN_UM || quarter {
        findings.push(0, Level::Look, Signal::None, [height]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

    #[test]
    fn all_three_limits() {
        let first = |um, bore| {
            Bench::with_header(|header| (header.first_layer_um, header.bore_um) = (Some(um), Some(bore)))
                .levels(&CHECK)
        };
        assert!(first(100, 400).is_empty());
        assert_eq!(first(99, 400), [(LOOK, 0)]);
        assert!(first(150, 600).is_empty());
        assert_eq!(first(149, 600), [(LOOK, 0)]);
        assert_eq!(first(50, 400), [(LOOK, 0)]);
        assert_eq!(first(49, 400), [(HOLD, 0)]);
    }
}
