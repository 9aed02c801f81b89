//! The wordings in English: Holdpoint's own checks.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(89, 0, "Job header is broken: line {0}, column {1}.", "Stamp the job anew. It is checked without it.", ""),
    w(90, 0, "{0} more points found no room here.", "Clear these first, then vet again.", ""),
    w(91, 0, "The job could not be read to its end.", "Copy it again. Try another card.", ""),
    w(91, 1, "Spool ticket could not be read.", "Correct SPOOL.JSN.", ""),
    w(91, 2, "Machine sheet could not be read.", "Correct MACHINE.JSN.", ""),
    w(91, 3, "Room rules could not be read.", "Correct ROOM.JSN.", ""),
    w(92, 0, "{0} lines are not understood. Numbers may be off.", "Look at line {1}, slice again.", ""),
    w(93, 0, "Sticker says {0}, ticket says {1}.", "The sticker counts. Ask the lead to correct the ticket.", ""),
    w(94, 0, "No machine sheet. Heat and plate limits are not checked.", "Put MACHINE.JSN into HOLDPT on the card.", "Nor are height, nozzle and filament."),
];
