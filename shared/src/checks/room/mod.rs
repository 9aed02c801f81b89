//! Plate, machine state, room and clock (catalogue, section 3.5).

pub(crate) mod clock_wrong;
pub(crate) mod clocks_change;
pub(crate) mod closed_box;
pub(crate) mod closing;
pub(crate) mod failed_before;
pub(crate) mod forbidden;
pub(crate) mod forecast;
pub(crate) mod hours;
pub(crate) mod nobody_there;
pub(crate) mod nozzle_service;
pub(crate) mod plate_bare;
pub(crate) mod plate_face;
pub(crate) mod plate_wash;
pub(crate) mod probe;
pub(crate) mod still_hot;
pub(crate) mod too_long;
pub(crate) mod untrained;
pub(crate) mod vent;
pub(crate) mod warm_box;
