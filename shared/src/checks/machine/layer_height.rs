//! 33: the layer is too thick or too thin for the nozzle.

use super::inches;
use crate::checks::prelude::*;
use crate::units::Micrometres;

/// Shares of the bore, percent (common practice: 25 to 75, at most 80).
const THICKEST_PERCENT: u32 = 80;
const THICK_PERCENT: u32 = 75;
const THIN_PERCENT: u32 = 15;

pub(crate) const CHECK: Check = Check {
    number: 33,
    id: "layer thick for nozzle",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "layer above 0.80 of the bore HOLD, above 0.75 LOOK, below 0.15 LOOK",
    source: "common practice: 25 to 75 %, at most 80 %",
    live: Live::Header,
    needs: Needs::Bore,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(layer) = input.facts.layer_um.map(|stated| stated.value).filter(|layer| *layer > 0) else {
        return;
    };
    if inches::unworded(input) {
        return; // Row 27 says why.
    }
    // The bore that the job was made for: another one is row 32's matter.
    let bore = input.bore_um();
    let share = |percent: u32| bore.saturating_mul(percent);
    let hundredfold = layer.saturating_mul(100);
    let (wording, level, limit) = if hundredfold > share(THICKEST_PERCENT) {
        (0, Level::Hold, THICK_PERCENT)
    } else if hundredfold > share(THICK_PERCENT) {
        (0, Level::Look, THICK_PERCENT)
    } else if hundredfold < share(THIN_PERCENT) {
        (1, Level::Look, THIN_PERCENT)
    } else {
        return;
    };
    let um = |um: u32| Micrometres(um.into()).into();
    let signal = if level == Level::Hold { Signal::Notice } else { Signal::None };
    findings.push(wording, level, signal, [um(layer), um(bore), um(share(limit) / 100)]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

    #[test]
    fn all_three_limits() {
        // A 0.4 mm bore: 0.32, 0.30 and 0.06 mm.
        let layer = |um| Bench::with_header(|header| header.layer_um = Some(um)).levels(&CHECK);
        assert!(layer(300).is_empty());
        assert_eq!(layer(301), [(LOOK, 0)]);
        assert_eq!(layer(320), [(LOOK, 0)]);
        assert_eq!(layer(321), [(HOLD, 0)]);
        assert!(layer(60).is_empty());
        assert_eq!(layer(59), [(LOOK, 1)]);
        assert!(layer(0).is_empty());
    }
}
