//! Heat asked for, against the grade's windows and the machine's limits (catalogue, section 3.3).

pub(crate) mod bed_limit;
pub(crate) mod bed_window;
pub(crate) mod cold_feed;
pub(crate) mod fan;
pub(crate) mod heat_left_on;
pub(crate) mod hot_end_limit;
pub(crate) mod hot_idle;
pub(crate) mod no_heat;
pub(crate) mod nozzle_window;
pub(crate) mod parks_hot;
pub(crate) mod wait_for_nothing;
pub(crate) mod window;
