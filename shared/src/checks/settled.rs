//! What a lead has settled: a check's NOTE or LOOK that no longer weighs for one spool or one machine.
//!
//! The same false alarm never twice. A HOLD and the checks that are never silenced cannot be settled, whatever stands
//! here: [`Findings::is_settled`](super::Findings::is_settled) asks the finding itself.

use chrono::NaiveDate;
use heapless::{String, Vec};

use crate::limits::{SETTLEMENTS, TAG_BYTES};

/// A set of checks, by their numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct CheckSet([u32; 4]);

impl CheckSet {
    /// None of them.
    pub const NONE: Self = Self([0; 4]);

    /// With this check. Numbers above 127 do not exist and change nothing.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "a number below 128 lies in one of four words of 32")]
    pub const fn with(mut self, check: u8) -> Self {
        if check < 128 {
            self.0[check as usize / 32] |= 1 << (check % 32);
        }
        self
    }

    /// Whether this check is among them.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "a number below 128 lies in one of four words of 32")]
    pub const fn has(self, check: u8) -> bool {
        check < 128 && self.0[check as usize / 32] >> (check % 32) & 1 == 1
    }
}

/// For what a settlement holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Scope {
    /// The machine of this tag.
    Machine,
    /// The spool of this number.
    Spool,
}

/// One check, settled for one machine or one spool.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Settlement {
    /// The check's number.
    pub check: u8,
    /// For what it holds.
    pub scope: Scope,
    /// The machine's tag or the spool's number, never empty.
    pub of: String<TAG_BYTES>,
    /// The day it was settled, where it is known.
    pub day: Option<NaiveDate>,
}

impl Settlement {
    fn holds_for(&self, machine: &str, spool: &str) -> bool {
        self.of
            == match self.scope {
                Scope::Machine => machine,
                Scope::Spool => spool,
            }
    }
}

/// Why a check cannot be settled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum NotSettled {
    /// No check has this number.
    NoSuchCheck,
    /// The check is never silenced.
    NeverSilenced,
    /// The check gives nothing but HOLD: only changing the fact or the record opens that.
    HoldOnly,
    /// The machine or spool has no tag to settle it for.
    NoTag,
    /// [`SETTLEMENTS`] stand already: one must be undone first.
    Full,
}

/// All that is settled, a small set: one settlement for each check and machine or spool.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Settlements(Vec<Settlement, SETTLEMENTS>);

impl Settlements {
    /// Nothing settled.
    #[must_use]
    pub const fn new() -> Self {
        Self(Vec::new())
    }

    /// Puts one in; the same one put in before gets the new day. Whether it may be is the catalogue's to say.
    pub(super) fn insert(&mut self, settlement: Settlement) -> Result<(), NotSettled> {
        let Settlement { check, scope, ref of, day } = settlement;
        if let Some(held) = self.held(check, scope, of).and_then(|place| self.0.get_mut(place)) {
            held.day = day;
            return Ok(());
        }
        self.0.push(settlement).map_err(|_| NotSettled::Full)
    }

    /// Undoes a settlement; `false` = there was none.
    pub fn undo(&mut self, check: u8, scope: Scope, of: &str) -> bool {
        let place = self.held(check, scope, of);
        if let Some(place) = place {
            self.0.remove(place);
        }
        place.is_some()
    }

    fn held(&self, check: u8, scope: Scope, of: &str) -> Option<usize> {
        self.0.iter().position(|held| (held.check, held.scope, &*held.of) == (check, scope, of))
    }

    /// All, in the order in which they were settled.
    pub fn iter(&self) -> core::slice::Iter<'_, Settlement> {
        self.0.iter()
    }

    /// The checks that are settled for this machine or this spool; empty texts for one that is not known.
    #[must_use]
    pub fn checks(&self, machine: &str, spool: &str) -> CheckSet {
        let held = self.0.iter().filter(|held| held.holds_for(machine, spool));
        held.fold(CheckSet::NONE, |checks, held| checks.with(held.check))
    }

    /// The settlement of a check that holds for this machine or this spool.
    #[must_use]
    pub fn find<'s>(&'s self, check: u8, machine: &str, spool: &str) -> Option<&'s Settlement> {
        self.0.iter().find(|held| held.check == check && held.holds_for(machine, spool))
    }
}

impl<'a> IntoIterator for &'a Settlements {
    type Item = &'a Settlement;
    type IntoIter = core::slice::Iter<'a, Settlement>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settlement(check: u8, scope: Scope, of: &str, day: u32) -> Settlement {
        let day = NaiveDate::from_ymd_opt(2026, 11, day).unwrap();
        Settlement { check, scope, of: of.try_into().unwrap(), day: Some(day) }
    }

    #[test]
    fn a_set_of_numbers() {
        let set = CheckSet::NONE.with(0).with(31).with(32).with(127).with(128);
        let held: std::vec::Vec<u8> = (0..=255).filter(|check| set.has(*check)).collect();
        assert_eq!(held, [0, 31, 32, 127]);
    }

    #[test]
    fn each_holds_for_its_own_machine_or_spool() {
        let mut all = Settlements::new();
        all.settle(settlement(58, Scope::Spool, "S17", 24)).unwrap();
        all.settle(settlement(10, Scope::Machine, "M2", 25)).unwrap();
        assert_eq!(all.checks("M2", "S17"), CheckSet::NONE.with(58).with(10));
        assert_eq!(all.checks("M2", "S18"), CheckSet::NONE.with(10));
        // A spool is no machine, whatever they are called.
        assert_eq!(all.checks("S17", "M2"), CheckSet::NONE);
        assert_eq!(all.checks("", ""), CheckSet::NONE);
        let day = |spool| all.find(58, "M2", spool).and_then(|held| held.day);
        assert_eq!(day("S17"), NaiveDate::from_ymd_opt(2026, 11, 24));
        assert_eq!(day(""), None);
    }

    #[test]
    fn settled_twice_is_settled_once_and_undone_once() {
        let mut all = Settlements::new();
        all.settle(settlement(58, Scope::Spool, "S17", 24)).unwrap();
        all.settle(settlement(58, Scope::Spool, "S17", 25)).unwrap();
        assert_eq!(all.iter().count(), 1);
        assert!(!all.undo(58, Scope::Machine, "S17"));
        assert!(all.undo(58, Scope::Spool, "S17"));
        assert!(!all.undo(58, Scope::Spool, "S17"));
        assert_eq!(all, Settlements::new());
    }

    #[test]
    fn what_cannot_be_settled_says_why() {
        let mut all = Settlements::new();
        let mut refused = |check, of| all.settle(settlement(check, Scope::Machine, of, 25)).unwrap_err();
        // What a room must never get used to (job catalogue, never silenced).
        assert_eq!(refused(54, "M2"), NotSettled::NeverSilenced);
        assert_eq!(refused(1, "M2"), NotSettled::NeverSilenced);
        assert_eq!(refused(82, "M2"), NotSettled::HoldOnly);
        assert_eq!(refused(200, "M2"), NotSettled::NoSuchCheck);
        assert_eq!(refused(10, ""), NotSettled::NoTag);
        for number in 0..SETTLEMENTS {
            let tag = std::format!("M{number}");
            all.settle(settlement(10, Scope::Machine, &tag, 25)).unwrap();
        }
        assert_eq!(all.settle(settlement(10, Scope::Machine, "M99", 25)), Err(NotSettled::Full));
        assert_eq!(all.settle(settlement(10, Scope::Machine, "M0", 26)), Ok(()), "it has its place");
    }
}
