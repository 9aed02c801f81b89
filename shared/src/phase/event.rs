//! What happens to the machine, and what it asks for.

use super::answers::OutOfUse;
use super::question::{Answer, Question};
use crate::heat::HeatNews;

/// Something happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Event {
    /// A card was put in.
    CardIn,
    /// The card was taken out, or stopped answering.
    CardOut,
    /// The card cannot be read any further.
    CardFault,
    /// The card's listing is complete.
    Listed {
        /// Jobs on the card.
        jobs: u16,
    },
    /// The chosen job's vetting has come this far.
    Vetted {
        /// Points found.
        points: u8,
    },
    /// The knob was turned, clockwise positive, in detents.
    Turned(i8),
    /// The knob was pressed and let go, briefly.
    Pressed,
    /// The knob went down and is kept down. Whoever reads the knob sends this when it is clear that it is not a
    /// [`Event::Pressed`], and never both for one touch.
    Held,
    /// The knob that was held came up.
    LetGo,
    /// News of the heat.
    Heat(HeatNews),
    /// Somebody says what the printer does.
    Told(Told),
    /// The answer to [`Action::CheckSeal`].
    Seal(Seal),
    /// A lead holds the machine, or no longer: as it was kept.
    OutOfUse(Option<OutOfUse>),
    /// A lead's key fitted where no card is in: what the machine is to be used for is asked.
    Desk,
    /// Time went by; the same as a timeout.
    Tick,
}

/// What somebody says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Told {
    /// The vetted job was started at the printer.
    Started,
    /// It waits.
    Paused,
    /// It goes on.
    GoesOn,
    /// It was stopped at the printer.
    Stopped,
    /// It came to its end.
    Ended,
}

/// Whether a card that came back holds the vetted file, byte for byte.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Seal {
    /// It does.
    Same,
    /// It does not, or the file is not there.
    Changed,
}

/// What the house must do. Done in their order: a row is written before what it confirms is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Action {
    /// Nothing but draw again.
    Redraw,
    /// The phase has no use for the event; nothing changed.
    Refused,
    /// Begin the listing of the card.
    ListCard,
    /// Forget all that came from the card.
    ForgetCard,
    /// Have the job of this rank (0 = newest) on the page.
    ShowJob(u16),
    /// Vet the job of this rank.
    Vet(u16),
    /// Compare the vetted file on the card with its CRC; answer with [`Event::Seal`].
    CheckSeal,
    /// Beep, unless the room's hours mute it.
    Beep(Beep),
    /// The gate's contact.
    Gate(Gate),
    /// The knob was held where no card is in: ask for a lead's key, where there is one, then send [`Event::Desk`].
    Desk,
    /// A lead took the machine out of use, or gave it back: keep it.
    OutOfUse(Option<OutOfUse>),
    /// A row for the day book.
    Row(RowKind),
    /// An event for the day book: what was answered.
    Answered(Question, Answer),
    /// Keep [`Machine::run_state`](super::Machine::run_state) where a power cut does not reach it.
    Persist,
    /// Forget what was kept: the run is closed out.
    ForgetRun,
    /// Take this much off the spool's balance, mg.
    Deduct(u32),
    /// Add this ratio of true to estimated time, permille, to what [`learn`](super::learn) learns from.
    Learn(u16),
}

/// A sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Beep {
    /// One short: your turn.
    Start,
    /// Two: read this.
    Attention,
    /// Three slow: go and look.
    Alarm,
}

/// The contact that may only inhibit a start.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Gate {
    /// A start is inhibited.
    #[default]
    Shut,
    /// It is not.
    Open,
}

/// Which row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum RowKind {
    /// A release: the job, its verdict, a lead's reason.
    Start,
    /// A close-out: see [`Machine::last`](super::Machine::last).
    CloseOut,
    /// A job that was not let through.
    Refusal,
}
