//! The card and the file (catalogue, section 3.1).

pub(crate) mod after_end;
pub(crate) mod alters_machine;
pub(crate) mod blank_gap;
pub(crate) mod card_full;
pub(crate) mod cut_short;
pub(crate) mod damaged;
pub(crate) mod edited;
pub(crate) mod line_check;
pub(crate) mod name;
pub(crate) mod newer_version;
pub(crate) mod not_a_job;
pub(crate) mod not_ejected;
pub(crate) mod opening;
pub(crate) mod reaches_elsewhere;
pub(crate) mod same_name;
pub(crate) mod shifts_work;
pub(crate) mod unknown_words;
