//! What the words before a comment's `=` or `:` are about.

use heapless::String;

use crate::limits::TAG_BYTES;

/// The fact that a key states.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fact {
    Material,
    /// A material, if the value is one: the key is nothing but `filament`, or nothing but `spool`.
    Named {
        spool: bool,
    },
    Diameter,
    Bore,
    Nozzle,
    NozzleFirst,
    Bed,
    BedFirst,
    /// Filament used, as a length or a mass by its unit.
    Used,
    Mass,
    Layer,
    LayerFirst,
    Time,
}

/// A letter: every one beyond ASCII counts, since the tables that tell them apart cost a small board 2 KB.
pub(super) const fn is_letter(letter: char) -> bool {
    letter.is_ascii_alphabetic() || !letter.is_ascii()
}

/// The words of a key: runs of letters.
#[derive(Clone, Copy, Debug)]
pub(super) struct KeyWords<'a>(pub(super) &'a str);

impl<'a> KeyWords<'a> {
    fn words(self) -> impl Iterator<Item = &'a str> {
        self.0.split(|letter: char| !is_letter(letter)).filter(|word| !word.is_empty())
    }

    /// Whether this word is among them, without regard to the case of ASCII letters.
    fn has(self, word: &str) -> bool {
        self.words().any(|own| own.eq_ignore_ascii_case(word))
    }

    fn has_any(self, words: &[&str]) -> bool {
        words.iter().any(|word| self.has(word))
    }

    /// Whether this unit stands among the key's runs of letters and digits, so that `cm3` is not `cm`.
    pub(super) fn has_unit(self, unit: &str) -> bool {
        let mut runs = self.0.split(|letter: char| !(is_letter(letter) || letter.is_ascii_digit()));
        runs.any(|run| run.eq_ignore_ascii_case(unit))
    }
}

/// Bytes a key may have; a longer run before an `=` or `:` is prose.
const KEY_BYTES: usize = 64;

/// Whether the text before the `=` or `:` can be a key. Quotes and braces (a job header's lines), `+` (picture data),
/// `^` (powers of a unit) and every other mark can not.
pub(super) fn is_plain(key: &str) -> bool {
    let fits = |letter: char| is_letter(letter) || letter.is_ascii_digit() || " \t_-.()[]/°".contains(letter);
    key.len() <= KEY_BYTES && key.chars().all(fits)
}

/// Words that make a key one about another quantity, unless the fact itself is about that quantity. Trade words and
/// plain English; with one of them too many, nothing is taken.
const QUANTITIES: &[&str] = &[
    "temperature",
    "temp",
    "diameter",
    "height",
    "length",
    "weight",
    "mass",
    "volume",
    "density",
    "cost",
    "price",
    "time",
    "speed",
    "flow",
    "feedrate",
    "rate",
    "width",
    "area",
    "count",
    "number",
    "ratio",
    "factor",
    "multiplier",
    "percent",
    "colour",
    "color",
    "fan",
    "offset",
    "tolerance",
    "distance",
    "retraction",
    "shrinkage",
    "change",
    "changes",
    "difference",
    "delta",
    "increment",
    "maximum",
    "max",
    "minimum",
    "min",
    "low",
    "high",
    "range",
    "lowest",
    "highest",
    "standby",
    "idle",
    "chamber",
    "enclosure",
    "glass",
    "transition",
    "softening",
    "id",
    "guid",
    "uuid",
    "hash",
    "maker",
    "vendor",
    "brand",
    "notes",
    "remaining",
    "elapsed",
    "wasted",
    "support",
    "left",
];

/// The fact that a key states, if it states exactly one that is known.
pub(super) fn fact(key: KeyWords<'_>, hint_words: &[String<TAG_BYTES>]) -> Option<Fact> {
    let about = |quantities: &[&str]| {
        let is = |word: &str, list: &[&str]| list.iter().any(|other| other.eq_ignore_ascii_case(word));
        key.words().all(|word| !is(word, QUANTITIES) || is(word, quantities))
    };
    let first = key.has_any(&["first", "initial"]);
    let nozzle = key.has_any(&["nozzle", "extruder", "hotend"]) || (key.has("hot") && key.has("end"));
    let (bed, filament, layer) = (key.has("bed"), key.has("filament"), key.has("layer"));
    let temperature = key.has_any(&["temperature", "temp"]);
    let room = hint_words.iter().any(|hint| {
        let hint = KeyWords(hint.as_str());
        hint.words().next().is_some() && hint.words().all(|word| key.has(word))
    });
    if room {
        return Some(Fact::Material);
    }
    if (key.has("material") || (filament && key.has("type"))) && about(&[]) {
        return Some(Fact::Material);
    }
    let mut alone = key.words();
    if let (Some(word), None) = (alone.next(), alone.next()) {
        let is = |other: &str| other.eq_ignore_ascii_case(word);
        if is("filament") || is("spool") {
            return Some(Fact::Named { spool: is("spool") });
        }
    }
    if key.has("diameter") && about(&["diameter"]) {
        return match (nozzle, filament) {
            (true, false) if key.has("nozzle") => Some(Fact::Bore),
            (false, true) => Some(Fact::Diameter),
            _ => None,
        };
    }
    if temperature && about(&["temperature", "temp"]) {
        return match (nozzle, bed, first) {
            (true, false, false) => Some(Fact::Nozzle),
            (true, false, true) => Some(Fact::NozzleFirst),
            (false, true, false) => Some(Fact::Bed),
            (false, true, true) => Some(Fact::BedFirst),
            _ => None,
        };
    }
    if layer && key.has("height") && about(&["height"]) {
        return Some(if first { Fact::LayerFirst } else { Fact::Layer });
    }
    if filament && key.has_any(&["weight", "mass"]) && about(&["weight", "mass"]) {
        return Some(Fact::Mass);
    }
    if filament && key.has_any(&["used", "length", "needed", "required"]) && about(&["length"]) {
        return Some(Fact::Used);
    }
    let whole_print = key.has_any(&["print", "printing", "build", "estimated", "total"]);
    let part_of_it = first || layer || nozzle || bed || filament || key.has("tool");
    // `min` is a quantity word (minimum) except in brackets at the end, where it is the unit.
    let end = key.0.trim_ascii_end();
    let minutes = end.ends_with("(min)") || end.ends_with("[min]");
    let time_only = about(&["time"]) || (minutes && about(&["time", "min"]));
    if key.has("time") && whole_print && !part_of_it && time_only {
        return Some(Fact::Time);
    }
    None
}
