//! 99: plastic piles up.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::survey::{LayerPath, LayerVolume};
use crate::units::Micrometres;

/// Plastic over the room for it that is still borne, percent (judgement: a full first layer squeezed flat, and ironing
/// on top of a full layer, are below 30).
const BORNE_PERCENT: u64 = 40;
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
    rule: "a layer gets more than 1.4 of the plastic that the cells it raised have room for, and 10 mm³ more; or more than \
           30 mm and 2 % of its path are beads that were laid before, end for end at the same height",
    source: "judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(relief) = input.survey.map(|survey| &survey.relief) else { return };
    let LayerPath { met_um, path_um, z_um, line } = relief.again;
    let mut push = |wording: u8, z_um: i32, line: u32| {
        let z = Micrometres(z_um.into());
        findings.push(99, wording, Level::Hold, Signal::Notice, [z.into(), Value::Count(line)]);
    };
    if met_um > BORNE_AGAIN_UM && u64::from(met_um) * 100 > u64::from(path_um) * BORNE_AGAIN_PERCENT {
        push(1, z_um, line);
        return;
    }
    let LayerVolume { laid_nl, room_nl, z_um, line } = relief.piled;
    let over = u64::from(laid_nl) * 100 > u64::from(room_nl) * (100 + BORNE_PERCENT);
    if over && relief.piled.excess() > BORNE_NL {
        push(0, z_um, line);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn forty_percent_and_ten_cubic_millimetres() {
        let piled = |laid_nl, room_nl| {
            Bench::surveyed(|survey| {
                survey.relief.piled = LayerVolume { laid_nl, room_nl, z_um: 600, line: 9 };
            })
        };
        assert!(piled(140_000, 100_000).run(&CHECK).is_empty());
        assert_eq!(piled(140_001, 100_000).levels(&CHECK), [(HOLD, 0)]);
        assert!(piled(11_000, 1_000).run(&CHECK).is_empty());
        assert_eq!(piled(11_001, 1_000).levels(&CHECK), [(HOLD, 0)]);
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
