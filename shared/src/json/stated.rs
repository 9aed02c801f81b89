//! The values that stand in a JSON object, read by the table of its keys.
//!
//! One visitor serves every record and the header. Derived readers would be one program for every type: on a small
//! board they took more flash than all the checks.

use core::cell::Cell;
use core::fmt::{self, Formatter};

use heapless::string::StringView;
use heapless::{String, Vec, VecView};
use serde::Deserialize;
use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};

use super::key::{is_blank, is_in_range, word_index};
use super::string::unescape;
use super::{Expected, Fault, Key, Refusal};

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

/// The first value that was refused while an object was read; nothing is taken over then.
///
/// Kept here rather than returned: dozens of values are read one after the other, and a way out behind each took a
/// small board more flash than the values.
#[derive(Debug, Default)]
pub(crate) struct Refused(Cell<Option<Refusal>>);

impl Refused {
    /// # Errors
    /// The fault of the value that was refused, placed in the text that the values were read from.
    pub(crate) fn check(&self, text: &[u8]) -> Result<(), Fault> {
        self.0.get().map_or(Ok(()), |refusal| Err(refusal.at(text)))
    }
}

/// A type that a whole number is kept in; the key's range fits in it.
pub(crate) trait Whole: Copy {
    /// The number in this type.
    fn of(value: i32) -> Self;
}

macro_rules! whole {
    ($($name:ty)*) => { $(
        impl Whole for $name {
            fn of(value: i32) -> Self {
                debug_assert!(Self::try_from(value).is_ok(), "{value} is in its key's range, not in its type's");
                value as Self
            }
        }
    )* };
}
whole!(u8 u16 u32 i16 i32 i64);

/// What an object states.
///
/// A key that is left out or `null` is `None` in every answer. So is a value that is refused, such as one out of its
/// key's range, which [`Refused`] tells.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stated<'v, 'a> {
    members: &'v [Member<'a>],
    refused: &'v Refused,
    entry: u8,
    /// Whether it is an entry of a list of objects.
    listed: bool,
}

