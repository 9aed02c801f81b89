//! The wordings in English: Holdpoint's own checks, and those with numbers above them.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(89, 0, "Job header is broken: line {0}, column {1}.", "Stamp the job again. It is checked without it.", ""),
    w(90, 0, "{0} more points do not fit here.", "Clear these first, then vet again.", ""),
    w(91, 0, "The job could not be read to its end.", "Copy it again. Try another card.", ""),
    w(91, 1, "Spool ticket could not be read.", "Correct SPOOL.JSN.", ""),
    w(91, 2, "Machine sheet could not be read.", "Correct MACHINE.JSN.", ""),
    w(91, 3, "Room rules could not be read.", "Correct ROOM.JSN.", ""),
    w(92, 0, "{0} lines were not understood. Numbers may be off.", "Look at line {1}, slice again.", ""),
    w(92, 1, "{0} lines may move or heat, but are unclear.", "Look at line {1}, slice again.", "What the machine does there was not vetted."),
    w(92, 2, "{0} lines start with /. Some machines run them.", "Look at line {1}. Delete them if not needed.", ""),
    w(93, 0, "Sticker says {0}, ticket says {1}.", "The sticker counts. Ask the lead to correct the ticket.", ""),
    w(94, 0, "No machine sheet. Heat and plate limits are not checked.", "Put MACHINE.JSN into HOLDPT on the card.", "Nor are height, nozzle and filament."),
    w(96, 0, "{0}, line {1}: reaches beyond this job.", "Remove the line. Only the lead may start it.", "It acts on other files, pins, power, firmware or the host. `holdpoint words` says what it does."),
    w(96, 1, "{0}, line {1}: switches a part of the machine.", "If that is not meant, remove the line.", "`holdpoint words` says what it does."),
    w(97, 0, "{0}, line {1}: shifts or bends the print.", "Remove the line, or slice again without it.", "Where the machine then prints is not in the file."),
    w(97, 1, "Baby steps of {0} in total, line {1}.", "Remove M290. Set the height at the machine.", ""),
    w(97, 2, "Baby steps of {0} in total, line {1}.", "Nothing to do if that is meant.", ""),
    w(98, 0, "Motors go off on line {0}, then it prints on.", "Remove the line, or home again after it.", "An axis without current may lose its position."),
    w(98, 1, "Extruder motor goes off on line {0}.", "If that is not meant, remove the line.", ""),
    w(99, 0, "Plastic piles up at {0}, from line {1}.", "Slice it again: layers or Z moves are missing.", "That layer gets far more plastic than it has room for."),
    w(99, 1, "Prints lines twice at {0}, from line {1}.", "Slice it again: part of the file is repeated.", "Plastic piles up there and the nozzle strikes it."),
    w(101, 0, "Lays lines at {0} only. Feeds may be in mm/s.", "Set feeds in mm/min, slice again.", "Nobody prints that slowly: the job would take many times as long."),
    w(101, 1, "First layer at {0} only. Feeds may be in mm/s.", "Set feeds in mm/min, slice again.", ""),
    w(102, 0, "Prints on after a retract, unprimed, line {0}.", "Correct the retract settings, slice again.", "The nozzle is empty there: lines are missing. Such places: {1}."),
    w(103, 0, "Goes {0} without feeding, from line {1} on.", "Slice again, copy it again.", "The head moves as if it were printing, but E is missing or does not change."),
    w(105, 0, "File may be damaged: line {0} does not fit.", "Copy the job again. If it stays, slice it again.", "The lines there match nothing before or after them."),
    w(106, 0, "{0}: unknown key {1}.", "Did you mean {2}? Correct it.", ""),
    w(106, 1, "{0}: unknown key {1}.", "Nothing reads it. Correct or delete it.", ""),
    w(106, 2, "{0}: {1} unknown keys. One is {2}.", "List them with vet on a PC.", ""),
    w(106, 3, "Job header: unknown key {0}.", "Did you mean {1}? Stamp the job again.", ""),
];
