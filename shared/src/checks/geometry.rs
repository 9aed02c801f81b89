//! Cross-sections of filament and bead.

use crate::checks::input::CheckInput;
use crate::units::{times, wide_div};

/// Cross-section of a bead from its ratio of filament length to path length (parts per million), µm².
///
/// π is the fraction 355/113, as for the filament's mass.
pub(crate) fn bead_area_um2(ratio_ppm: u32, filament_um: u32) -> u64 {
    let d = u64::from(filament_um);
    let area = wide_div(times(times(ratio_ppm.into(), d * d), 355), 452 * 1_000_000);
    u64::try_from(area).unwrap_or(u64::MAX)
}

/// Width of a bead of that cross-section and this height: a rectangle with two half rounds, A = (w - h)h + πh²/4
/// (plane geometry), µm. Height 0 has none.
pub(crate) fn bead_width_um(area_um2: u64, height_um: u32) -> Option<u64> {
    let h = u64::from(height_um);
    // 1 − π/4 = 97/452.
    Some(area_um2.checked_div(h)?.saturating_add(h * 97 / 452))
}

/// Width of the median line from its area and layer, with filament of a diameter: a rectangle with two half rounds, µm.
pub(crate) fn median_width_um(input: &CheckInput<'_>, filament_um: u32) -> Option<u64> {
    let survey = input.survey?;
    let first = || survey.first_layer.plane.and_then(|plane| u32::try_from(plane.z_um).ok());
    width_um(input, filament_um, survey.layers.typical_um.or_else(first)?)
}

/// Width of the median line in layers of this height, µm.
pub(crate) fn width_um(input: &CheckInput<'_>, filament_um: u32, layer_um: u32) -> Option<u64> {
    let area = bead_area_um2(input.survey?.beads.median_ppm()?, filament_um);
    bead_width_um(area, layer_um)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worked_line() {
        // 0.45 x 0.20 mm: 0.081416 mm², 0.0338488 of 1.75 mm filament.
        assert_eq!(bead_area_um2(33_849, 1750), 81_416);
        assert_eq!(bead_width_um(81_416, 200), Some(449), "0.45 mm, rounded down twice");
        // 0.60 x 0.30 mm: 0.160686 mm².
        assert_eq!(bead_width_um(160_686, 300), Some(599));
        assert_eq!(bead_width_um(160_686, 0), None);
        assert_eq!(bead_area_um2(u32::MAX, u32::MAX), u64::MAX);
    }
}