impl<'v, 'a> Stated<'v, 'a> {
    pub(super) const fn new(members: &'v [Member<'a>], refused: &'v Refused) -> Self {
        Self { members, refused, entry: 0, listed: false }
    }

    fn values(&self, key: &'static Key) -> impl Iterator<Item = Value<'a>> {
        let entry = self.entry;
        let of_key = move |member: &&Member<'a>| core::ptr::eq(member.key, key) && member.entry == entry;
        self.members.iter().filter(of_key).map(|member| member.value)
    }

    #[inline(never)]
    fn value(&self, key: &'static Key) -> Option<Value<'a>> {
        self.values(key).next()
    }

    /// Refuses the key's value.
    #[inline(never)]
    pub(crate) fn refuse(&self, key: &'static Key) {
        self.refuse_as(Refusal::value(key));
    }

    /// Refuses the object because the key is required and does not stand there.
    #[inline(never)]
    pub(crate) fn miss(&self, key: &'static Key) {
        self.refuse_as(Refusal::missing(key));
    }

    fn refuse_as(&self, refusal: Refusal) {
        let refusal = if self.listed { refusal.in_entry(self.entry.into()) } else { refusal };
        self.refused.0.set(self.refused.0.get().or(Some(refusal)));
    }

    /// Whether the key stands there.
    pub(crate) fn has(&self, key: &'static Key) -> bool {
        self.value(key).is_some()
    }

    /// The objects of a list, in their order.
    pub(crate) fn entries(&self, key: &'static Key) -> impl Iterator<Item = Self> {
        let whole = *self;
        let of_key = self.members.iter().filter(move |member| core::ptr::eq(member.key, key));
        of_key.map(move |member| Self { entry: member.entry, listed: true, ..whole })
    }

    /// `true` or `false`.
    pub(crate) fn flag(&self, key: &'static Key) -> Option<bool> {
        match self.value(key)? {
            Value::Flag(flag) => Some(flag),
            Value::Whole(_) | Value::Text(_) | Value::Object => None,
        }
    }

    /// `true` or `false`, or this one.
    #[inline(never)]
    pub(crate) fn flag_or(&self, key: &'static Key, other: bool) -> bool {
        self.flag(key).unwrap_or(other)
    }

    /// A text with its escapes.
    pub(crate) fn raw(&self, key: &'static Key) -> Option<&'a str> {
        self.value(key)?.text()
    }

    /// A text with its escapes, as `parse` reads it, which is refused where that gives nothing.
    pub(crate) fn parsed<T>(&self, key: &'static Key, parse: impl FnOnce(&str) -> Option<T>) -> Option<T> {
        let value = parse(self.raw(key)?);
        if value.is_none() {
            self.refuse(key);
        }
        value
    }

    /// A whole number in the key's range, which may be beyond 32 bits.
    // Not inlined, nor those that follow, or every key of every record would carry its own copy.
    #[inline(never)]
    pub(crate) fn long(&self, key: &'static Key) -> Option<i64> {
        let value = self.value(key).and_then(Value::whole)?;
        if is_in_range(key, value) {
            return Some(value);
        }
        self.refuse(key);
        None
    }

    #[inline(never)]
    fn int(&self, key: &'static Key) -> Option<i32> {
        i32::try_from(self.long(key)?).ok()
    }

    #[inline(never)]
    fn int_or(&self, key: &'static Key, other: i32) -> i32 {
        self.int(key).unwrap_or(other)
    }

    #[inline(never)]
    fn required_int(&self, key: &'static Key) -> i32 {
        if !self.has(key) {
            self.miss(key);
        }
        self.int_or(key, 0)
    }

    /// A whole number in the key's range.
    pub(crate) fn whole<T: Whole>(&self, key: &'static Key) -> Option<T> {
        self.int(key).map(T::of)
    }

    /// A whole number in the key's range, or this one.
    pub(crate) fn whole_or<T: Whole + TryInto<i32>>(&self, key: &'static Key, other: T) -> T {
        T::of(self.int_or(key, other.try_into().unwrap_or(0)))
    }

    /// A whole number that must stand there.
    pub(crate) fn required<T: Whole>(&self, key: &'static Key) -> T {
        T::of(self.required_int(key))
    }

    /// Several whole numbers in the key's range, and of a range the first not above the second.
    pub(crate) fn wholes<T: Whole, const N: usize>(&self, key: &'static Key) -> Option<[T; N]> {
        let mut values = [0; N];
        self.fill(key, &mut values).then(|| values.map(T::of))
    }

    /// Whether the key stands there, with its numbers.
    #[inline(never)]
    fn fill(&self, key: &'static Key, to: &mut [i32]) -> bool {
        let mut count = 0;
        let mut fits = true;
        for (to, value) in to.iter_mut().zip(self.values(key).filter_map(Value::whole)) {
            fits &= is_in_range(key, value);
            *to = value as i32;
            count += 1;
        }
        if count < to.len() {
            return false;
        }
        let ordered = !matches!(key.expected, Expected::Range { .. }) || to.is_sorted();
        if !(ordered && fits) {
            self.refuse(key);
        }
        true
    }

    /// A text that is not empty, without its escapes.
    pub(crate) fn text<const N: usize>(&self, key: &'static Key) -> Option<String<N>> {
        let mut text = String::new();
        self.write_text(key, &mut text).then_some(text)
    }

    /// Writes a text that must stand there and not be empty, without its escapes.
    pub(crate) fn required_text(&self, key: &'static Key, to: &mut StringView) {
        if !self.write_text(key, to) {
            self.miss(key);
        }
    }

    /// Whether the key stands there, with its text.
    #[inline(never)]
    fn write_text(&self, key: &'static Key, to: &mut StringView) -> bool {
        let Some(raw) = self.raw(key) else { return false };
        self.plain(key, raw, to);
        true
    }

    /// Writes texts, none of them empty.
    pub(crate) fn texts<const N: usize>(&self, key: &'static Key, to: &mut VecView<String<N>>) {
        for raw in self.values(key).filter_map(Value::text) {
            let mut text = String::new();
            self.plain(key, raw, &mut text);
            // There is room for as many as the key allows.
            let _ = to.push(text);
        }
    }

    /// A text that is not empty, without its escapes.
    #[inline(never)]
    fn plain(&self, key: &'static Key, raw: &str, to: &mut StringView) {
        if unescape(raw, to).is_err() || is_blank(to) {
            self.refuse(key);
        }
    }

    /// Writes texts of a form of their own, each read by `parse`, and refused where that gives nothing.
    pub(crate) fn forms<T>(&self, key: &'static Key, parse: fn(&str) -> Option<T>, to: &mut VecView<T>) {
        for raw in self.values(key).filter_map(Value::text) {
            match parse(raw) {
                // There is room for as many as the key allows.
                Some(value) => drop(to.push(value)),
                None => self.refuse(key),
            }
        }
    }

    /// The one of `choices` whose word stands there; they stand in the order of the key's words.
    pub(crate) fn choice<T: Copy>(&self, key: &'static Key, choices: &[T]) -> Option<T> {
        choices.get(self.word(key)).copied()
    }

    /// Which of the key's words stands there; beyond them all if none does.
    #[inline(never)]
    fn word(&self, key: &'static Key) -> usize {
        let Some(raw) = self.raw(key) else { return usize::MAX };
        let index = word_index(key, raw);
        if index == usize::MAX {
            self.refuse(key);
        }
        index
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
        if i32::try_from(value).is_err() && !matches!(self.key.expected, Expected::FileBytes) {
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
            Expected::Whole { .. } | Expected::FileBytes => self.push_whole(i64::deserialize(reader)?),
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
