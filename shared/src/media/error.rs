//! What can be wrong with a card, in the room's words.

/// What was wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum MediaFault {
    /// No card answers.
    NoCard,
    /// The card stopped answering between two reads: pulled out.
    Gone,
    /// A block could not be read.
    ReadFailed,
    /// A block could not be written.
    WriteFailed,
    /// Write-protected, or of a kind that is only read (exFAT).
    ReadOnly,
    /// All blocks read as one value: never formatted, or not a card image.
    Blank,
    /// No partition and no volume of a known kind: formatted for something else.
    Foreign,
    /// A volume of a known kind whose own numbers contradict each other.
    Damaged,
    /// The file's chain of clusters ends before its size, or runs into another.
    ChainBroken,
    /// No such file at that place any more.
    NotFound,
    /// No space left for the row to be written.
    Full,
}

/// A fault of the card and its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct MediaError {
    /// What was wrong.
    pub fault: MediaFault,
    /// The block (512 bytes) that was being read or written, counted from the card's first, where it is known.
    pub block: Option<u64>,
}

impl MediaError {
    /// A fault with no known place.
    #[must_use]
    pub const fn new(fault: MediaFault) -> Self {
        Self { fault, block: None }
    }

    /// A fault at a block.
    #[must_use]
    pub const fn at(fault: MediaFault, block: u64) -> Self {
        Self { fault, block: Some(block) }
    }
}
