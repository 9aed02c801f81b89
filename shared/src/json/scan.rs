//! RFC 8259's grammar in bounded stack: the tokens of a text, and its first fault of form.

use super::{Expected, JsonFault};
use crate::limits::JSON_DEPTH;

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TokenKind {
    /// A string that names a value.
    Key,
    /// A string, number or literal as a value.
    Scalar,
    /// `{` or `[`.
    Open,
    /// `}` or `]`.
    Close,
    /// `,` or `:`.
    Mark,
}

/// One token, as a run of bytes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Token {
    pub(super) part: TokenKind,
    pub(super) start: usize,
    pub(super) end: usize,
}

/// What may come next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Next {
    Value,
    ValueOrClose,
    Key,
    KeyOrClose,
    Colon,
    CommaOrClose,
    Nothing,
}

/// The tokens of a text, each checked as it is given.
#[derive(Clone, Debug)]
pub(super) struct Tokens<'a> {
    pub(super) text: &'a [u8],
    pub(super) at: usize,
    /// Open brackets.
    pub(super) depth: u8,
    /// Bit n: bracket n is a brace.
    braces: u32,
    next: Next,
    /// Whether the list or object just got a comma.
    comma: bool,
}

type Wrong = (usize, JsonFault);

impl<'a> Tokens<'a> {
    pub(super) const fn new(text: &'a [u8]) -> Self {
        Self { text, at: 0, depth: 0, braces: 0, next: Next::Value, comma: false }
    }

    const fn in_braces(&self) -> bool {
        self.depth > 0 && (self.braces >> (self.depth - 1)) & 1 == 1
    }

    fn byte(&self) -> Option<u8> {
        self.text.get(self.at).copied()
    }

    fn wrong(&self, expected: Expected) -> Wrong {
        (self.at, JsonFault::Syntax(expected))
    }

    /// After a whole value.
    const fn after_value(&mut self) {
        self.comma = false;
        self.next = if self.depth == 0 { Next::Nothing } else { Next::CommaOrClose };
    }

