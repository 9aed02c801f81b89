//! The values that stand in a JSON object, read by the table of its keys.
//!
//! One visitor serves every record and the header. Derived readers would be one program for every type: on a small
//! board they took more flash than all the checks.

use core::fmt::{self, Formatter};

use heapless::{String, Vec, VecView};
use serde::Deserialize;
use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};

use super::key::{is_blank, is_in_range, word_index};
use super::string::unescape;
use super::{Expected, Key, Refusal};

/// A value as it stands in the text; one entry of it where it is a list.
#[derive(Clone, Copy, Debug)]
enum Value<'a> {
    Whole(i64),
    Flag(bool),
    /// With its escapes.
    Text(&'a str),
    Object,
}

/// A value and its key. 24 bytes on a 32-bit machine.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Member<'a> {
    key: &'static Key,
    /// Which entry of the list of objects that the key belongs to; 0 where there is no such list.
    entry: u8,
    value: Value<'a>,
}

/// Room for what an object of so many values states: one for each key, each entry of a list and each object.
pub(crate) type Members<'a, const N: usize> = Vec<Member<'a>, N>;

/// What an object states.
///
/// A key that is left out or `null` is `None` in every answer. What is refused is a value out of its key's range.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stated<'v, 'a> {
    members: &'v [Member<'a>],
    entry: u8,
}

