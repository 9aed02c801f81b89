//! Findings that the room lead settled: a bit a check.

use crate::limits::SETTLED_CHECKS;

pub(super) const SETTLED_BYTES: usize = (SETTLED_CHECKS / 8) as usize;

/// For what a finding is settled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum SettledFor<'a> {
    /// For this machine, whatever spool hangs on it.
    Machine,
    /// For the spool with this number.
    Spool(&'a str),
}

/// The checks whose findings are settled, by their numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Settled(pub(super) [u8; SETTLED_BYTES]);

impl Settled {
    /// Whether the check's findings are settled.
    #[must_use]
    pub fn contains(&self, check: u8) -> bool {
        self.0.get(usize::from(check >> 3)).is_some_and(|bits| bits & bit(check) != 0)
    }

    /// The checks' numbers, rising.
    pub fn iter(&self) -> impl Iterator<Item = u8> + '_ {
        (0..SETTLED_CHECKS).filter(|check| self.contains(*check))
    }

    /// `None` when the number is beyond those that have a bit.
    pub(super) fn set(&mut self, check: u8, settled: bool) -> Option<()> {
        let bits = self.0.get_mut(usize::from(check >> 3))?;
        if settled {
            *bits |= bit(check);
        } else {
            *bits &= !bit(check);
        }
        Some(())
    }
}

const fn bit(check: u8) -> u8 {
    1 << (check & 7)
}
