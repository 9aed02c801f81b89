//! Where in a text a key's value stands, and which token a reader refuses.

use super::scan::{Part, Token, Tokens};
use super::{Expected, Fault, JsonFault, Key, KeyName};
use crate::limits::KEY_BYTES;

/// A fault of form at this byte, with the key that it belongs to.
pub(super) fn fault_at(text: &[u8], at: usize, kind: JsonFault) -> Fault {
    let mut walk = Walk::new(text);
    while walk.tokens.at < at && walk.step().is_some() {}
    Fault { kind, key: walk.name(), at }
}

/// Finds the token that a reader of growing runs refuses first.
///
/// `refuses(run)` must be true for every run that holds the faulty token whole, and false for every shorter run of
/// whole tokens.
pub(super) fn blame<'a>(text: &'a [u8], keys: &[&Key], refuses: &mut dyn FnMut(&'a [u8]) -> bool) -> Fault {
    let mut refused = |end: usize| text.get(..end).is_some_and(&mut *refuses);
    // `good` < faulty end <= `bad`, both ends of tokens.
    let (mut good, mut bad) = (0, text.len());
    loop {
        let middle = good + (bad - good) / 2;
        // The last token end up to the middle, or else the first one after it.
        let mut below = good;
        let mut above = bad;
        let mut tokens = Tokens::new(text);
        while let Ok(Some(token)) = tokens.token() {
            if token.end > good && token.end <= middle {
                below = token.end;
            } else if token.end > middle {
                above = token.end.min(bad);
                break;
            }
        }
        if below > good {
            if refused(below) { bad = below } else { good = below }
        } else if above < bad {
            if refused(above) { bad = above } else { good = above }
        } else {
            break;
        }
    }
    let mut walk = Walk::new(text);
    let mut token = None;
    while let Some(next) = walk.step() {
        token = Some(next);
        if next.end >= bad {
            break;
        }
    }
    let part = token.map_or(Part::Scalar, |token| token.part);
    let name = walk.name();
    if part == Part::Key {
        return Fault { kind: JsonFault::Twice, key: name, at: token.map_or(0, |token| token.start) };
    }
    let expected = keys.iter().find(|key| key.name == name).map_or(Expected::AnyValue, |key| key.expected);
    // A list that is too short or too long is refused at its bracket or comma: the list itself is to blame.
    let at = if part == Part::Scalar { token.map_or(0, |token| token.start) } else { walk.value_start() };
    Fault { kind: JsonFault::Value(expected), key: name, at }
}

/// Where the value of a key (by its full name) starts; the text's start if it has none.
pub(super) fn place_of(text: &[u8], name: &str, entry: Option<u16>) -> usize {
    let mut walk = Walk::new(text);
    while let Some(token) = walk.step() {
        let value = matches!(token.part, Part::Scalar | Part::Open);
        if value && walk.is(name) && entry.is_none_or(|entry| walk.entry() == Some(entry)) {
            return walk.value_start();
        }
    }
    0
}

/// Where the object ends that would hold the key of this full name; the end of the text's object if it has none.
pub(super) fn end_of_parent(text: &[u8], name: &str, entry: Option<u16>) -> usize {
    let parent = name.rsplit_once('.').map_or("", |(parent, _)| parent);
    let mut walk = Walk::new(text);
    let mut last = 0;
    while let Some(token) = walk.step() {
        last = token.start;
        let closes = token.part == Part::Close && text.get(token.start) == Some(&b'}');
        if closes && walk.is(parent) && entry.is_none_or(|entry| walk.entry() == Some(entry)) {
            return last;
        }
    }
    last
}

/// The name, cut to what a fault keeps.
pub(super) fn cut(name: &str) -> KeyName {
    let mut kept = KeyName::new();
    for letter in name.chars() {
        if kept.push(letter).is_err() {
            break;
        }
    }
    kept
}

/// Levels of keys that are named; deeper ones belong to unknown keys.
const NAMED: usize = 4;

/// One open bracket.
#[derive(Clone, Copy, Debug, Default)]
struct Level {
    key: (usize, usize),
    value: usize,
    list: bool,
    entry: u16,
}

/// The tokens with the key that each belongs to.
struct Walk<'a> {
    tokens: Tokens<'a>,
    levels: [Level; NAMED],
}

impl<'a> Walk<'a> {
    const fn new(text: &'a [u8]) -> Self {
        let none = Level { key: (0, 0), value: 0, list: false, entry: 0 };
        Self { tokens: Tokens::new(text), levels: [none; NAMED] }
    }

    fn step(&mut self) -> Option<Token> {
        let before = usize::from(self.tokens.depth);
        let token = self.tokens.token().ok().flatten()?;
        let level = before.checked_sub(1).and_then(|at| self.levels.get_mut(at));
        match (token.part, level) {
            (Part::Key, Some(level)) => level.key = (token.start, token.end),
            (Part::Scalar | Part::Open, Some(level)) if !level.list => level.value = token.start,
            (Part::Mark, Some(level)) if level.list => level.entry = level.entry.saturating_add(1),
            (Part::Mark, Some(level)) if self.tokens.text.get(token.start) == Some(&b',') => {
                level.key = (0, 0)
            }
            _ => {}
        }
        if token.part == Part::Open
            && let Some(inner) = self.levels.get_mut(before)
        {
            let list = self.tokens.text.get(token.start) == Some(&b'[');
            *inner = Level { list, value: token.start, ..Level::default() };
        }
        Some(token)
    }

    /// The keys above the last token, outermost first.
    fn keys(&self) -> impl Iterator<Item = &'a [u8]> + '_ {
        let depth = usize::from(self.tokens.depth);
        self.levels.iter().take(depth).filter_map(|level| {
            let (start, end) = level.key;
            self.tokens.text.get(start + 1..end.checked_sub(1)?)
        })
    }

    fn is(&self, name: &str) -> bool {
        if name.is_empty() {
            return self.keys().next().is_none();
        }
        self.keys().eq(name.split('.').map(str::as_bytes))
    }

    fn name(&self) -> KeyName {
        let mut name = KeyName::new();
        for (at, key) in self.keys().enumerate() {
            if at > 0 {
                let _ = name.push('.');
            }
            let key = core::str::from_utf8(key).unwrap_or_default();
            for letter in key.chars().take(KEY_BYTES) {
                let _ = name.push(letter);
            }
        }
        name
    }

    /// Entry of the outermost list that the last token stands in.
    fn entry(&self) -> Option<u16> {
        let depth = usize::from(self.tokens.depth);
        self.levels.iter().take(depth).find(|level| level.list).map(|level| level.entry)
    }

    /// Where the innermost key's value starts.
    fn value_start(&self) -> usize {
        let depth = usize::from(self.tokens.depth);
        let named = self.levels.iter().take(depth).rev().find(|level| !level.list);
        named.map_or(0, |level| level.value)
    }
}

/// Line and column (in bytes), from 1, of an offset.
pub(crate) fn line_and_column(text: &[u8], at: usize) -> (u32, u32) {
    let before = text.get(..at).unwrap_or(text);
    let line = before.iter().filter(|&&byte| byte == b'\n').count() + 1;
    let column = before.iter().rev().take_while(|&&byte| byte != b'\n').count() + 1;
    (u32::try_from(line).unwrap_or(u32::MAX), u32::try_from(column).unwrap_or(u32::MAX))
}
