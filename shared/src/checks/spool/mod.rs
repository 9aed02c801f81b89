//! The job against the spool ticket (catalogue, section 3.4).

pub(crate) mod abrasive;
pub(crate) mod close_material;
pub(crate) mod compare;
pub(crate) mod density_missing;
pub(crate) mod diameter;
pub(crate) mod enough;
pub(crate) mod filled_fine_nozzle;
pub(crate) mod last_turns;
pub(crate) mod need;
pub(crate) mod old_melt;
pub(crate) mod open_too_long;
pub(crate) mod soft_in_tube;
pub(crate) mod unknown_material;
pub(crate) mod wrong_material;
