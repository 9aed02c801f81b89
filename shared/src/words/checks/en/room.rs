//! The wordings in English: plate, machine state, room and clock.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(67, 0, "A part or scrap is on the plate.", "Clear the plate, then answer again.", ""),
    w(67, 1, "There is no plate on the machine.", "Put the plate on, flat on both pins.", ""),
    w(67, 2, "Last job was not closed. Is the plate bare?", "Look at the plate and answer.", ""),
    w(68, 0, "Scrap of the last purge is left.", "Pick it off once it is cold.", ""),
    w(69, 0, "Plate is not flat on both pins.", "Wipe under it, seat it again.", ""),
    w(70, 0, "{0} welds to this plate.", "Use release film (glue stick) or another plate.", "It may tear the face off."),
    w(70, 1, "{0} does not hold on this plate.", "Use a plate with its own face.", ""),
    w(70, 2, "{0} wants plate {1}", "Put that plate on.", "Another plate of this machine does not suit."),
    w(71, 0, "Wash the plate: {0} jobs since.", "Warm water and detergent, then dry.", ""),
    w(71, 1, "Wash the plate: {0} days since.", "Warm water and detergent, then dry.", ""),
    w(71, 2, "Wash the plate: the last part came off.", "Warm water and detergent, then dry.", ""),
    w(72, 0, "Nozzle has run {0}. Due at {1}.", "Tell the room lead.", ""),
    w(73, 0, "Machine is out of use.", "Take another machine.", "The room lead has put it on hold."),
    w(74, 0, "Plate is at {0}: hot.", "Wait, or wear heat gloves.", ""),
    w(75, 0, "No plate reading. It may be hot.", "Go by the clock. Tell the room lead.", ""),
    w(76, 0, "Room shuts {2}. Ends {0}-{1}.", "Start by {3}, or ask the room lead.", "Cooling and clearing are counted in."),
    w(76, 1, "Room shuts {2}. Ends another day, {0}-{1}.", "Start by {3}, or ask the room lead.", "Cooling and clearing are counted in."),
    w(77, 0, "Nobody is here: room opens {0}.", "Start it then, or ask the room lead.", ""),
    w(77, 1, "Nobody is here: the room stays shut.", "Ask the room lead.", ""),
    w(78, 0, "Takes {0}. The room allows {1}.", "Split the job, or ask the room lead.", ""),
    w(78, 1, "You have {0} running. The room allows {1}.", "Wait for one to end, or ask the lead.", ""),
    w(79, 0, "{0} gives off fumes.", "Vent on, door shut. Follow the room's rules.", "Follow the maker's data sheet and the room's rules."),
    w(80, 0, "{0} wants a closed, warm box.", "Use a machine with a housing.", "It may warp and crack in the open."),
    w(81, 0, "PLA jams if the box is hot.", "Open the door.", ""),
    w(82, 0, "PVC gives off acid gas. Never print it.", "Take it out. Tell the room lead.", "The gas is hydrogen chloride: it burns lungs and eats metal."),
    w(83, 0, "Card is out. Reading is not done.", "Put the card back in.", ""),
    w(84, 0, "Not the vetted job.", "Stop it at the machine. Vet it here.", ""),
    w(85, 0, "Clock is not set. The job takes {0}.", "Set the clock.", "No times of day are shown."),
    w(85, 1, "Clock is wrong. The job takes {0}.", "Set the clock.", "No times of day are shown."),
    w(86, 0, "Clocks change at {0}.", "Mind the end time.", ""),
    w(87, 0, "{0} jobs failed here for one reason.", "Clear the fault first. Ask the room lead.", ""),
    w(88, 0, "{0}: ask the room lead first.", "Get shown how, then start.", ""),
];
