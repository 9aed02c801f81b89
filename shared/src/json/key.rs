//! A known key and what it holds; the checks of a value against it.

use super::expected::MOST_FILE_BYTES;
use super::place;
use super::{Expected, Fault, JsonFault};

/// A known key, by its full name (`motion.corner`), and what it holds.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Key {
    /// Full name.
    pub(crate) name: &'static str,
    /// What it holds.
    pub(crate) expected: Expected,
}

impl Key {
    /// A key that holds what `expected` says.
    pub(crate) const fn new(name: &'static str, expected: Expected) -> Self {
        Self { name, expected }
    }

    /// A key that holds a whole number.
    pub(crate) const fn whole(name: &'static str, least: i32, most: i32, unit: &'static str) -> Self {
        Self::new(name, Expected::Whole { least, most, unit })
    }

    /// A key that holds a text.
    pub(crate) const fn text(name: &'static str, most: usize) -> Self {
        Self::new(name, Expected::Text { most: most as u16 })
    }
}

/// A value that a key does not allow, or a required key that does not stand there.
///
/// Small; [`at`](Self::at) makes the fault of it, once.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Refusal {
    key: &'static Key,
    missing: bool,
    /// Which entry of the outermost list is meant, where keys stand in a list of objects.
    entry: Option<u16>,
}

impl Refusal {
    /// The key's value is not what it holds.
    pub(crate) const fn value(key: &'static Key) -> Self {
        Self { key, missing: false, entry: None }
    }

    /// The key is required and does not stand there.
    pub(crate) const fn missing(key: &'static Key) -> Self {
        Self { key, missing: true, entry: None }
    }

    /// The key stands in this entry of a list of objects, counted from 0.
    pub(crate) const fn in_entry(self, index: usize) -> Self {
        Self { entry: Some(index as u16), ..self }
    }

    /// The fault, placed in the text that the value was read from: at the value, or at the end of the object that
    /// should hold the key.
    pub(super) fn at(self, text: &[u8]) -> Fault {
        let name = self.key.name;
        let (kind, at) = if self.missing {
            (JsonFault::Missing, place::end_of_parent(text, name, self.entry))
        } else {
            (JsonFault::Value(self.key.expected), place::place_of(text, name, self.entry))
        };
        Fault { kind, key: place::cut(name), at }
    }
}

/// Which of the key's words this is; beyond them all if it is none.
#[inline(never)]
pub(super) fn word_index(key: &Key, text: &str) -> usize {
    let Expected::OneOf(words) = key.expected else { return usize::MAX };
    words.iter().position(|word| *word == text).unwrap_or(usize::MAX)
}

#[inline(never)]
pub(super) fn is_blank(text: &str) -> bool {
    text.trim_ascii().is_empty()
}

/// Whether a number lies in the key's range.
pub(crate) fn is_in_range(key: &Key, value: i64) -> bool {
    match key.expected {
        Expected::Whole { least, most, .. }
        | Expected::Wholes { least, most, .. }
        | Expected::Range { least, most, .. } => (least.into()..=most.into()).contains(&value),
        Expected::FileBytes => (0..=MOST_FILE_BYTES).contains(&value),
        _ => true,
    }
}
