//! What can be wrong with a card, in the room's words.

use core::fmt;

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
    /// Write-protected, by its switch or by its slot.
    ReadOnly,
    /// exFAT: only read here, since a cut in power while it is written damages files.
    OnlyRead,
    /// All blocks read as one value: never formatted, or not a card image.
    Blank,
    /// No partition and no volume of a known kind: formatted for something else.
    Foreign,
    /// A volume of a known kind whose own numbers contradict each other.
    Damaged,
    /// The volume says that it is larger than the card or image: cut off.
    Truncated,
    /// The file's chain of clusters ends before its size, or runs into another.
    ChainBroken,
    /// More files or folders than are listed.
    TooManyFiles,
    /// No such file at that place any more.
    NotFound,
    /// A file stands where a folder is needed, or a folder where a file is.
    InTheWay,
    /// No space left for the row to be written.
    Full,
    /// So much of the card is in use that its tables cannot be checked before a write in the time there is.
    Unchecked,
}

impl MediaFault {
    /// Every fault, for tables that must have a line for each.
    pub const ALL: [Self; 16] = [
        Self::NoCard,
        Self::Gone,
        Self::ReadFailed,
        Self::WriteFailed,
        Self::ReadOnly,
        Self::OnlyRead,
        Self::Blank,
        Self::Foreign,
        Self::Damaged,
        Self::Truncated,
        Self::ChainBroken,
        Self::TooManyFiles,
        Self::NotFound,
        Self::InTheWay,
        Self::Full,
        Self::Unchecked,
    ];

    /// One plain line for logs and terminals. The screens' words, with the remedy, live in the word tables.
    #[must_use]
    pub const fn line(self) -> &'static str {
        match self {
            Self::NoCard => "no card answers",
            Self::Gone => "the card was pulled out while it was read",
            Self::ReadFailed => "a block of the card could not be read",
            Self::WriteFailed => "a block of the card could not be written",
            Self::ReadOnly => "the card is write-protected",
            Self::OnlyRead => "the card is exFAT, which is only read here",
            Self::Blank => "the card is blank: no block holds anything",
            Self::Foreign => "no FAT or exFAT volume on the card",
            Self::Damaged => "the card's volume is damaged",
            Self::Truncated => {
                "the card's volume is cut off: it says that it is larger than the card or image"
            }
            Self::ChainBroken => "the file is damaged: its clusters do not hold what its size says",
            Self::TooManyFiles => "more files or folders on the card than are listed",
            Self::NotFound => "no such file on the card",
            Self::InTheWay => "a file and a folder of one name are in each other's way",
            Self::Full => "the card is full",
            Self::Unchecked => "too much of the card is in use to check it before writing",
        }
    }
}

impl fmt::Display for MediaFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.line())
    }
}

impl core::error::Error for MediaFault {}

/// A fault of the card and its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct MediaError {
    /// What was wrong.
    pub fault: MediaFault,
    /// The block (512 bytes) that was being read or written, counted from the card's first, where it is known and lies
    /// within the first 2 TiB.
    pub block: Option<u32>,
}

impl MediaError {
    /// A fault with no known place.
    #[must_use]
    pub const fn new(fault: MediaFault) -> Self {
        Self { fault, block: None }
    }

    /// A fault at a block.
    #[must_use]
    pub fn at(fault: MediaFault, block: u64) -> Self {
        Self { fault, block: u32::try_from(block).ok() }
    }
}

impl fmt::Display for MediaError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.block {
            Some(block) => write!(f, "{} (block {block})", self.fault),
            None => self.fault.fmt(f),
        }
    }
}

impl core::error::Error for MediaError {}

/// What the card's library says went wrong.
pub(super) type LibraryError = hadris_io::Error<MediaFault>;