impl<'v, 'a> Stated<'v, 'a> {
    pub(super) const fn new(members: &'v [Member<'a>]) -> Self {
        Self { members, entry: 0 }
    }

    fn values(self, key: &'static Key) -> impl Iterator<Item = Value<'a>> {
        let of_key = move |member: &&Member<'a>| core::ptr::eq(member.key, key) && member.entry == self.entry;
        self.members.iter().filter(of_key).map(|member| member.value)
    }

    #[inline(never)]
    fn value(self, key: &'static Key) -> Option<Value<'a>> {
        self.values(key).next()
    }

    /// Whether the key stands there.
    pub(crate) fn has(self, key: &'static Key) -> bool {
        self.value(key).is_some()
    }

    /// The objects of a list, in their order.
    pub(crate) fn entries(self, key: &'static Key) -> impl Iterator<Item = Self> {
        let of_key = self.members.iter().filter(move |member| core::ptr::eq(member.key, key));
        of_key.map(move |member| Self { entry: member.entry, ..self })
    }

    /// `true` or `false`.
    pub(crate) fn flag(self, key: &'static Key) -> Option<bool> {
        match self.value(key)? {
            Value::Flag(flag) => Some(flag),
            Value::Whole(_) | Value::Text(_) | Value::Object => None,
        }
    }

    /// A text with its escapes.
    pub(crate) fn raw(self, key: &'static Key) -> Option<&'a str> {
        self.value(key)?.text()
    }

    /// A whole number in the key's range and in the target's type.
    pub(crate) fn whole<T: TryFrom<i64>>(self, key: &'static Key) -> Result<Option<T>, Refusal> {
        let Some(value) = self.in_range(key)? else { return Ok(None) };
        T::try_from(value).map(Some).map_err(|_| Refusal::value(key))
    }

    // Not inlined, or every key of every record would carry its own copy.
    #[inline(never)]
    fn in_range(self, key: &'static Key) -> Result<Option<i64>, Refusal> {
        match self.value(key).and_then(Value::whole) {
            Some(value) if !is_in_range(key, value) => Err(Refusal::value(key)),
            value => Ok(value),
        }
    }

    /// Several whole numbers in the key's range, and of a range the first not above the second.
    pub(crate) fn wholes<T: TryFrom<i64> + Copy + Default, const N: usize>(
        self,
        key: &'static Key,
    ) -> Result<Option<[T; N]>, Refusal> {
        let mut values = [0; N];
        if !self.fill(key, &mut values)? {
            return Ok(None);
        }
        let mut all = [T::default(); N];
        for (to, from) in all.iter_mut().zip(values) {
            *to = T::try_from(from).map_err(|_| Refusal::value(key))?;
        }
        Ok(Some(all))
    }

    /// Whether the key stands there, with its numbers.
    #[inline(never)]
    fn fill(self, key: &'static Key, to: &mut [i64]) -> Result<bool, Refusal> {
        let mut count = 0;
        for (to, value) in to.iter_mut().zip(self.values(key).filter_map(Value::whole)) {
            *to = value;
            count += 1;
        }
        if count < to.len() {
            return Ok(false);
        }
        let ordered = !matches!(key.expected, Expected::Range { .. }) || to.is_sorted();
        let fits = to.iter().all(|&value| is_in_range(key, value));
        if ordered && fits { Ok(true) } else { Err(Refusal::value(key)) }
    }

    /// A text that is not empty, without its escapes.
    pub(crate) fn text<const N: usize>(self, key: &'static Key) -> Result<Option<String<N>>, Refusal> {
        self.raw(key).map(|raw| plain(key, raw)).transpose()
    }

    /// Texts, none of them empty.
    pub(crate) fn texts<const N: usize, const C: usize>(
        self,
        key: &'static Key,
    ) -> Result<Vec<String<N>, C>, Refusal> {
        self.values(key).filter_map(Value::text).map(|raw| plain(key, raw)).collect()
    }

    /// Texts of a form of their own, each read by `of`.
    pub(crate) fn forms<T, const C: usize>(
        self,
        key: &'static Key,
        of: fn(&str) -> Option<T>,
    ) -> Result<Vec<T, C>, Refusal> {
        self.values(key).filter_map(Value::text).map(|raw| of(raw).ok_or(Refusal::value(key))).collect()
    }

    /// The one of `choices` whose word stands there; they stand in the order of the key's words.
    pub(crate) fn choice<T: Copy>(self, key: &'static Key, choices: &[T]) -> Result<Option<T>, Refusal> {
        let Some(raw) = self.raw(key) else { return Ok(None) };
        choices.get(word_index(key, raw)).copied().map(Some).ok_or(Refusal::value(key))
    }
}

impl<'a> Value<'a> {
    const fn whole(self) -> Option<i64> {
        match self {
            Self::Whole(value) => Some(value),
            Self::Flag(_) | Self::Text(_) | Self::Object => None,
        }
    }

    const fn text(self) -> Option<&'a str> {
        match self {
            Self::Text(raw) => Some(raw),
            Self::Whole(_) | Self::Flag(_) | Self::Object => None,
        }
    }
}

/// A text that is not empty, without its escapes.
fn plain<const N: usize>(key: &'static Key, raw: &str) -> Result<String<N>, Refusal> {
    let mut text = String::new();
    let fits = unescape(raw, &mut text).is_ok();
    if fits && !is_blank(&text) { Ok(text) } else { Err(Refusal::value(key)) }
}

/// Reads an object's members into `members`.
#[derive(Debug)]
pub(super) struct Object<'r, 'a> {
    pub(super) keys: &'static [&'static Key],
    pub(super) members: &'r mut VecView<Member<'a>>,
    /// Full name of the object's own key; empty for the outermost.
    pub(super) above: &'static str,
    pub(super) entry: u8,
}

impl Object<'_, '_> {
    /// The known key of this name within this object, and which one of the table it is.
    fn find(&self, name: &str) -> Option<(usize, &'static Key)> {
        let is_it = |key: &Key| match key.name.strip_prefix(self.above) {
            Some(rest) if self.above.is_empty() => rest == name,
            Some(rest) => rest.strip_prefix('.') == Some(name),
            None => false,
        };
        self.keys.iter().copied().enumerate().find(|(_, key)| is_it(key))
    }
}

impl<'a> DeserializeSeed<'a> for Object<'_, 'a> {
    type Value = ();

    fn deserialize<D: Deserializer<'a>>(self, reader: D) -> Result<(), D::Error> {
        reader.deserialize_map(self)
    }
}

impl<'a> Visitor<'a> for Object<'_, 'a> {
    type Value = ();

    fn expecting(&self, f: &mut Formatter<'_>) -> fmt::Result {
        f.write_str("an object")
    }

