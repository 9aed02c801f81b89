//! Trade words and marks → a grade.

use heapless::Vec;

use super::material::{Filler, Grade};
use super::material_table::Base;
use crate::limits::up_to;

/// Words of the fillers: ISO 1043-2 symbols and what the trade says. The bool says that the word alone, with no base,
/// means filled PLA (common practice, no source).
const FILLERS: &[(&str, Filler, bool)] = &[
    ("cf", Filler::CarbonFibre, false),
    ("carbon", Filler::CarbonFibre, false),
    ("carbon fibre", Filler::CarbonFibre, false),
    ("carbon fiber", Filler::CarbonFibre, false),
    ("kohlefaser", Filler::CarbonFibre, false),
    ("gf", Filler::GlassFibre, false),
    ("glass fibre", Filler::GlassFibre, false),
    ("glass fiber", Filler::GlassFibre, false),
    ("fibreglass", Filler::GlassFibre, false),
    ("fiberglass", Filler::GlassFibre, false),
    ("glasfaser", Filler::GlassFibre, false),
    ("wd", Filler::Wood, false),
    ("wood", Filler::Wood, false),
    ("holz", Filler::Wood, false),
    ("cork", Filler::Wood, false),
    ("woodfill", Filler::Wood, true),
    ("corkfill", Filler::Wood, true),
    ("med", Filler::Metal, false),
    ("metal", Filler::Metal, false),
    ("metalfill", Filler::Metal, true),
    ("bronze fill", Filler::Metal, false),
    ("bronze filled", Filler::Metal, false),
    ("bronzefill", Filler::Metal, true),
    ("copper fill", Filler::Metal, false),
    ("copper filled", Filler::Metal, false),
    ("copperfill", Filler::Metal, true),
    ("brassfill", Filler::Metal, true),
    ("steel", Filler::Metal, false),
    ("steelfill", Filler::Metal, true),
    ("iron", Filler::Metal, false),
    ("md", Filler::Mineral, false),
    ("mineral", Filler::Mineral, false),
    ("stone", Filler::Mineral, false),
    ("stonefill", Filler::Mineral, true),
    ("glow", Filler::Glow, false),
    ("luminous", Filler::Glow, false),
    ("phosphorescent", Filler::Glow, false),
];

/// Colours that hold a filler's word.
const COLOURS: &[&str] =
    &["carbon black", "stone grey", "stone gray", "steel blue", "steel grey", "steel gray"];

/// Trade modifiers: blends that keep the base's symbol.
const MODIFIERS: &[&str] = &["plus", "tough", "silk", "matt", "matte", "rapid", "high speed"];

/// What follows these names another material that this one serves: "support for PLA".
const SERVING: &[&str] = &["for", "für"];

/// Tokens of a name that are looked at: more than [`MATERIAL_BYTES`](crate::limits::MATERIAL_BYTES) can hold of words.
const TOKENS: usize = 32;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum WordKind {
    Word,
    Number,
    Mark,
}

#[derive(Clone, Copy, Debug)]
struct NameToken<'a> {
    kind: WordKind,
    text: &'a str,
    /// Whether it touches the token before.
    close: bool,
    /// Whether only a hyphen or bracket stands before it.
    hyphen: bool,
}

/// Runs of letters, runs of digits, and the marks `+ / %`. All else only parts them.
fn tokens(text: &str) -> impl Iterator<Item = NameToken<'_>> {
    let class = |letter: char| match letter {
        '0'..='9' => Some(WordKind::Number),
        '+' | '/' | '%' => Some(WordKind::Mark),
        // The tables that tell other letters from marks cost a small board 2 KB.
        _ if letter.is_ascii_alphabetic() || !letter.is_ascii() => Some(WordKind::Word),
        _ => None,
    };
    let mut rest = text;
    let mut close = false;
    let mut hyphen = false;
    core::iter::from_fn(move || {
        loop {
            let letter = rest.chars().next()?;
            let Some(kind) = class(letter) else {
                hyphen = matches!(letter, '-' | '(' | ')');
                close = false;
                rest = rest.get(letter.len_utf8()..)?;
                continue;
            };
            let end = match kind {
                WordKind::Mark => letter.len_utf8(),
                _ => rest.find(|next| class(next) != Some(kind)).unwrap_or(rest.len()),
            };
            let (run, after) = rest.split_at(end);
            rest = after;
            let token = NameToken { kind, text: run, close, hyphen };
            (close, hyphen) = (true, false);
            return Some(token);
        }
    })
}

