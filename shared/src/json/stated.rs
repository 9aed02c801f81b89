//! The values that a JSON object holds, by the table of its keys.

use heapless::string::StringView;
use heapless::{String, Vec, VecView};

use super::key::Refusal;
use super::key::{is_blank, is_in_range, word_index};
use super::string::unescape;
use super::{Expected, Faults, Key};

/// A value as it stands in the text; one entry of it where it is a list.
#[derive(Clone, Copy, Debug)]
pub(super) enum JsonValue<'a> {
    Whole(i64),
    Flag(bool),
    /// With its escapes.
    Text(&'a str),
    Object,
    /// Of the wrong type: its fault was reported, and the key is not missing.
    Wrong,
}

/// A value and its key. 24 bytes on a 32-bit machine.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Member<'a> {
    pub(super) key: &'static Key,
    /// Which entry of the list of objects that the key belongs to; 0 where there is no such list.
    pub(super) entry: u8,
    pub(super) value: JsonValue<'a>,
}

/// Room for what an object of so many values states: one for each key, each entry of a list and each object.
pub(crate) type Members<'a, const N: usize> = Vec<Member<'a>, N>;

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
/// key's range: [`Faults`] hears of it, and the reading goes on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stated<'v, 'a> {
    members: &'v [Member<'a>],
    faults: &'v Faults,
    entry: u8,
    /// Whether it is an entry of a list of objects.
    listed: bool,
}

impl<'v, 'a> Stated<'v, 'a> {
    pub(super) const fn new(members: &'v [Member<'a>], faults: &'v Faults) -> Self {
        Self { members, faults, entry: 0, listed: false }
    }

    fn values(&self, key: &'static Key) -> impl Iterator<Item = JsonValue<'a>> {
        let entry = self.entry;
        let of_key = move |member: &&Member<'a>| core::ptr::eq(member.key, key) && member.entry == entry;
        self.members.iter().filter(of_key).map(|member| member.value)
    }

    #[inline(never)]
    fn value(&self, key: &'static Key) -> Option<JsonValue<'a>> {
        self.values(key).next()
    }

    /// Refuses the key's value.
    #[inline(never)]
    pub(crate) fn refuse(&self, key: &'static Key) {
        self.refuse_as(Refusal::value(key));
    }

    /// Refuses the object because the key is required and missing. A value that was refused is not missing.
    #[inline(never)]
    pub(crate) fn miss(&self, key: &'static Key) {
        if self.value(key).is_none() {
            self.refuse_as(Refusal::missing(key));
        }
    }

    fn refuse_as(&self, refusal: Refusal) {
        let refusal = if self.listed { refusal.in_entry(self.entry.into()) } else { refusal };
        self.faults.refuse(refusal);
    }

    /// Whether the key is there, with a value of its type.
    pub(crate) fn has(&self, key: &'static Key) -> bool {
        self.value(key).is_some_and(|value| !matches!(value, JsonValue::Wrong))
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
            JsonValue::Flag(flag) => Some(flag),
            JsonValue::Whole(_) | JsonValue::Text(_) | JsonValue::Object | JsonValue::Wrong => None,
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
        let value = self.value(key).and_then(JsonValue::whole)?;
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
        self.miss(key);
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
        for (to, value) in to.iter_mut().zip(self.values(key).filter_map(JsonValue::whole)) {
            fits &= is_in_range(key, value);
            // In 32 bits: the reader refuses the others.
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
        for raw in self.values(key).filter_map(JsonValue::text) {
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
        for raw in self.values(key).filter_map(JsonValue::text) {
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

impl<'a> JsonValue<'a> {
    const fn whole(self) -> Option<i64> {
        match self {
            Self::Whole(value) => Some(value),
            Self::Flag(_) | Self::Text(_) | Self::Object | Self::Wrong => None,
        }
    }

    const fn text(self) -> Option<&'a str> {
        match self {
            Self::Text(raw) => Some(raw),
            Self::Whole(_) | Self::Flag(_) | Self::Object | Self::Wrong => None,
        }
    }
}
