//! A known key and what it holds; the checks of a value against it.

use super::place;
use super::{Expected, Fault, JsonFault, Text};

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
    pub(crate) const fn whole(name: &'static str, least: i64, most: i64, unit: &'static str) -> Self {
        Self::new(name, Expected::Whole { least, most, unit })
    }

    /// A key that holds a text.
    pub(crate) const fn text(name: &'static str, most: usize) -> Self {
        Self::new(name, Expected::Text { most: most as u16 })
    }
}

/// A value that a key does not allow, or a required key that does not stand there.
///
/// Small, because dozens of checks return it; [`at`](Self::at) makes the fault of it, once.
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

    /// The fault, placed in the text that the value was read from: at the value, or where the object ends that
    /// should hold the key.
    pub(crate) fn at(self, text: &[u8]) -> Fault {
        let name = self.key.name;
        let (kind, at) = if self.missing {
            (JsonFault::Missing, place::end_of_parent(text, name, self.entry))
        } else {
            (JsonFault::Value(self.key.expected), place::place_of(text, name, self.entry))
        };
        Fault { kind, key: place::cut(name), at }
    }
}

/// The value, or the refusal that the required key does not stand there.
pub(crate) fn required<T>(key: &'static Key, value: Option<T>) -> Result<T, Refusal> {
    value.ok_or(Refusal::missing(key))
}

/// A whole number in the key's range and in the target's type.
pub(crate) fn whole<T: TryFrom<i64>>(key: &'static Key, value: Option<i32>) -> Result<Option<T>, Refusal> {
    let value = value.map(i64::from);
    check_range(key, value.as_slice())?;
    value.map(|value| T::try_from(value).map_err(|_| Refusal::value(key))).transpose()
}

/// Several whole numbers in the key's range and in the target's type.
pub(crate) fn wholes<T: TryFrom<i64> + Copy + Default, const N: usize>(
    key: &'static Key,
    values: Option<[i32; N]>,
) -> Result<Option<[T; N]>, Refusal> {
    let Some(values) = values else { return Ok(None) };
    let values = values.map(i64::from);
    check_range(key, &values)?;
    let mut all = [T::default(); N];
    for (to, from) in all.iter_mut().zip(values) {
        *to = T::try_from(from).map_err(|_| Refusal::value(key))?;
    }
    Ok(Some(all))
}

/// A text that is not empty.
pub(crate) fn text<const N: usize>(
    key: &'static Key,
    value: Option<Text<N>>,
) -> Result<Option<heapless::String<N>>, Refusal> {
    match value {
        Some(text) if is_blank(&text.0) => Err(Refusal::value(key)),
        Some(text) => Ok(Some(text.0)),
        None => Ok(None),
    }
}

/// Texts, none of them empty.
pub(crate) fn texts<const N: usize, const C: usize>(
    key: &'static Key,
    values: Option<heapless::Vec<Text<N>, C>>,
) -> Result<heapless::Vec<heapless::String<N>, C>, Refusal> {
    let values = values.unwrap_or_default();
    if values.iter().any(|text| is_blank(&text.0)) {
        return Err(Refusal::value(key));
    }
    Ok(values.into_iter().map(|text| text.0).collect())
}

#[inline(never)]
fn is_blank(text: &str) -> bool {
    text.trim().is_empty()
}

/// Not inlined, or every key of every record would carry its own copy.
#[inline(never)]
pub(crate) fn check_range(key: &'static Key, values: &[i64]) -> Result<(), Refusal> {
    let fits = match key.expected {
        Expected::Whole { least, most, .. } | Expected::Wholes { least, most, .. } => {
            values.iter().all(|value| (least..=most).contains(value))
        }
        Expected::Range { least, most, .. } => {
            values.iter().all(|value| (least..=most).contains(value)) && values.is_sorted()
        }
        _ => true,
    };
    if fits { Ok(()) } else { Err(Refusal::value(key)) }
}
