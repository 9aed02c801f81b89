//! Holdpoint's own checks: what no row of the room's catalogue says.

pub(crate) mod header_broken;
pub(crate) mod left_out;
pub(crate) mod lines_unread;
pub(crate) mod no_sheet;
pub(crate) mod ticket_differs;
pub(crate) mod unknown_key;
pub(crate) mod unread;
