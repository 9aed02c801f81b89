//! The wordings in English: card and file.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(1, 0, "File is cut short. It stops at {0} and leaves heaters ON.", "Copy it again, eject, wait, then take it out.", "If it were started, the head would stand still on the part with the heat on."),
    w(1, 1, "File is cut short. It stops at {0} of the job.", "Copy it again, eject, wait, then take it out.", ""),
    w(1, 2, "File is cut short and leaves heaters ON.", "Copy it again, eject, wait, then take it out.", "If it were started, the head would stand still on the part with the heat on."),
    w(1, 3, "File is cut short. It has no proper end.", "Copy it again, eject, wait, then take it out.", ""),
    w(2, 0, "Blank or damaged gap in the file at {0}.", "Copy the job again. If it stays, use another card.", ""),
    w(3, 0, "Old lines stand after the end of the job, line {0}.", "Delete the file on the card first, then copy again.", "They come from an older, longer file of the same name."),
    w(4, 0, "Card gives other bytes when read again. Card is worn.", "Use another card. Bin this one.", ""),
    w(5, 0, "Card was pulled out of the PC too early.", "Copy the job again, eject, wait, then take it out.", "The card's own mark says so; this file may be whole."),
    w(5, 1, "The file is empty. Card was pulled too early.", "Copy the job again, eject, wait, then take it out.", ""),
    w(6, 0, "File was changed: it feeds {0}, its text says {1}.", "Slice again, or ask the room lead.", ""),
    w(6, 1, "Time differs: {0} here, {1} by the file's own text.", "Go by the end time shown here.", ""),
    w(6, 2, "File was changed: layers {0}, its text says {1}.", "Slice again, or ask the room lead.", ""),
    w(6, 3, "File was changed: nozzle {0}, its text says {1}.", "Slice again, or ask the room lead.", ""),
    w(6, 4, "File was changed: bed {0}, its text says {1}.", "Slice again, or ask the room lead.", ""),
    w(6, 5, "File names two materials: {0}, {1}.", "Slice again, or ask the room lead.", "The header is taken at its word."),
    w(6, 6, "File names two filaments: {0} and {1}.", "Slice again, or ask the room lead.", "The header is taken at its word."),
    w(6, 7, "File names two nozzles: {0} and {1}.", "Slice again, or ask the room lead.", "The header is taken at its word."),
    w(6, 8, "File was changed after its header was written.", "Slice again, or ask the room lead.", "The header's length or CRC-32 of the body does not fit."),
    w(7, 0, "File changed since the verdict.", "Leave the card in. It is vetted again.", ""),
    w(8, 0, "Older version. Newest is {0}", "Pick the newest one.", ""),
    w(9, 0, "Looks the same in the machine's list: {0}", "Rename one of the two.", ""),
    w(10, 0, "Name has accents. The machine's list may freeze. {0}", "Use only a-z, 0-9 and _ in the name.", ""),
    w(10, 1, "Name has {0} characters. The list shows {1}.", "Give it a shorter name.", ""),
    w(11, 0, "Hidden bytes at the file's start.", "Save it again as plain text without a byte-order mark.", ""),
    w(11, 1, "This file can not be read here. It is no plain text.", "Save it as a plain text job, or ask the room lead.", ""),
    w(14, 0, "Unknown words: {0}. First: {1}, line {2}.", "Check the machine set in the slicer.", "Words that the machine knows belong in start_words of its sheet."),
    w(14, 1, "A line is too long and was passed over.", "Check the file at line {0}.", "RS274/NGC allows 256 characters."),
    w(14, 2, "{0}, line {1}: cannot be checked here.", "Remove the line, or ask the lead.", "It moves, feeds or heats by a rule of the machine's own. `holdpoint words` lists such words; a lead may put it into start_words of the sheet."),
    w(15, 0, "Job changes machine settings: {0}, line {1}.", "Remove the line. Only the lead may start it.", ""),
    w(15, 1, "{0}, line {1}: changes how the machine works.", "If that is not meant, remove the line.", "`holdpoint words` says what it does."),
    w(16, 0, "Damaged line {0}: its check number is wrong.", "Copy the job again. If it stays, use another card.", ""),
];