    /// The next token; `None` at the end of the text.
    pub(super) fn token(&mut self) -> Result<Option<Token>, Wrong> {
        while matches!(self.byte(), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
        let start = self.at;
        let Some(byte) = self.byte() else {
            return if self.next == Next::Nothing { Ok(None) } else { Err(self.wrong(self.wanted())) };
        };
        let part = match (self.next, byte) {
            (Next::Nothing, _) => return Err((self.at, JsonFault::Trailing)),
            (Next::Value, _) if self.depth == 0 && byte != b'{' => return Err(self.wrong(Expected::Object)),
            (Next::Value | Next::ValueOrClose, b'{' | b'[') => {
                self.open(byte == b'{')?;
                TokenKind::Open
            }
            (Next::KeyOrClose, b'}') => self.close(),
            (Next::ValueOrClose, b']') => self.close(),
            (Next::CommaOrClose, b'}') if self.in_braces() => self.close(),
            (Next::CommaOrClose, b']') if !self.in_braces() => self.close(),
            (Next::Value | Next::ValueOrClose, b'"') => {
                self.string()?;
                self.after_value();
                TokenKind::Scalar
            }
            (Next::Value | Next::ValueOrClose, b'-' | b'0'..=b'9') => {
                self.number()?;
                self.after_value();
                TokenKind::Scalar
            }
            (Next::Value | Next::ValueOrClose, b't' | b'f' | b'n') => {
                self.literal()?;
                self.after_value();
                TokenKind::Scalar
            }
            (Next::Key | Next::KeyOrClose, b'"') => {
                self.string()?;
                self.next = Next::Colon;
                TokenKind::Key
            }
            (Next::Colon, b':') => {
                self.at += 1;
                self.next = Next::Value;
                TokenKind::Mark
            }
            (Next::CommaOrClose, b',') => {
                self.at += 1;
                self.comma = true;
                self.next = if self.in_braces() { Next::Key } else { Next::Value };
                TokenKind::Mark
            }
            _ => return Err(self.wrong(self.wanted())),
        };
        Ok(Some(Token { part, start, end: self.at }))
    }

    fn wanted(&self) -> Expected {
        match self.next {
            _ if self.comma && matches!(self.byte(), Some(b'}' | b']')) => Expected::AfterComma,
            Next::Value if self.depth == 0 => Expected::Object,
            Next::Value | Next::ValueOrClose | Next::Nothing => Expected::AnyValue,
            Next::Key | Next::KeyOrClose => Expected::KeyInQuotes,
            Next::Colon => Expected::Colon,
            Next::CommaOrClose if self.in_braces() => Expected::CommaOrBrace,
            Next::CommaOrClose => Expected::CommaOrBracket,
        }
    }

    fn open(&mut self, brace: bool) -> Result<(), Wrong> {
        if self.depth >= JSON_DEPTH {
            return Err(self.wrong(Expected::Depth(JSON_DEPTH)));
        }
        self.at += 1;
        let bit = 1 << self.depth;
        self.braces = if brace { self.braces | bit } else { self.braces & !bit };
        self.depth += 1;
        self.comma = false;
        self.next = if brace { Next::KeyOrClose } else { Next::ValueOrClose };
        Ok(())
    }

    fn close(&mut self) -> TokenKind {
        self.at += 1;
        self.depth = self.depth.saturating_sub(1);
        self.after_value();
        TokenKind::Close
    }

    fn literal(&mut self) -> Result<(), Wrong> {
        for word in [&b"true"[..], b"false", b"null"] {
            if self.text.get(self.at..).is_some_and(|rest| rest.starts_with(word)) {
                self.at += word.len();
                return Ok(());
            }
        }
        Err(self.wrong(Expected::AnyValue))
    }

    /// RFC 8259, section 6.
    fn number(&mut self) -> Result<(), Wrong> {
        if self.byte() == Some(b'-') {
            self.at += 1;
        }
        if self.byte() == Some(b'0') {
            self.at += 1;
            if matches!(self.byte(), Some(b'0'..=b'9')) {
                return Err(self.wrong(Expected::Number));
            }
        } else {
            self.digits()?;
        }
        if self.byte() == Some(b'.') {
            self.at += 1;
            self.digits()?;
        }
        if matches!(self.byte(), Some(b'e' | b'E')) {
            self.at += 1;
            if matches!(self.byte(), Some(b'+' | b'-')) {
                self.at += 1;
            }
            self.digits()?;
        }
        Ok(())
    }

    /// At least one digit.
    fn digits(&mut self) -> Result<(), Wrong> {
        if !matches!(self.byte(), Some(b'0'..=b'9')) {
            return Err(self.wrong(Expected::Number));
        }
        while matches!(self.byte(), Some(b'0'..=b'9')) {
            self.at += 1;
        }
        Ok(())
    }

    /// RFC 8259, section 7. Half a surrogate pair, which that section lets a reader judge, is refused.
    fn string(&mut self) -> Result<(), Wrong> {
        self.at += 1;
        loop {
            match self.byte() {
                Some(b'"') => {
                    self.at += 1;
                    return Ok(());
                }
                Some(b'\\') => self.escape()?,
                Some(0..=0x1f) | None => return Err(self.wrong(Expected::ClosingQuote)),
                Some(_) => self.at += 1,
            }
        }
    }

    fn escape(&mut self) -> Result<(), Wrong> {
        let start = self.at;
        let bad = (start, JsonFault::Syntax(Expected::Escape));
        match self.text.get(start + 1) {
            Some(b'"' | b'\\' | b'/' | b'b' | b'f' | b'n' | b'r' | b't') => self.at += 2,
            Some(b'u') => match self.unit(start).ok_or(bad)? {
                0xD800..=0xDBFF => {
                    let low = self.unit(start + 6).filter(|low| (0xDC00..=0xDFFF).contains(low));
                    low.ok_or(bad)?;
                    self.at += 12;
                }
                0xDC00..=0xDFFF => return Err(bad),
                _ => self.at += 6,
            },
            _ => return Err(bad),
        }
        Ok(())
    }

    /// The value of `\uXXXX` at this offset.
    fn unit(&self, at: usize) -> Option<u32> {
        let digits = self.text.get(at..at + 6)?.strip_prefix(b"\\u")?;
        digits.iter().try_fold(0, |value, &digit| Some(value * 16 + char::from(digit).to_digit(16)?))
    }
}
