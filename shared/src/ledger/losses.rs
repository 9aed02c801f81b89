//! What the flash lost: named, kept until somebody has read it.

use super::kind::Kind;
use super::row::{RowReader, RowWriter};

/// A kind of value that was lost, or of which only an older one is left.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Lost {
    /// Nobody knows what it was: anything may be missing.
    Unknown,
    /// The newest run's number; numbers may leave a gap.
    RunNumber,
    /// How the last run ended.
    Machine,
    /// Whether a lead holds the machine.
    Hold,
    /// What is settled for the machine.
    Settled,
    /// The balance of a spool, and what is settled for it.
    Spool,
    /// Some of the last events.
    Events,
    /// Learned times and temperatures, owners, the day of the last wash.
    Learned,
    /// The run that was on: it is not resumed.
    Run,
    /// The machine sheet.
    MachineSheet,
    /// The spool ticket.
    SpoolTicket,
    /// The room rules.
    RoomRules,
    /// The picture of the first layer.
    Picture,
    /// Rows of the day book that waited for a card, or the names of those that were given up.
    Rows,
}

impl Lost {
    /// Each of them.
    pub const ALL: [Self; 14] = [
        Self::Unknown,
        Self::RunNumber,
        Self::Machine,
        Self::Hold,
        Self::Settled,
        Self::Spool,
        Self::Events,
        Self::Learned,
        Self::Run,
        Self::MachineSheet,
        Self::SpoolTicket,
        Self::RoomRules,
        Self::Picture,
        Self::Rows,
    ];

    /// A word for it in the day book's events and in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::RunNumber => "run number",
            Self::Machine => "last run",
            Self::Hold => "out of use",
            Self::Settled => "settled points",
            Self::Spool => "spool balance",
            Self::Events => "events",
            Self::Learned => "learned values",
            Self::Run => "run under way",
            Self::MachineSheet => "machine sheet",
            Self::SpoolTicket => "spool ticket",
            Self::RoomRules => "room rules",
            Self::Picture => "first layer",
            Self::Rows => "waiting rows",
        }
    }

    const fn bit(self) -> u32 {
        1_u32.wrapping_shl(self as u32)
    }

    pub(super) const fn of(kind: Kind) -> Self {
        match kind {
            Kind::RunNumber => Self::RunNumber,
            Kind::Machine => Self::Machine,
            Kind::Hold => Self::Hold,
            Kind::Settled => Self::Settled,
            Kind::Spool => Self::Spool,
            Kind::Event => Self::Events,
            Kind::Learned => Self::Learned,
            Kind::RunState => Self::Run,
            Kind::MachineSheet => Self::MachineSheet,
            Kind::SpoolTicket => Self::SpoolTicket,
            Kind::RoomRules => Self::RoomRules,
            Kind::Picture => Self::Picture,
            Kind::WaitingRow | Kind::GivenUp => Self::Rows,
            Kind::Losses => Self::Unknown,
        }
    }
}

/// What was lost since somebody last read it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Losses {
    kinds: u32,
    spools: u16,
    rows: u16,
}

impl Losses {
    /// Whether nothing was lost.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.kinds == 0
    }

    /// Whether something of this kind was lost.
    #[must_use]
    pub const fn contains(self, lost: Lost) -> bool {
        self.kinds & lost.bit() != 0
    }

    /// What was lost.
    pub fn iter(self) -> impl Iterator<Item = Lost> {
        Lost::ALL.into_iter().filter(move |lost| self.contains(*lost))
    }

    /// Whether the balance in this slot ([`Ledger::spool_in`](super::Ledger::spool_in)) is an older one, or gone.
    #[must_use]
    pub fn has_spool(self, slot: u8) -> bool {
        self.spools.checked_shr(slot.into()).is_some_and(|bits| bits & 1 == 1)
    }

    /// Rows that could not be read.
    #[must_use]
    pub const fn rows(self) -> u16 {
        self.rows
    }

    pub(super) fn add(&mut self, lost: Lost) {
        self.kinds |= lost.bit();
    }

    pub(super) fn add_spool(&mut self, slot: u8) {
        self.add(Lost::Spool);
        self.spools |= 1_u16.checked_shl(slot.into()).unwrap_or_default();
    }

    pub(super) fn add_rows(&mut self, rows: u16) {
        self.rows = self.rows.saturating_add(rows);
    }

    /// What was lost, and before which row it is all in order again.
    pub(super) fn read(bytes: &[u8]) -> Option<(Self, u32)> {
        let mut row = RowReader(bytes);
        let losses = Self { kinds: row.word()?, spools: row.half()?, rows: row.half()? };
        Some((losses, row.word()?))
    }

    pub(super) fn write(self, known: u32) -> RowWriter {
        let mut row = RowWriter::default();
        row.word(self.kinds).half(self.spools).half(self.rows).word(known);
        row
    }
}
