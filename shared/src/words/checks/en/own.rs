//! The wordings in English: Holdpoint's own checks, and those with numbers above them.

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
    w(96, 0, "{0}, line {1}: reaches beyond this job.", "Remove the line. Only the lead may start it.", "It acts on other files, pins, power, firmware or the host. `holdpoint words` says what it does."),
    w(96, 1, "{0}, line {1}: switches a part of the machine.", "If that is not meant, remove the line.", "`holdpoint words` says what it does."),
    w(97, 0, "{0}, line {1}: shifts or bends the work.", "Remove the line, or slice again without it.", "Where the machine then prints is not in the file."),
    w(97, 1, "Baby steps of {0} in all, line {1}.", "Remove M290. Set the height at the machine.", ""),
    w(97, 2, "Baby steps of {0} in all, line {1}.", "Nothing to do if that is meant.", ""),
    w(98, 0, "Motors go off on line {0}, then it prints on.", "Remove the line, or home again after it.", "An axis without current keeps no place."),
    w(98, 1, "Extruder motor goes off on line {0}.", "If that is not meant, remove the line.", ""),
    w(99, 0, "Plastic piles up at {0}, from line {1}.", "Slice it again: layers or Z words are missing.", "That layer gets far more plastic than it has room for."),
    w(99, 1, "Prints lines twice at {0}, from line {1}.", "Slice it again: part of the file is repeated.", "Plastic piles up there and the nozzle strikes it."),
];
