//! 40: tall on a small foot.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::units::Micrometres;

/// Height over the root of the foot's area (judgement).
const SLENDER: u64 = 5;
/// A foot below this is tiny, mm² (judgement).
const TINY_MM2: u64 = 100;
/// A tiny foot matters from this height, mm (judgement).
const TINY_FROM_MM: u64 = 20;

pub(crate) const CHECK: Check = Check {
    number: 40,
    id: "tall and thin / tiny foot",
    group: Group::Machine,
    levels: &[Level::Look],
    rule: "height above 5 times the root of the first layer's area (its brim counted), or area below 100 mm² and height above \
           20 mm",
    source: "judgement of the room's lead",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(survey) = input.survey else { return };
    let Some(area) = survey.first_layer.area_mm2(input.machine.filament_um).map(u64::from) else { return };
    // Of 31 bits, so its square fits.
    let Ok(top_um) = u32::try_from(survey.layers.top_um).map(u64::from) else { return };
    // (top / 1000)² > 25 · area, without the division's loss.
    let slender = top_um.pow(2) > SLENDER * SLENDER * area * 1_000_000;
    let tiny = area < TINY_MM2 && top_um > TINY_FROM_MM * 1000;
    if slender || tiny {
        let height = Micrometres(survey.layers.top_um.into());
        // The side of a square of that area.
        let side = Micrometres(i64::try_from((area * 1_000_000).isqrt()).unwrap_or(i64::MAX));
        findings.push(40, 0, Level::Look, Signal::None, [height.into(), side.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};
    use crate::survey::Plane;

    fn levels(area_mm2: i64, top_um: i32) -> std::vec::Vec<(Level, u8)> {
        Bench::surveyed(|survey| {
            survey.layers.top_um = top_um;
            survey.first_layer.plane = Some(Plane { z_um: 200, line: 1 });
            // Filament of 2.405282 mm² cross-section for area x 0.2 mm, and a little so that it does not round down.
            survey.first_layer.filament_nm = area_mm2 * 200_000_000_000 / 2_405_282 + 100;
        })
        .levels(&CHECK)
    }

    #[test]
    fn five_times_the_foot() {
        assert!(levels(400, 100_000).is_empty());
        assert_eq!(levels(400, 100_001), [(LOOK, 0)]);
    }

    #[test]
    fn a_tiny_foot_above_twenty_millimetres() {
        assert!(levels(99, 20_000).is_empty());
        assert_eq!(levels(99, 20_001), [(LOOK, 0)]);
        assert!(levels(100, 20_001).is_empty());
    }
}
