//! The wordings in English: heat.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(43, 0, "Never heats the nozzle, but feeds.", "Correct the start text: set heat and wait.", "First feed on line {0}."),
    w(44, 0, "Feeds at {0}: too cold. Needs {2} or more.", "Correct the start text: wait for the heat.", "First on line {1}."),
    w(44, 1, "Feeds {0} after heat is set, without a wait.", "Add a wait before the first feed.", ""),
    w(45, 0, "Waits without a target, line {0}: maybe forever.", "Correct that line.", ""),
    w(45, 1, "Waits to cool to {1}, line {0}: the room is warmer.", "Correct that line.", ""),
    w(45, 2, "Waits for a chamber at {1}, line {0}.", "This machine has no closed chamber: it may wait forever.", ""),
    w(46, 0, "{0} is cold for {1}.", "Set {2} to {3}.", "Too cold, it does not melt, and jams."),
    w(46, 1, "{0} is hot for {1}.", "Set {2} to {3}.", "It may ooze, and burn in the nozzle."),
    w(46, 2, "{0} is far too hot for {1}: fumes.", "Set {2} to {3}. Keep the vent on.", "It burns in the nozzle and gives off fumes."),
    w(47, 0, "Nozzle {0}. The limit here is {1}.", "Use another machine, or slice cooler.", "The limit is from the machine sheet."),
    w(47, 1, "Nozzle {0}. Liner limit is {1}: fumes.", "Use another machine, or slice cooler.", "A polymer liner reaches the hot zone of this machine."),
    w(48, 0, "Bed {0}. The limit here is {1}.", "Use another machine, or slice cooler.", "The limit is from the machine sheet."),
    w(48, 1, "Bed {0}. The plate limit is {1}.", "Use another plate or machine.", "Plate: {2}."),
    w(48, 2, "Bed {0}. Not for plate {2}", "Take the other plate.", "That plate withstands {1}."),
    w(49, 0, "Bed {0}. {1} needs {2}.", "Set the bed to {2}.", "The part may come off."),
    w(49, 1, "Bed {0} is hot for {1}: it goes soft.", "Set the bed to {2} or less.", ""),
    w(49, 2, "Bed is off. {0} needs {1}.", "Set the bed to {1} for the first layer.", "The part may come off."),
    w(49, 3, "Does not wait for the bed, {0}. {1} needs {2}.", "Wait for the bed (M190).", "The first layer may come off a bed that is still cold."),
    w(50, 0, "Nozzle heat stays ON at the end: {0}.", "Correct the end text: heat off.", "Nobody may be there when it ends."),
    w(50, 1, "Bed heat stays ON at the end: {0}.", "Correct the end text: heat off.", "Nobody may be there when it ends."),
    w(50, 2, "Chamber heat stays ON at the end: {0}.", "Correct the end text: heat off.", "Nobody may be there when it ends."),
    w(51, 0, "Waits hot for {0} before it feeds: may clog.", "Heat the nozzle last.", ""),
    w(51, 1, "Waits hot for {0} in the job: may clog.", "Remove the wait at line {1}.", ""),
    w(52, 0, "Fan full on in the first layer.", "Fan off for the first layer.", ""),
    w(52, 1, "No fan by layer {0}: PLA needs it.", "Set the fan in the slicer.", ""),
    w(52, 2, "Fan at {0}: the part may crack.", "Fan at 30 % or less.", ""),
    w(53, 0, "Ends with the hot nozzle on the part for {0}.", "Lift the head in the end text.", "It lifts by {1}."),
];