/// How many tokens a phrase takes at the start of these; 0 = it does not stand there.
fn length_of(phrase: &str, here: &[NameToken<'_>]) -> usize {
    let mut count = 0;
    for wanted in tokens(phrase) {
        match here.get(count) {
            Some(token) if token.text.eq_ignore_ascii_case(wanted.text) => count += 1,
            _ => return 0,
        }
    }
    count
}

/// What a run of tokens means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Meaning {
    Base(Base),
    Filler(Filler, bool),
    Modifier,
    Colour,
    Serving,
}

/// The longest phrase at the start of these tokens.
fn meaning(here: &[NameToken<'_>]) -> Option<(Meaning, usize)> {
    let mut best: Option<(Meaning, usize)> = None;
    let mut offer = |meaning: Meaning, phrase: &str| {
        let length = length_of(phrase, here);
        if length > best.map_or(0, |(_, length)| length) {
            best = Some((meaning, length));
        }
    };
    for &base in Base::ALL {
        base.row().words.iter().for_each(|word| offer(Meaning::Base(base), word));
    }
    FILLERS.iter().for_each(|&(word, filler, alone)| offer(Meaning::Filler(filler, alone), word));
    MODIFIERS.iter().for_each(|word| offer(Meaning::Modifier, word));
    COLOURS.iter().for_each(|word| offer(Meaning::Colour, word));
    SERVING.iter().for_each(|word| offer(Meaning::Serving, word));
    best
}

/// A base and a fibre written as one word, such as `petgcf`.
fn fused(word: &str) -> Option<(Base, Filler)> {
    let (head, tail) = word.split_at_checked(word.len().checked_sub(2)?)?;
    let filler = match tail {
        _ if tail.eq_ignore_ascii_case("cf") => Filler::CarbonFibre,
        _ if tail.eq_ignore_ascii_case("gf") => Filler::GlassFibre,
        _ => return None,
    };
    let named = |base: &&Base| base.row().words.iter().any(|word| word.eq_ignore_ascii_case(head));
    Base::ALL.iter().find(named).map(|&base| (base, filler))
}

/// A filler's symbol after ISO 1043-2 in capitals, whatever its form: first letter the material, second the form
/// (both tables from memory).
fn symbol(token: &NameToken<'_>) -> Option<Filler> {
    let &[material, form] = token.text.as_bytes() else { return None };
    if !b"BCDFGHKLMNPRSTVWXYZ".contains(&form) {
        return None;
    }
    match material {
        b'C' => Some(Filler::CarbonFibre),
        b'G' => Some(Filler::GlassFibre),
        b'W' | b'L' | b'N' => Some(Filler::Wood),
        // D alumina trihydrate, E clay, K calcium carbonate, M mineral, P mica, Q silica, T talc.
        b'D' | b'E' | b'K' | b'M' | b'P' | b'Q' | b'T' => Some(Filler::Mineral),
        _ => None,
    }
}

impl Grade {
    /// Reads a material's name: a mark (`>PA6-CF15<`, `PC+ABS`), a trade word for one ("nylon", "tough PLA"), or such
    /// words among others. Case, colours and words that it does not know count for nothing; `None` unless exactly
    /// one base remains (or a blend of two joined by `+` or `/`).
    ///
    /// ```
    /// use holdpoint_shared::records::{Base, Filler, Grade};
    /// let grade = Grade::parse("PA6-CF15 black").unwrap();
    /// assert_eq!((grade.base, grade.filler), (Base::Pa6, Some(Filler::CarbonFibre)));
    /// assert_eq!(grade.mark(), "PA6-CF15");
    /// ```
    #[must_use]
    pub fn parse(name: &str) -> Option<Self> {
        let all: Vec<NameToken<'_>, TOKENS> = up_to(tokens(name));
        let mut reading = NameReading::default();
        let mut here: &[NameToken<'_>] = &all;
        while let [token, after @ ..] = here {
            let taken = match meaning(here) {
                Some((Meaning::Serving, _)) => break,
                Some((meaning, length)) => reading.take(meaning, length, here)?,
                None => reading.other(token, after)?,
            };
            // A `+` or `/` joins only the very next token.
            reading.joined = token.kind == WordKind::Mark && token.text != "%";
            here = here.get(taken.max(1)..).unwrap_or_default();
        }
        reading.grade()
    }
}

/// What was read so far.
#[derive(Debug, Default)]
struct NameReading {
    base: Option<Base>,
    blend: Option<Base>,
    filler: Option<Filler>,
    percent: u8,
    shore_a: Option<u8>,
    modified: bool,
    /// A filler's word that alone means filled PLA stood there.
    alone: bool,
    /// The token before was `+` or `/`.
    joined: bool,
}

impl NameReading {
    /// Takes a known phrase; gives the tokens taken. `None` = two bases.
    fn take(&mut self, meaning: Meaning, length: usize, here: &[NameToken<'_>]) -> Option<usize> {
        match meaning {
            Meaning::Base(base) => self.take_base(base, here.first()?.hyphen)?,
            Meaning::Filler(filler, alone) => {
                self.alone |= alone;
                return Some(length + self.take_filler(filler, here.get(length..).unwrap_or_default()));
            }
            Meaning::Modifier => self.modified = true,
            Meaning::Colour | Meaning::Serving => {}
        }
        Some(length)
    }

    fn take_base(&mut self, base: Base, hyphen: bool) -> Option<()> {
        match self.base {
            None => self.base = Some(base),
            Some(first) if first == base || self.blend == Some(base) => {}
            // The trade also writes PC-ABS.
            Some(first) if self.joined || (hyphen && (first, base) == (Base::Pc, Base::Abs)) => {
                if self.blend.replace(base).is_some() {
                    return None;
                }
            }
            Some(_) => return None,
        }
        Some(())
    }

    /// Takes a filler, and its share if that follows; gives how many tokens the share takes.
    fn take_filler(&mut self, filler: Filler, after: &[NameToken<'_>]) -> usize {
        if self.filler.is_some() {
            return 0;
        }
        self.filler = Some(filler);
        let share = after.first().and_then(share);
        if let Some(share) = share {
            self.percent = share;
        }
        usize::from(share.is_some())
    }

    /// Takes a token that begins no known phrase; gives the tokens taken. `None` = a blend with something unknown.
    fn other(&mut self, token: &NameToken<'_>, after: &[NameToken<'_>]) -> Option<usize> {
        let next = after.first();
        match token.kind {
            WordKind::Mark if token.text == "+" && self.base.is_some() => match meaning(after) {
                Some((Meaning::Base(_) | Meaning::Filler(..), _)) => {}
                // "PC+PBT": the other half of the blend is not known.
                None if token.close && next.is_some_and(|next| next.close && next.kind == WordKind::Word) => {
                    return None;
                }
                _ => self.modified |= self.filler.is_none(),
            },
            WordKind::Mark => {}
            WordKind::Number => {
                let follows = |text: &str| next.is_some_and(|next| next.text.eq_ignore_ascii_case(text));
                if follows("%") {
                    self.percent = share(token).unwrap_or(self.percent);
                } else if follows("a") {
                    self.shore_a = share(token).or(self.shore_a);
                }
            }
            WordKind::Word => {
                if let Some((base, filler)) = fused(token.text) {
                    self.take_base(base, token.hyphen)?;
                    return Some(1 + self.take_filler(filler, after));
                }
                let number = next.filter(|next| next.close).and_then(share);
                if token.text.eq_ignore_ascii_case("shore") {
                    // "shore A 95"
                    let hardness = after.get(1).and_then(share);
                    if next.is_some_and(|next| next.text.eq_ignore_ascii_case("a")) && hardness.is_some() {
                        self.shore_a = hardness;
                        return Some(3);
                    }
                } else if let (Some(filler), Some(_)) = (symbol(token), number)
                    && (token.hyphen || self.joined)
                {
                    return Some(1 + self.take_filler(filler, after));
                }
            }
        }
        Some(1)
    }

    fn grade(self) -> Option<Grade> {
        let base = self.base.or_else(|| self.alone.then_some(Base::Pla))?;
        Some(Grade {
            base,
            blend: self.blend,
            filler: self.filler,
            filler_percent: if self.filler.is_some() { self.percent } else { 0 },
            shore_a: self.shore_a.filter(|_| base.row().soft),
            modified: self.modified,
        })
    }
}

/// A number from 1 to 99, as shares and Shore hardnesses have it.
fn share(token: &NameToken<'_>) -> Option<u8> {
    if token.kind != WordKind::Number || token.text.len() > 2 {
        return None;
    }
    token.text.parse().ok().filter(|share| (1..=99).contains(share))
}

#[cfg(test)]
#[path = "material_tests.rs"]
mod tests;
