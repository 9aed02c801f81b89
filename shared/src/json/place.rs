//! Where in a text a key's value is, and which key a byte belongs to.

use super::KeyName;
use super::scan::{Token, TokenKind, Tokens};
use crate::limits::KEY_BYTES;
use crate::visible::visible;

/// The full name of the key that the byte belongs to: of the last whole token before it.
pub(super) fn key_at(text: &[u8], at: usize) -> KeyName {
    let mut walk = KeyedTokens::new(text);
    while walk.tokens.at < at && walk.step().is_some() {}
    walk.name()
}

/// The full name of the key that begins at this byte.
pub(super) fn key_from(text: &[u8], at: usize) -> KeyName {
    key_at(text, at.saturating_add(1))
}

/// Where the value of a key (by its full name) starts; the text's start if it has none.
pub(super) fn place_of(text: &[u8], name: &str, entry: Option<u16>) -> usize {
    let mut walk = KeyedTokens::new(text);
    while let Some(token) = walk.step() {
        let value = matches!(token.part, TokenKind::Scalar | TokenKind::Open);
        if value && walk.is(name) && entry.is_none_or(|entry| walk.entry() == Some(entry)) {
            return walk.value_start();
        }
    }
    0
}

/// Where the object ends that would hold the key of this full name; the end of the text's object if it has none.
pub(super) fn end_of_parent(text: &[u8], name: &str, entry: Option<u16>) -> usize {
    let parent = name.rsplit_once('.').map_or("", |(parent, _)| parent);
    let mut walk = KeyedTokens::new(text);
    let mut last = 0;
    while let Some(token) = walk.step() {
        last = token.start;
        let closes = token.part == TokenKind::Close && text.get(token.start) == Some(&b'}');
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
struct BracketPlace {
    key: (usize, usize),
    value: usize,
    list: bool,
    entry: u16,
}

/// The tokens with the key that each belongs to.
struct KeyedTokens<'a> {
    tokens: Tokens<'a>,
    levels: [BracketPlace; NAMED],
}

impl<'a> KeyedTokens<'a> {
    const fn new(text: &'a [u8]) -> Self {
        let none = BracketPlace { key: (0, 0), value: 0, list: false, entry: 0 };
        Self { tokens: Tokens::new(text), levels: [none; NAMED] }
    }

    fn step(&mut self) -> Option<Token> {
        let before = usize::from(self.tokens.depth);
        let token = self.tokens.token().ok().flatten()?;
        let level = before.checked_sub(1).and_then(|at| self.levels.get_mut(at));
        match (token.part, level) {
            (TokenKind::Key, Some(level)) => level.key = (token.start, token.end),
            (TokenKind::Scalar | TokenKind::Open, Some(level)) if !level.list => level.value = token.start,
            (TokenKind::Mark, Some(level)) if level.list => level.entry = level.entry.saturating_add(1),
            (TokenKind::Mark, Some(level)) if self.tokens.text.get(token.start) == Some(&b',') => {
                level.key = (0, 0)
            }
            _ => {}
        }
        if token.part == TokenKind::Open
            && let Some(inner) = self.levels.get_mut(before)
        {
            let list = self.tokens.text.get(token.start) == Some(&b'[');
            *inner = BracketPlace { list, value: token.start, ..BracketPlace::default() };
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
                let _ = name.push(visible(letter));
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
