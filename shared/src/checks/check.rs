//! What a check is: one row of the catalogue.

use super::finding::Level;
use super::findings::Findings;
use super::input::CheckInput;

/// A check's rule: looks at the input and adds what it finds.
pub type Rule = for<'a> fn(&CheckInput<'a>, &mut Findings);

/// The rule of a row whose input nothing measures yet.
pub(super) fn not_yet(_: &CheckInput<'_>, _: &mut Findings) {}

/// The catalogue's sections.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Group {
    /// Card and file.
    File,
    /// Machine, modes, geometry, flow.
    Machine,
    /// Heat.
    Heat,
    /// Spool.
    Spool,
    /// Plate, machine state, room, clock.
    Room,
    /// Holdpoint's own, beyond the catalogue.
    Own,
}

/// Whether anything feeds a check's rule today.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Live {
    /// From the header, the comments and the three records, as soon as a job is listed.
    Header,
    /// From the moves, once all were read.
    Moves,
    /// From the card and the file's bytes.
    Card,
    /// From an answer: the device asks for it in the walk-round or at the start.
    Told,
    /// From a probe, on a device that has one.
    Probe,
    /// From what the device remembers of machine, spool and vetted file.
    Ledger,
    /// Not yet: nothing measures what the rule needs, and it finds nothing.
    Unfed,
}

impl Live {
    /// Whether it can find anything at a desk, from card and records alone; the others wait for the device.
    #[must_use]
    pub const fn is_live(self) -> bool {
        matches!(self, Self::Header | Self::Moves | Self::Card)
    }

    /// In a word for the catalogue.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Header => "live: header and records",
            Self::Moves => "live: moves",
            Self::Card => "live: card and bytes",
            Self::Told => "on the device: asks a person",
            Self::Probe => "on the device: with a probe",
            Self::Ledger => "on the device: what it remembers",
            Self::Unfed => "not yet: nothing measures it",
        }
    }
}

/// What a check compares with that may be unknown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Needs {
    /// Nothing; the rule itself sees what it lacks.
    Nothing,
    /// What only a machine sheet can say.
    Sheet,
    /// The nozzle's bore: the job's own statement, else the sheet's.
    Bore,
}

/// One row of the catalogue.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Its number, stable for ever.
    pub number: u8,
    /// Its name in plain words.
    pub id: &'static str,
    /// Section.
    pub group: Group,
    /// Levels that it can give.
    pub levels: &'static [Level],
    /// The rule in a line, with its limits.
    pub rule: &'static str,
    /// Where the limits come from.
    pub source: &'static str,
    /// What feeds it.
    pub live: Live,
    /// Without what it is not asked; check 94 says so then.
    pub needs: Needs,
    /// Whether it can never be settled.
    pub never_silenced: bool,
    /// The rule.
    pub run: Rule,
}
