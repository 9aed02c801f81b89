//! Which hand checks a job needs: only those that matter for it, its machine and what happened last.
//!
//! After the job catalogue, S4 and S5, and its section 6: nothing is asked again unless something changed, and a clear
//! job costs at most ten presses.

use super::answers::{FailReason, Hand};

/// What decides about the hand checks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Situation {
    /// This spool was answered for on this machine less than [`SPOOL_HOURS`] ago, by the same owner, and nothing went
    /// wrong since.
    pub spool_known: bool,
    /// The last run was closed out with all bits in the bin and the plate on its pins.
    pub closed_out: bool,
    /// Why the last run failed, if it did.
    pub last_failure: Option<FailReason>,
    /// Starts since the plate was washed are above what the room wants, or its days.
    pub wash_due: bool,
    /// The last melt was another grade.
    pub other_melt: bool,
    /// Several faces that do not all suit the grade.
    pub choose_face: bool,
    /// The grade welds to the face: release film.
    pub film: bool,
    /// The grade gives off what a room should be rid of.
    pub vent: bool,
    /// The grade wants its housing shut.
    pub door_shut: bool,
    /// The grade jams in a warm, shut housing.
    pub door_open: bool,
    /// The first start of the day on this machine.
    pub first_of_day: bool,
}

/// For so long an answer about a spool holds, hours (job catalogue, section 6).
pub const SPOOL_HOURS: u32 = 12;

/// The set of hand checks, as [`Hand::bit`]s. Plate and pins always: a wrong answer there breaks the machine.
#[must_use]
pub fn hands_needed(situation: &Situation) -> u16 {
    let failed = situation.last_failure.is_some();
    let came_off = situation.last_failure == Some(FailReason::CameOff)
        || situation.last_failure == Some(FailReason::FirstLayerBad);
    [
        (Hand::Sticker, !situation.spool_known),
        (Hand::OuterTurn, !situation.spool_known),
        (Hand::Plate, true),
        (Hand::Pins, true),
        (Hand::Clean, situation.wash_due || came_off),
        (Hand::PurgeArea, !situation.closed_out || failed),
        (Hand::Nozzle, failed || situation.other_melt),
        (Hand::Face, situation.choose_face),
        (Hand::Film, situation.film),
        (Hand::Vent, situation.vent),
        (Hand::DoorShut, situation.door_shut),
        (Hand::DoorOpen, situation.door_open && !situation.door_shut),
        (Hand::Around, situation.first_of_day),
    ]
    .into_iter()
    .fold(0, |set, (hand, needed)| if needed { set | hand.bit() } else { set })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn killers_are_always_asked_and_the_rest_when_something_changed() {
        let calm = Situation { spool_known: true, closed_out: true, ..Situation::default() };
        assert_eq!(hands_needed(&calm), Hand::Plate.bit() | Hand::Pins.bit());
        let next_day = Situation { spool_known: false, first_of_day: true, ..calm };
        let asked = hands_needed(&next_day);
        for hand in [Hand::Sticker, Hand::OuterTurn, Hand::Around] {
            assert!(asked & hand.bit() != 0, "{hand:?}");
        }
        let after_failure = Situation { last_failure: Some(FailReason::CameOff), ..calm };
        let asked = hands_needed(&after_failure);
        for hand in [Hand::Clean, Hand::PurgeArea, Hand::Nozzle] {
            assert!(asked & hand.bit() != 0, "{hand:?}");
        }
        let jam = hands_needed(&Situation { last_failure: Some(FailReason::NoPlastic), ..calm });
        assert_eq!(jam & Hand::Clean.bit(), 0, "a jam says nothing about the plate");
    }

    #[test]
    fn only_one_way_of_the_door_is_asked_for() {
        let both = Situation { door_shut: true, door_open: true, ..Situation::default() };
        assert_eq!(hands_needed(&both) & Hand::DoorOpen.bit(), 0);
        assert_ne!(hands_needed(&both) & Hand::DoorShut.bit(), 0);
    }
}
