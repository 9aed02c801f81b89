//! Free comments → the same fields as the header, by the trade's own words.

use heapless::{String, Vec};

use super::facts::JobHeader;
use super::hint_key::{self, Fact, KeyWords};
use super::hint_value;
use crate::limits::{HINT_WORDS, LINE_BYTES, MATERIAL_BYTES, MATERIALS_BYTES, TAG_BYTES, up_to};
use crate::visible::BYTE_ORDER_MARK;

/// What the free comments of a job state.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Hints {
    /// The first statement of each fact. Only the material, diameters, temperatures, length, mass, time and layer
    /// heights are ever harvested.
    pub facts: JobHeader,
    /// The materials as the comment lists them, one for each tool.
    materials: Option<String<MATERIALS_BYTES>>,
    /// What a comment lists whose key is `filament` alone, and one whose key is `spool` alone: materials, if it is their
    /// names.
    named: [Option<String<MATERIALS_BYTES>>; 2],
    /// How many later comments state another value for a fact that was already stated.
    pub conflicts: u16,
}

impl Hints {
    /// The material that a tool's filament is stated to be, from 0.
    #[must_use]
    pub fn material_of(&self, tool: usize) -> Option<String<MATERIAL_BYTES>> {
        hint_value::material_of(self.materials.as_ref()?, tool)
    }

    /// What comments name for a tool whose keys are `filament` and `spool` alone: a material, if it is the name of one.
    pub fn named_for(&self, tool: usize) -> impl Iterator<Item = String<MATERIAL_BYTES>> {
        self.named.iter().flatten().filter_map(move |list| hint_value::material_of(list, tool))
    }
}

/// Harvests comments of the form `; words = value`, `;words:value` or `(words: value)`, a line each, out of chunks cut
/// anywhere.
///
/// A comment counts when the words before its first `=` or `:` are letters, digits, blanks and `_ - . ( ) [ ] /`
/// only. They are split at anything but letters and compared without case:
///
/// | words | fact |
/// | --- | --- |
/// | `material`; `filament` and `type`; a room's own hint word | material |
/// | `filament` or `spool` and no other word | material, if the value is the name of one |
/// | `nozzle` and `diameter` | nozzle bore |
/// | `filament` and `diameter` | filament diameter |
/// | `nozzle`, `extruder`, `hotend` or `hot end`, and `temperature` | hot-end target; with `first` or `initial` the first layer's |
/// | `bed`, and `temperature` | bed target; with `first` or `initial` the first layer's |
/// | `filament`, and `used`, `length`, `needed` or `required` | length or mass, by its unit |
/// | `filament`, and `weight` or `mass` | mass |
/// | `layer` and `height` | layer height; with `first` or `initial` the first layer's |
/// | `time`, and `print`, `printing`, `build`, `estimated` or `total` | printing time |
///
/// A key that also names another quantity (`cost`, `maximum`, `flow`, ...) counts for nothing. Numbers are exact
/// decimals. Units: µm, um, mm, cm, m; mg, g, kg; °C; d, h, min, s. A length or mass used needs its unit in the
/// comment, and so does a time unless it has colons; a diameter or layer height without one is in millimetres below
/// 10 and in micrometres from 100. A value outside the header's own range is passed over. Of several values
/// (`PLA;PLA`, `["PLA", "PLA"]`, `215,215`) the first tool's counts; of materials each tool's is kept.
///
/// Lines of more than 256 bytes are passed over, and so are picture data and the lines of a job header, none of which
/// has such words before an `=` or `:`.
///
/// Feed the head of the file (16 KiB), then call [`start_tail`](Self::start_tail) and feed the tail.
///
/// ```
/// use holdpoint_shared::header::HintReader;
/// let mut reader = HintReader::new(&[]);
/// reader.feed(b"; filament ty");
/// reader.feed(b"pe = PETG\n;nozzle diameter: 0.4 mm\n");
/// let hints = reader.finish();
/// assert_eq!(hints.facts.material.as_deref(), Some("PETG"));
/// assert_eq!(hints.facts.bore_um, Some(400));
/// ```
#[derive(Clone, Debug)]
pub struct HintReader {
    line: Vec<u8, LINE_BYTES>,
    /// Whether the rest of the present line is passed over.
    skip: bool,
    hint_words: Vec<String<TAG_BYTES>, HINT_WORDS>,
    hints: Hints,
}

impl HintReader {
    /// At the start of a file. `hint_words` are the room's own words for a material, each of one or more words; more
    /// than [`HINT_WORDS`] are not looked at.
    #[inline(never)]
    #[must_use]
    pub fn new(hint_words: &[String<TAG_BYTES>]) -> Self {
        Self {
            line: Vec::new(),
            skip: false,
            hint_words: up_to(hint_words.iter().cloned()),
            hints: Hints::default(),
        }
    }

