//! One pass over a text: the values of known keys, and every fault on the way.

use heapless::{Vec, VecView};

use super::nearest::nearest;
use super::scan::{Token, TokenKind, Tokens};
use super::stated::{JsonValue, Member};
use super::string::unescape;
use super::{Expected, Faults, JsonFault, Key, KeyName, Stated};
use crate::limits::JSON_DEPTH;

/// Reads one JSON object into `members`. `keys` says what each known key holds; `faults` is to be asked when the values
/// were taken. `None` when the text is not JSON: then nothing is known of what is missing.
///
/// # Work bound
/// One pass over the text; each unknown key is compared with the known ones.
pub(crate) fn parse<'v, 'a>(
    text: &'a [u8],
    keys: &'static [&'static Key],
    members: &'v mut VecView<Member<'a>>,
    faults: &'v Faults,
) -> Option<Stated<'v, 'a>> {
    members.clear();
    let mut reader = Reader { text, keys, members, faults, levels: Vec::new() };
    reader.read()?;
    Some(Stated::new(reader.members, faults))
}

/// An open bracket.
#[derive(Clone, Copy, Debug)]
enum OpenBracket {
    /// An object with known keys.
    Object {
        /// Full name of the object's own key; empty for the outermost.
        above: &'static str,
        entry: u8,
        /// Bit n: key n of the table was there.
        seen: u64,
        /// The key whose value comes next; `None` = an unknown one's.
        key: Option<&'static Key>,
    },
    /// A known key's list.
    List {
        key: &'static Key,
        /// Which entry of an outer list the key belongs to.
        entry: u8,
        /// Values so far.
        count: u8,
        start: usize,
        /// A fault of it was reported.
        wrong: bool,
    },
    /// A value that is passed over.
    Passed,
}

struct Reader<'r, 'a> {
    text: &'a [u8],
    keys: &'static [&'static Key],
    members: &'r mut VecView<Member<'a>>,
    faults: &'r Faults,
    levels: Vec<OpenBracket, { JSON_DEPTH as usize }>,
}

