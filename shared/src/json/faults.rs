//! What was wrong with a text: how much, and which comes first.

use core::cell::Cell;

use super::key::Refusal;
use super::{Fault, JsonFault, Key, KeyName, place};

/// The keys of an object that are not known: one of them, and how many there are.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct UnknownKey {
    /// The first that is near a known one, else the first, by its full name.
    pub key: KeyName,
    /// The known key that it may have been meant for.
    pub nearest: Option<&'static str>,
    /// How many keys are not known.
    pub count: u16,
}

/// A fault as it was found; its key's name is looked up when it is asked for.
#[derive(Clone, Copy, Debug)]
enum FoundFault {
    Refused(Refusal),
    /// A value or a key of this known key.
    Of(&'static Key, JsonFault, usize),
    /// A fault of form, or an unknown key that begins there.
    At(JsonFault, usize),
}

/// Counts the faults of a text and keeps the first of each kind, and the one of a given number.
///
/// A list of all would need room for as many as an outsider writes: to list them all, read the text once for each.
#[derive(Debug, Default)]
pub(crate) struct Faults {
    /// Number of the fault to be kept, from 0, unknown keys counted.
    wanted: u16,
    told: Cell<u16>,
    refusals: Cell<u16>,
    kept: Cell<Option<FoundFault>>,
    refusal: Cell<Option<FoundFault>>,
    unknown: Cell<Option<FoundFault>>,
}

impl Faults {
    /// That keeps the fault of this number, from 0.
    pub(crate) fn with(wanted: u16) -> Self {
        Self { wanted, ..Self::default() }
    }

    fn tell(&self, found: FoundFault, unknown: bool) {
        let number = self.told.get();
        self.told.set(number.saturating_add(1));
        if number == self.wanted {
            self.kept.set(Some(found));
        }
        if unknown {
            let before = self.unknown.get().filter(|before| before.is_near() || !found.is_near());
            self.unknown.set(before.or(Some(found)));
        } else {
            self.refusals.set(self.refusals.get().saturating_add(1));
            self.refusal.set(self.refusal.get().or(Some(found)));
        }
    }

    pub(super) fn refuse(&self, refusal: Refusal) {
        self.tell(FoundFault::Refused(refusal), false);
    }

    pub(super) fn refuse_at(&self, key: &'static Key, kind: JsonFault, at: usize) {
        self.tell(FoundFault::Of(key, kind, at), false);
    }

    pub(super) fn break_at(&self, kind: JsonFault, at: usize) {
        self.tell(FoundFault::At(kind, at), false);
    }

    pub(super) fn unknown_at(&self, nearest: Option<&'static str>, at: usize) {
        self.tell(FoundFault::At(JsonFault::Unknown { nearest }, at), true);
    }

    /// Faults for which the text is refused: all but unknown keys.
    pub(crate) fn refusals(&self) -> u16 {
        self.refusals.get()
    }

    /// The first fault for which the text is refused.
    pub(crate) fn refusal(&self, text: &[u8]) -> Option<Fault> {
        self.refusal.get().map(|found| found.place(text))
    }

    /// The unknown keys.
    pub(crate) fn unknown(&self, text: &[u8]) -> Option<UnknownKey> {
        let Fault { kind: JsonFault::Unknown { nearest }, key, .. } = self.unknown.get()?.place(text) else {
            return None;
        };
        Some(UnknownKey { key, nearest, count: self.told.get().saturating_sub(self.refusals.get()) })
    }

    /// The fault of the number that was asked for.
    pub(crate) fn kept(&self, text: &[u8]) -> Option<Fault> {
        self.kept.get().map(|found| found.place(text))
    }
}

impl FoundFault {
    /// Whether it is an unknown key that is near a known one.
    const fn is_near(self) -> bool {
        matches!(self, Self::At(JsonFault::Unknown { nearest: Some(_) }, _))
    }

    fn place(self, text: &[u8]) -> Fault {
        match self {
            Self::Refused(refusal) => refusal.at(text),
            Self::Of(key, kind, at) => Fault { kind, key: place::cut(key.name), at },
            Self::At(kind, at) if kind.is_unknown_key() => Fault { kind, key: place::key_from(text, at), at },
            Self::At(kind, at) => Fault { kind, key: place::key_at(text, at), at },
        }
    }
}
