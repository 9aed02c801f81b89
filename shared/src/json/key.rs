//! A known key and what it holds; the check of a value against it.

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

/// Checks values that were read from a text, and finds their place again for the fault.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Check<'a> {
    text: &'a [u8],
    /// Which entry of the outermost list is meant, where keys stand in a list of objects.
    entry: Option<u16>,
}

impl<'a> Check<'a> {
    /// For values read from this text.
    pub(crate) const fn new(text: &'a [u8]) -> Self {
        Self { text, entry: None }
    }

    /// For values of one entry of a list of objects, counted from 0.
    pub(crate) const fn entry(self, index: usize) -> Self {
        Self { entry: Some(index as u16), ..self }
    }

    /// The fault that this key's value is not what the key holds.
    pub(crate) fn fault(&self, key: &Key) -> Fault {
        let at = place::place_of(self.text, key.name, self.entry);
        Fault { kind: JsonFault::Value(key.expected), key: place::cut(key.name), at }
    }

    /// The fault that this key does not stand there; its place is the end of the object that should hold it.
    pub(crate) fn missing(&self, name: &str) -> Fault {
        let at = place::end_of_parent(self.text, name, self.entry);
        Fault { kind: JsonFault::Missing, key: place::cut(name), at }
    }

    /// The value, or the fault that the required key does not stand there.
    pub(crate) fn required<T>(&self, key: &Key, value: Option<T>) -> Result<T, Fault> {
        value.ok_or_else(|| self.missing(key.name))
    }

    /// A whole number in the key's range and in the target's type.
    pub(crate) fn whole<T: TryFrom<i64>>(&self, key: &Key, value: Option<i64>) -> Result<Option<T>, Fault> {
        let Some(value) = value else { return Ok(None) };
        let fits = self.in_range(key, &[value]);
        T::try_from(value).ok().filter(|_| fits).map(Some).ok_or_else(|| self.fault(key))
    }

    /// Several whole numbers in the key's range and in the target's type.
    pub(crate) fn wholes<T: TryFrom<i64> + Copy + Default, const N: usize>(
        &self,
        key: &Key,
        values: Option<[i64; N]>,
    ) -> Result<Option<[T; N]>, Fault> {
        let Some(values) = values else { return Ok(None) };
        let mut all = [T::default(); N];
        for (to, from) in all.iter_mut().zip(values) {
            *to = T::try_from(from).map_err(|_| self.fault(key))?;
        }
        if self.in_range(key, &values) { Ok(Some(all)) } else { Err(self.fault(key)) }
    }

    /// A text that is not empty.
    pub(crate) fn text<const N: usize>(
        &self,
        key: &Key,
        value: Option<Text<N>>,
    ) -> Result<Option<heapless::String<N>>, Fault> {
        match value {
            Some(text) if text.0.trim().is_empty() => Err(self.fault(key)),
            Some(text) => Ok(Some(text.0)),
            None => Ok(None),
        }
    }

    /// Texts, none of them empty.
    pub(crate) fn texts<const N: usize, const C: usize>(
        &self,
        key: &Key,
        values: Option<heapless::Vec<Text<N>, C>>,
    ) -> Result<heapless::Vec<heapless::String<N>, C>, Fault> {
        let values = values.unwrap_or_default();
        if values.iter().any(|text| text.0.trim().is_empty()) {
            return Err(self.fault(key));
        }
        Ok(values.into_iter().map(|text| text.0).collect())
    }

    fn in_range(&self, key: &Key, values: &[i64]) -> bool {
        match key.expected {
            Expected::Whole { least, most, .. } | Expected::Wholes { least, most, .. } => {
                values.iter().all(|value| (least..=most).contains(value))
            }
            Expected::Range { least, most, .. } => {
                values.iter().all(|value| (least..=most).contains(value)) && values.is_sorted()
            }
            _ => true,
        }
    }
}
