//! What can be wrong with the ledger, in the room's words.

use core::fmt;

/// Why the ledger did not open, or did not keep something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum LedgerError {
    /// Never begun, or its first beginning was cut short: no byte of data is in it.
    Blank,
    /// The flash holds something, but no ledger that this version reads.
    Foreign,
    /// A value can no longer be read, though it could at the opening.
    Damaged,
    /// The flash could not be read, written or erased, or did not keep what was written.
    Flash,
    /// Fewer than five pages, more than 64, or more than 512 KiB.
    Unfit,
    /// No room left for it.
    Full,
    /// Longer than the limit for its kind, or a key or number beyond its range.
    TooLong,
    /// No balance is kept for that spool.
    UnknownSpool,
}

impl LedgerError {
    /// Every error, for tables that must have a line for each.
    pub const ALL: [Self; 8] = [
        Self::Blank,
        Self::Foreign,
        Self::Damaged,
        Self::Flash,
        Self::Unfit,
        Self::Full,
        Self::TooLong,
        Self::UnknownSpool,
    ];

    /// One plain line for logs and terminals.
    #[must_use]
    pub const fn line(self) -> &'static str {
        match self {
            Self::Blank => "the ledger is blank: nothing was written yet",
            Self::Foreign => "the flash holds no ledger of a kind that is read here",
            Self::Damaged => "a value of the ledger can no longer be read",
            Self::Flash => "the flash failed to read, write or erase",
            Self::Unfit => "the flash has too few, too many or too small pages for a ledger",
            Self::Full => "the ledger is full",
            Self::TooLong => "the value is too long or out of range for the ledger",
            Self::UnknownSpool => "no balance is kept for that spool",
        }
    }
}

impl fmt::Display for LedgerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.line())
    }
}

impl core::error::Error for LedgerError {}

/// A ledger that did not open, with its flash handed back.
#[derive(Debug)]
pub struct Refused<F> {
    /// Why.
    pub error: LedgerError,
    /// The flash. Unchanged when it is foreign.
    pub flash: F,
}