    /// Takes the bytes that follow those before.
    pub fn feed(&mut self, chunk: &[u8]) {
        let mut rest = chunk;
        while let Some(end) = memchr::memchr2(b'\n', b'\r', rest) {
            self.extend(rest.get(..end).unwrap_or_default());
            self.end_line();
            rest = rest.get(end + 1..).unwrap_or_default();
        }
        self.extend(rest);
    }

    /// What follows stands later in the file, from the middle of a line that is passed over.
    pub fn start_tail(&mut self) {
        self.line.clear();
        self.skip = true;
    }

    /// The file, or what was to be searched of it, ends.
    pub fn finish(&mut self) -> Hints {
        self.end_line();
        core::mem::take(&mut self.hints)
    }

    fn extend(&mut self, bytes: &[u8]) {
        // Most lines are moves: they are told by their first byte and not copied.
        let blank = self.line.is_empty();
        let bytes = if blank { bytes.trim_ascii_start() } else { bytes };
        // The byte-order mark that a text editor put before the first line.
        let bytes = if blank { bytes.strip_prefix(BYTE_ORDER_MARK).unwrap_or(bytes) } else { bytes };
        if self.skip || bytes.is_empty() {
            return;
        }
        let comment = !blank || matches!(bytes.first(), Some(b';' | b'('));
        self.skip = !comment || self.line.extend_from_slice(bytes).is_err();
    }

    fn end_line(&mut self) {
        if !self.skip {
            harvest(&self.line, &self.hint_words, &mut self.hints);
        }
        self.line.clear();
        self.skip = false;
    }
}

/// One whole line.
fn harvest(line: &[u8], hint_words: &[String<TAG_BYTES>], hints: &mut Hints) {
    let text = match line {
        [b';', text @ ..] => text,
        // A round remark, alone on its line. What follows it is no remark.
        [b'(', rest @ ..] => match rest.trim_ascii_end() {
            [text @ .., b')'] if !text.contains(&b')') => text,
            _ => return,
        },
        _ => return,
    };
    let Ok(comment) = core::str::from_utf8(text) else { return };
    let Some((key, value)) = comment.split_once(['=', ':']) else { return };
    let value = value.trim();
    if value.is_empty() || !hint_key::is_plain(key) {
        return;
    }
    let words = KeyWords(key);
    let Some(fact) = hint_key::fact(words, hint_words) else { return };
    let facts = &mut hints.facts;
    let agrees = match fact {
        Fact::Material => {
            let _ = state(&mut hints.materials, hint_value::materials(value));
            state(&mut facts.material, hint_value::material(value))
        }
        Fact::Named { spool } => {
            // A spool's number or a colour, as often as not: several do not contradict each other.
            let [filament, of_spool] = &mut hints.named;
            let _ = state(if spool { of_spool } else { filament }, hint_value::materials(value));
            true
        }
        Fact::Diameter => state(&mut facts.diameter_um, hint_value::diameter(value, words)),
        Fact::Bore => state(&mut facts.bore_um, hint_value::bore(value, words)),
        Fact::Nozzle => state(&mut facts.nozzle_c, hint_value::celsius(value)),
        Fact::NozzleFirst => state(&mut facts.nozzle_first_c, hint_value::celsius(value)),
        Fact::Bed => state(&mut facts.bed_c, hint_value::celsius(value)),
        Fact::BedFirst => state(&mut facts.bed_first_c, hint_value::celsius(value)),
        Fact::Used => match (hint_value::length(value, words), hint_value::mass(value, words)) {
            // A key that names both a length and a mass says neither of its number.
            (Some(_), Some(_)) => true,
            (Some(length), None) => state(&mut facts.length, Some(length)),
            (None, mass) => state(&mut facts.mass, mass),
        },
        Fact::Mass => state(&mut facts.mass, hint_value::mass(value, words)),
        Fact::Layer => state(&mut facts.layer_um, hint_value::layer(value, words)),
        Fact::LayerFirst => state(&mut facts.first_layer_um, hint_value::layer(value, words)),
        Fact::Time => state(&mut facts.time, hint_value::time(value, words)),
    };
    if !agrees {
        hints.conflicts = hints.conflicts.saturating_add(1);
    }
}

/// Keeps the first statement. False when a later one differs.
fn state<T: PartialEq>(fact: &mut Option<T>, value: Option<T>) -> bool {
    match (&*fact, value) {
        (_, None) => true,
        (Some(first), Some(value)) => *first == value,
        (None, value) => {
            *fact = value;
            true
        }
    }
}

#[cfg(test)]
#[path = "hints_tests.rs"]
mod tests;
