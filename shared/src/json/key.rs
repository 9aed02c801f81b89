//! A known key and what it holds; the checks of a value against it.

use super::place;
use super::string::{Raw, unescape};
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
pub(crate) fn whole<T: TryFrom<i32>>(key: &'static Key, value: Option<i32>) -> Result<Option<T>, Refusal> {
    check_all(key, value.as_slice())?;
    value.map(|value| T::try_from(value).map_err(|_| Refusal::value(key))).transpose()
}

/// Several whole numbers in the key's range and in the target's type.
pub(crate) fn wholes<T: TryFrom<i32> + Copy + Default, const N: usize>(
    key: &'static Key,
    values: Option<[i32; N]>,
) -> Result<Option<[T; N]>, Refusal> {
    let Some(values) = values else { return Ok(None) };
    check_all(key, &values)?;
    let mut all = [T::default(); N];
    for (to, from) in all.iter_mut().zip(values) {
        *to = T::try_from(from).map_err(|_| Refusal::value(key))?;
    }
    Ok(Some(all))
}

/// A text that is not empty, without its escapes.
pub(crate) fn text<const N: usize>(
    key: &'static Key,
    value: Option<Raw<'_>>,
) -> Result<Option<heapless::String<N>>, Refusal> {
    let Some(raw) = value else { return Ok(None) };
    let mut text = heapless::String::new();
    let fits = unescape(raw.0, &mut text).is_ok();
    if fits && !is_blank(&text) { Ok(Some(text)) } else { Err(Refusal::value(key)) }
}

/// Texts, none of them empty.
pub(crate) fn texts<const N: usize, const C: usize>(
    key: &'static Key,
    values: Option<heapless::Vec<Raw<'_>, C>>,
) -> Result<heapless::Vec<heapless::String<N>, C>, Refusal> {
    values.unwrap_or_default().into_iter().filter_map(|value| text(key, Some(value)).transpose()).collect()
}

/// The one of `choices` whose word stands there; they stand in the order of the key's words.
pub(crate) fn choice<T: Copy>(
    key: &'static Key,
    choices: &[T],
    value: Option<Raw<'_>>,
) -> Result<Option<T>, Refusal> {
    let Some(raw) = value else { return Ok(None) };
    choices.get(word_index(key, raw.0)).copied().map(Some).ok_or(Refusal::value(key))
}

/// Which of the key's words this is; beyond them all if it is none.
#[inline(never)]
fn word_index(key: &Key, text: &str) -> usize {
    let Expected::OneOf(words) = key.expected else { return usize::MAX };
    words.iter().position(|word| *word == text).unwrap_or(usize::MAX)
}

#[inline(never)]
fn is_blank(text: &str) -> bool {
    text.trim_ascii().is_empty()
}

/// Whether every number lies in the key's range; of a range the first not above the second.
///
/// Not inlined, or every key of every record would carry its own copy.
#[inline(never)]
fn check_all(key: &'static Key, values: &[i32]) -> Result<(), Refusal> {
    let ordered = !matches!(key.expected, Expected::Range { .. }) || values.is_sorted();
    let fits = values.iter().all(|&value| is_in_range(key, i64::from(value)));
    if ordered && fits { Ok(()) } else { Err(Refusal::value(key)) }
}

/// Whether a number lies in the key's range.
pub(crate) fn is_in_range(key: &Key, value: i64) -> bool {
    match key.expected {
        Expected::Whole { least, most, .. }
        | Expected::Wholes { least, most, .. }
        | Expected::Range { least, most, .. } => (least..=most).contains(&value),
        _ => true,
    }
}
