//! The wordings in English: spool.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(54, 0, "File needs {0}, spool is {1}.", "Change the spool, or slice again for it.", ""),
    w(54, 1, "File needs {0}, spool {1} will not melt at {2}.", "Change the spool, or slice again for it.", "{1} needs at least {3}: it would not melt and would jam."),
    w(54, 2, "Needs {0}: spool {1} burns at {2}.", "Change the spool, or slice again for it.", "{1} withstands {3} at most: it would burn and give off fumes."),
    w(55, 0, "File names no material. The spool is {0}", "Sliced for this spool? Ask whoever sliced it.", ""),
    w(55, 1, "Unknown material: {0}", "Was it sliced for this spool? Compare with the sticker.", ""),
    w(55, 2, "No spool ticket: material is not compared.", "Read the sticker; write a ticket.", ""),
    w(55, 3, "Unknown word on the spool ticket: {0}", "Read the sticker; correct the ticket.", ""),
    w(56, 0, "File {0}, spool {1}: not the same plastic.", "Change the spool, or slice again for it.", "The names are alike; the plastics are not."),
    w(56, 1, "File {0}, spool {1}: close, not the same.", "Check the heat, or change the spool.", ""),
    w(56, 2, "File {0}, spool {1}: other filler.", "Check heat and nozzle, or change the spool.", ""),
    w(56, 3, "File {0}, spool {1}: a blend.", "Check the heat, or change the spool.", ""),
    w(56, 4, "File {0}, spool {1}: other hardness.", "Check speed and retraction, or change the spool.", ""),
    w(56, 5, "Same plastic, other variant: {0}, {1}", "If it prints well, tell the lead.", ""),
    w(57, 0, "File {0}, machine {1}: filament differs.", "Slice again for {1}.", ""),
    w(57, 1, "Spool {0}, machine {1}: it does not feed.", "Take a spool of {1}.", ""),
    w(57, 2, "Amounts fit {0} filament. This machine feeds {1}.", "Set the filament to {1} in the slicer.", "Lines come out far too thin or too thick."),
    w(58, 0, "Needs {0}, left {2} to {3}.", "Take a fresh spool, or split the job.", "With the reserve it may need {1}."),
    w(58, 1, "Filament is tight: needs {0}-{1}, left {2}-{3}.", "Weigh the spool.", ""),
    w(58, 2, "Needs {0}. The ticket states no balance.", "Weigh the spool; fill in the ticket.", ""),
    w(58, 3, "Filament need is not known yet.", "It is known once the moves are read.", ""),
    w(59, 0, "Ends near the core: {0} left. May catch.", "Watch the end, or take a fresh spool.", "The last turns may catch in the hub."),
    w(60, 0, "{0} wears out a soft nozzle.", "Fit a hardened nozzle, or use another spool.", ""),
    w(60, 1, "{0} in a soft nozzle: it wears a little.", "Go on, or fit a hardened nozzle.", ""),
    w(61, 0, "{0} blocks a nozzle of {1}.", "Fit a nozzle of 0.6 mm.", ""),
    w(62, 0, "Soft filament at {0} in a long tube.", "Slow down, 25 mm/s at most.", "The filament itself should stay below {1}."),
    w(62, 1, "Soft filament retracts {0} in a tube.", "Set retraction to {1} or less.", ""),
    w(63, 0, "{0} was open for {1}: it is damp.", "Dry it first.", "It lasts {2} open."),
    w(63, 1, "Ticket of {0} has a date in the future.", "Correct the ticket or the clock.", "How long it was open is not known."),
    w(64, 0, "Nozzle held {0}. {2} will not melt it.", "Flush at {1} until clean, then cool down.", "Feed 50 to 100 mm."),
    w(65, 0, "Weight is a guess: no density on the ticket.", "Fill in the spool ticket.", "The table's value for the base plastic is used: {0}."),
    w(66, 0, "Spool sticks. The outer turn is crossed.", "Unwind a turn, hang it again, pull 20 cm.", ""),
];
