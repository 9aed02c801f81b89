//! The three records by name.

/// Which record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum RecordName {
    /// The machine sheet.
    Machine,
    /// The spool ticket.
    Spool,
    /// The room rules.
    Room,
}

impl RecordName {
    /// Every record.
    pub const ALL: [Self; 3] = [Self::Machine, Self::Spool, Self::Room];

    /// Its file's name in the folder `HOLDPT`.
    #[must_use]
    pub const fn file(self) -> &'static str {
        match self {
            Self::Machine => "MACHINE.JSN",
            Self::Spool => "SPOOL.JSN",
            Self::Room => "ROOM.JSN",
        }
    }
}
