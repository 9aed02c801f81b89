//! Every fault of a record, for a desk.

use super::error::{RecordError, object, placed};
use super::{RecordName, machine_keys, room_keys, spool};
use crate::json::Faults;
use crate::limits::RECORD_BYTES;

/// Every fault of a record's file, unknown keys as well, in the order in which they are found.
///
/// Reads the text once for each fault: for a desk.
pub fn faults(record: RecordName, text: &[u8]) -> impl Iterator<Item = RecordError> {
    let mut number = 0;
    core::iter::from_fn(move || {
        let this = number;
        number += 1;
        if text.len() > RECORD_BYTES {
            return (this == 0).then(|| RecordError::too_long(record, text));
        }
        let (object, faults) = (object(text), Faults::with(this));
        match record {
            RecordName::Machine => drop(machine_keys::from_object(object, &faults)),
            RecordName::Spool => drop(spool::from_object(object, &faults)),
            RecordName::Room => drop(room_keys::from_object(object, &faults)),
        }
        Some(placed(record, text, faults.kept(object)?, 0))
    })
}
