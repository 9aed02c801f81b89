//! At what temperature the part may be taken off, and the plate into bare hands.

use super::MilliCelsius;
use crate::records::{AgeGroup, Grade};
use crate::units::Celsius;

/// Shown for bare hands: the threshold of the longest contact (43 °C, ISO 13732-1) less 3 K for the probe's error
/// (judgement).
pub const BARE_HANDS: MilliCelsius = MilliCelsius(40_000);

/// A part lets go so far below its glass transition (common practice, no source).
const BELOW_TRANSITION_K: i32 = 15;

/// A soft grade is taken off so far above the air: warmer, it stretches (judgement).
const SOFT_OVER_AIR_MK: i32 = 5_000;

/// Below this no time of contact is stated: 43 °C (8 h and longer), in a room of adults 48 °C (10 min); ISO 13732-1, the
/// latter from memory. Where nobody says who prints there, children do.
#[must_use]
pub const fn touch_limit(who: Option<AgeGroup>) -> MilliCelsius {
    match who {
        Some(AgeGroup::Adults) => MilliCelsius(48_000),
        Some(AgeGroup::Children) | None => MilliCelsius(43_000),
    }
}

/// The temperature of the plate from which on the part may be lifted: the lowest of bare hands, the material's glass
/// transition less 15 K (where it is printed below it), and the sheet's own value. A blend takes the lower transition of its two.
///
/// In a room that is warmer than this the plate never reaches it, and [`TimeLeft::Never`](super::TimeLeft::Never) says
/// so.
///
/// ```
/// use holdpoint_shared::heat::{MilliCelsius, release};
/// use holdpoint_shared::records::{Base, Grade};
/// assert_eq!(release(&Grade::plain(Base::Pla), None, MilliCelsius(22_000)), MilliCelsius(40_000));
/// assert_eq!(release(&Grade::plain(Base::Tpu), None, MilliCelsius(22_000)), MilliCelsius(27_000));
/// ```
#[must_use]
pub fn release(grade: &Grade, sheet: Option<Celsius>, air: MilliCelsius) -> MilliCelsius {
    let whole = |celsius: Celsius| i32::from(celsius.0) * 1000;
    let mut lowest = BARE_HANDS.0;
    for base in [Some(grade.base), grade.blend].into_iter().flatten() {
        let row = base.row();
        // A bed window that begins above the transition means that the part is stiff there too (it crystallises: PA,
        // PET, PPS): its transition says nothing about when it lets go.
        if let Some(transition) = row.glass_transition.filter(|transition| *transition > row.bed_c.0) {
            lowest = lowest.min(whole(transition) - BELOW_TRANSITION_K * 1000);
        }
        if row.soft {
            lowest = lowest.min(air.0.saturating_add(SOFT_OVER_AIR_MK));
        }
    }
    MilliCelsius(sheet.map_or(lowest, |sheet| lowest.min(whole(sheet))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Base;

    const AIR: MilliCelsius = MilliCelsius(22_000);

    #[test]
    fn every_base_by_the_room_lead_s_rule() {
        for base in Base::ALL {
            let expected = if *base == Base::Tpu { 27_000 } else { 40_000 };
            assert_eq!(release(&Grade::plain(*base), None, AIR).0, expected, "{base:?}");
        }
    }

    #[test]
    fn the_sheet_can_only_lower_it() {
        let pla = Grade::plain(Base::Pla);
        assert_eq!(release(&pla, Some(Celsius(35)), AIR).0, 35_000);
        assert_eq!(release(&pla, Some(Celsius(60)), AIR), BARE_HANDS);
        // A blend with a soft grade is soft; in a warm room hands still come first.
        let blend = Grade { blend: Some(Base::Tpu), ..pla };
        assert_eq!(release(&blend, None, AIR).0, 27_000);
        assert_eq!(release(&blend, None, MilliCelsius(38_000)), BARE_HANDS);
        assert_eq!(release(&blend, None, MilliCelsius(i32::MAX)), BARE_HANDS);
    }

    #[test]
    fn children_are_told_earlier() {
        assert_eq!(touch_limit(None).0, 43_000);
        assert_eq!(touch_limit(Some(AgeGroup::Adults)).0, 48_000);
        assert!(BARE_HANDS < touch_limit(Some(AgeGroup::Children)));
    }
}