impl<'a> Reader<'_, 'a> {
    fn read(&mut self) -> Option<()> {
        let utf8_end = core::str::from_utf8(self.text).map_or_else(|error| error.valid_up_to(), str::len);
        let mut tokens = Tokens::new(self.text);
        loop {
            let token = tokens.token();
            // The scanner runs over foreign bytes within strings: they come first in the text's order.
            if tokens.at > utf8_end || (tokens.at == utf8_end && utf8_end < self.text.len() && token.is_err())
            {
                self.faults.break_at(JsonFault::NotUtf8, utf8_end);
                return None;
            }
            match token {
                Ok(Some(token)) => self.take(token)?,
                Ok(None) => return Some(()),
                Err((at, kind)) => {
                    self.faults.break_at(kind, at);
                    return None;
                }
            }
        }
    }

    fn bytes(&self, token: Token) -> &'a str {
        let bytes = self.text.get(token.start..token.end).unwrap_or_default();
        // Up to here the text is UTF-8.
        core::str::from_utf8(bytes).unwrap_or_default()
    }

    fn take(&mut self, token: Token) -> Option<()> {
        match token.part {
            TokenKind::Mark => {}
            TokenKind::Key => self.key(token)?,
            TokenKind::Scalar => self.scalar(token),
            TokenKind::Open => self.open(token),
            TokenKind::Close => self.close(),
        }
        Some(())
    }

    /// `None` for a known key that is written with escapes. JSON allows that, nobody does it, and it would hide the key from
    /// every place that compares names as bytes.
    fn key(&mut self, token: Token) -> Option<()> {
        let quoted = self.bytes(token);
        let name = quoted.get(1..quoted.len().saturating_sub(1)).unwrap_or_default();
        let Some(OpenBracket::Object { above, seen, key, .. }) = self.levels.last_mut() else {
            return Some(());
        };
        let is_it = |known: &&'static Key| match known.name.strip_prefix(*above) {
            Some(rest) if above.is_empty() => rest == name,
            Some(rest) => rest.strip_prefix('.') == Some(name),
            None => false,
        };
        *key = None;
        let Some(at) = self.keys.iter().position(is_it) else {
            if is_disguised(name, self.keys) {
                self.faults.break_at(JsonFault::Syntax(Expected::PlainKey), token.start);
                return None;
            }
            self.faults.unknown_at(nearest(name, above, self.keys), token.start);
            return Some(());
        };
        let known = self.keys.get(at).copied();
        // No table has more than 64 keys.
        let bit = u32::try_from(at).ok().and_then(|at| 1_u64.checked_shl(at)).unwrap_or(0);
        if *seen & bit == 0 {
            *key = known;
        } else if let Some(known) = known {
            self.faults.refuse_at(known, JsonFault::Twice, token.start);
        }
        *seen |= bit;
        Some(())
    }

    fn scalar(&mut self, token: Token) {
        let text = self.bytes(token);
        match self.levels.last_mut() {
            Some(OpenBracket::Object { key, entry, .. }) => {
                let Some(key) = key.take() else { return };
                let entry = *entry;
                if text == "null" {
                    return;
                }
                let value = match key.expected {
                    Expected::Wholes { .. }
                    | Expected::Range { .. }
                    | Expected::Texts { .. }
                    | Expected::Forms { .. }
                    | Expected::Objects { .. }
                    | Expected::Object => None,
                    expected => value(text, expected),
                };
                self.keep_or_refuse(key, entry, value, token.start);
            }
            Some(OpenBracket::List { key, entry, count, start, wrong }) => {
                let (key, entry) = (*key, *entry);
                if *wrong {
                    return;
                }
                if *count >= most(key.expected) {
                    *wrong = true;
                    let start = *start;
                    return self.keep_or_refuse(key, entry, None, start);
                }
                *count += 1;
                let value = value(text, key.expected);
                *wrong = value.is_none();
                self.keep_or_refuse(key, entry, value, token.start);
            }
            Some(OpenBracket::Passed) | None => {}
        }
    }

    fn open(&mut self, token: Token) {
        let brace = self.bytes(token) == "{";
        let level = match self.levels.last_mut() {
            None => OpenBracket::Object { above: "", entry: 0, seen: 0, key: None },
            Some(OpenBracket::Passed) => OpenBracket::Passed,
            Some(OpenBracket::Object { key, entry, .. }) => match (key.take(), *entry) {
                (Some(key), entry) => match key.expected {
                    Expected::Object if brace => {
                        self.keep_or_refuse(key, entry, Some(JsonValue::Object), token.start);
                        OpenBracket::Object { above: key.name, entry, seen: 0, key: None }
                    }
                    Expected::Wholes { .. }
                    | Expected::Range { .. }
                    | Expected::Texts { .. }
                    | Expected::Forms { .. }
                    | Expected::Objects { .. }
                        if !brace =>
                    {
                        OpenBracket::List { key, entry, count: 0, start: token.start, wrong: false }
                    }
                    _ => {
                        self.keep_or_refuse(key, entry, None, token.start);
                        OpenBracket::Passed
                    }
                },
                (None, _) => OpenBracket::Passed,
            },
            Some(OpenBracket::List { wrong: true, .. }) => OpenBracket::Passed,
            Some(OpenBracket::List { key, entry, count, start, wrong }) => {
                let (key, at, list_entry, start) = (*key, *count, *entry, *start);
                let objects = brace && matches!(key.expected, Expected::Objects { .. });
                let fits = at < most(key.expected);
                *count = at.saturating_add(1);
                *wrong = !(objects && fits);
                if *wrong {
                    // The list is too long, or one of its entries is not what it holds.
                    self.keep_or_refuse(key, list_entry, None, if fits { token.start } else { start });
                    OpenBracket::Passed
                } else {
                    self.keep_or_refuse(key, at, Some(JsonValue::Object), token.start);
                    OpenBracket::Object { above: key.name, entry: at, seen: 0, key: None }
                }
            }
        };
        // The scanner holds the depth below the room that is here.
        let _ = self.levels.push(level);
    }

    fn close(&mut self) {
        if let Some(OpenBracket::List { key, entry, count, start, wrong: false }) = self.levels.pop()
            && count < least(key.expected)
        {
            self.keep_or_refuse(key, entry, None, start);
        }
    }

    /// Keeps a value; `None` is refused: it is not what the key holds.
    fn keep_or_refuse(&mut self, key: &'static Key, entry: u8, value: Option<JsonValue<'a>>, at: usize) {
        let kept = self.members.push(Member { key, entry, value: value.unwrap_or(JsonValue::Wrong) });
        if value.is_none() || kept.is_err() {
            self.faults.refuse_at(key, JsonFault::Value(key.expected), at);
        }
    }
}

/// A single value, or one of a list of them.
fn value(text: &str, expected: Expected) -> Option<JsonValue<'_>> {
    match expected {
        Expected::Whole { .. } | Expected::Wholes { .. } | Expected::Range { .. } | Expected::FileBytes => {
            let value = text.parse::<i64>().ok()?;
            // A number far beyond its key's range is a fault of form, like one that no machine can hold.
            let fits = i32::try_from(value).is_ok() || matches!(expected, Expected::FileBytes);
            fits.then_some(JsonValue::Whole(value))
        }
        Expected::Flag => match text {
            "true" => Some(JsonValue::Flag(true)),
            "false" => Some(JsonValue::Flag(false)),
            _ => None,
        },
        _ => text.strip_prefix('"')?.strip_suffix('"').map(JsonValue::Text),
    }
}

/// The most entries of a list.
const fn most(expected: Expected) -> u8 {
    match expected {
        Expected::Wholes { count, .. }
        | Expected::Texts { count, .. }
        | Expected::Forms { count, .. }
        | Expected::Objects { count } => count,
        Expected::Range { .. } => 2,
        _ => 0,
    }
}

/// The fewest.
const fn least(expected: Expected) -> u8 {
    match expected {
        Expected::Wholes { count, .. } => count,
        Expected::Range { .. } => 2,
        _ => 0,
    }
}

/// Whether this is a known key's last name, written with escapes.
fn is_disguised(name: &str, keys: &[&Key]) -> bool {
    if !name.contains('\\') {
        return false;
    }
    let mut plain = KeyName::new();
    unescape(name, &mut plain).is_ok() && keys.iter().any(|key| key.name.rsplit('.').next() == Some(&plain))
}