    fn visit_map<M: MapAccess<'a>>(mut self, mut map: M) -> Result<(), M::Error> {
        let mut seen = 0_u64;
        while let Some(name) = map.next_key::<&'a str>()? {
            let Some((at, key)) = self.find(name) else {
                map.next_value::<IgnoredAny>()?;
                continue;
            };
            // No table has more than 64 keys.
            let bit = 1_u64.checked_shl(at as u32).unwrap_or(0);
            if seen & bit != 0 {
                return Err(M::Error::custom("twice"));
            }
            seen |= bit;
            let Self { keys, members, entry, .. } = &mut self;
            map.next_value_seed(Of { keys, members, key, entry: *entry })?;
        }
        Ok(())
    }
}

/// Reads the value of a known key.
struct Of<'r, 'a> {
    keys: &'static [&'static Key],
    members: &'r mut VecView<Member<'a>>,
    key: &'static Key,
    entry: u8,
}

impl<'a> Of<'_, 'a> {
    fn push<E: Error>(&mut self, value: Value<'a>) -> Result<(), E> {
        let Self { key, entry, .. } = *self;
        self.members.push(Member { key, entry, value }).map_err(|_| E::custom("too many values"))
    }

    fn push_whole<E: Error>(&mut self, value: i64) -> Result<(), E> {
        // A number far beyond its key's range is a fault of form, like a number that no machine can hold.
        let most = match self.key.expected {
            Expected::Whole { most, .. } => most,
            _ => 0,
        };
        if i32::try_from(value).is_err() && most <= i64::from(i32::MAX) {
            return Err(E::custom("too large"));
        }
        self.push(Value::Whole(value))
    }

    fn object(&mut self, entry: u8) -> Object<'_, 'a> {
        Object { keys: self.keys, members: self.members, above: self.key.name, entry }
    }
}

impl<'a> DeserializeSeed<'a> for Of<'_, 'a> {
    type Value = ();

    fn deserialize<D: Deserializer<'a>>(self, reader: D) -> Result<(), D::Error> {
        reader.deserialize_option(self)
    }
}

impl<'a> Visitor<'a> for Of<'_, 'a> {
    type Value = ();

    fn expecting(&self, f: &mut Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.key.expected)
    }

    fn visit_none<E: Error>(self) -> Result<(), E> {
        Ok(())
    }

    fn visit_some<D: Deserializer<'a>>(mut self, reader: D) -> Result<(), D::Error> {
        match self.key.expected {
            Expected::Whole { .. } => self.push_whole(i64::deserialize(reader)?),
            Expected::Flag => self.push(Value::Flag(bool::deserialize(reader)?)),
            Expected::Wholes { .. }
            | Expected::Range { .. }
            | Expected::Texts { .. }
            | Expected::Forms { .. }
            | Expected::Objects { .. } => reader.deserialize_seq(self),
            Expected::Object => {
                self.push(Value::Object)?;
                let entry = self.entry;
                self.object(entry).deserialize(reader)
            }
            _ => self.push(Value::Text(<&'a str>::deserialize(reader)?)),
        }
    }

    fn visit_seq<S: SeqAccess<'a>>(mut self, mut list: S) -> Result<(), S::Error> {
        let (count, exact) = match self.key.expected {
            Expected::Wholes { count, .. } => (count, true),
            Expected::Range { .. } => (2, true),
            Expected::Texts { count, .. } | Expected::Forms { count, .. } | Expected::Objects { count } => {
                (count, false)
            }
            _ => (0, true),
        };
        if exact {
            // The parser itself refuses what follows the last one.
            for _ in 0..count {
                let value = list.next_element()?.ok_or_else(|| S::Error::custom("too few"))?;
                self.push_whole(value)?;
            }
            return Ok(());
        }
        let mut at = 0;
        loop {
            if matches!(self.key.expected, Expected::Objects { .. }) {
                if list.next_element_seed(self.object(at))?.is_none() {
                    return Ok(());
                }
            } else if let Some(text) = list.next_element()? {
                if at < count {
                    self.push(Value::Text(text))?;
                }
            } else {
                return Ok(());
            }
            if at >= count {
                return Err(S::Error::custom("too many"));
            }
            if matches!(self.key.expected, Expected::Objects { .. }) {
                let key = self.key;
                let entry = Member { key, entry: at, value: Value::Object };
                self.members.push(entry).map_err(|_| S::Error::custom("too many values"))?;
            }
            at += 1;
        }
    }
}
