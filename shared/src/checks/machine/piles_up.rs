//! 99: plastic piles up.

use super::{feed_mode, inches};
use crate::checks::prelude::*;
use crate::survey::{LayerPath, Piled};
use crate::units::Micrometres;

/// Plastic beyond the room for it that is still borne, percent of the roomiest layer's (judgement: a full first layer
/// squeezed flat, and ironing on a full layer, stay within the room).
const BORNE_PERCENT: u64 = 25;
/// And in volume, 0.001 mm³ (judgement: a blob of that size is knocked off or printed over).
const BORNE_NL: u32 = 10_000;

/// Path of a layer laid a second time that is still borne, µm, and its share of the layer, percent. Judgement: no slicer
/// lays one line twice.
const BORNE_AGAIN_UM: u32 = 30_000;
const BORNE_AGAIN_PERCENT: u64 = 2;

pub(crate) const CHECK: Check = Check {
    number: 99,
    id: "plastic piles up",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "10 mm³ and a quarter of a layer more plastic than the cells of the height map that it raised have room for; or \
           more than 30 mm and 2 % of its path are beads that were laid before, end for end at the same height",
    source: "judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(relief) = input.survey.map(|survey| &survey.relief) else { return };
    if inches::unworded(input) {
        return; // Row 27 says why.
    }
    let LayerPath { met_um, path_um, z_um, line } = relief.again;
    let push = |findings: &mut Findings, wording: u8, z_um: i32, line: u32| {
        let z = Micrometres(z_um.into());
        findings.push(wording, Level::Hold, Signal::Notice, [z.into(), Value::Count(line)]);
    };
    if met_um > BORNE_AGAIN_UM && u64::from(met_um) * 100 > u64::from(path_um) * BORNE_AGAIN_PERCENT {
        push(findings, 1, z_um, line);
        return;
    }
    let Piled { over_nl, room_nl, z_um, line } = relief.piled;
    // A mixed-up feed floods: row 29 says why.
    let floods = findings.iter().any(|found| found.check == feed_mode::CHECK.number);
    if !floods && over_nl > BORNE_NL && u64::from(over_nl) * 100 > u64::from(room_nl) * BORNE_PERCENT {
        push(findings, 0, z_um, line);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn a_quarter_of_a_layer_and_ten_cubic_millimetres() {
        let piled = |over_nl, room_nl| {
            Bench::surveyed(|survey| survey.relief.piled = Piled { over_nl, room_nl, z_um: 600, line: 9 })
        };
        assert!(piled(25_000, 100_000).run(&CHECK).is_empty());
        assert_eq!(piled(25_001, 100_000).levels(&CHECK), [(HOLD, 0)]);
        assert!(piled(10_000, 1_000).run(&CHECK).is_empty());
        assert_eq!(piled(10_001, 1_000).levels(&CHECK), [(HOLD, 0)]);
    }

    #[test]
    fn thirty_millimetres_laid_again() {
        let again = |met_um, path_um| {
            Bench::surveyed(|survey| {
                survey.relief.again = LayerPath { met_um, path_um, z_um: 600, line: 9 };
            })
        };
        assert!(again(30_000, 60_000).run(&CHECK).is_empty());
        let found = again(30_001, 60_000).run(&CHECK);
        assert_eq!(found[0].values[..2], [Micrometres(600).into(), Value::Count(9)]);
        assert!(again(30_001, 1_500_050).run(&CHECK).is_empty());
        assert_eq!(again(30_002, 1_500_050).levels(&CHECK), [(HOLD, 1)]);
    }
}
