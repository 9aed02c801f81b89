//! What happens to the machine, and what it asks for.

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
    /// The knob was pressed.
    Pressed,
}

/// What the house must do.
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
}
