//! Names of files and folders: what kind a file is by its ending, and how a name is kept and shown.

use heapless::String;

use crate::limits::{FOLDER_BYTES, NAME_BYTES};
use crate::visible::visible;

/// The folder of our own records on a card; it is never searched for jobs.
pub const RECORDS_FOLDER: &str = "HOLDPT";

/// Bytes of the longest name of a folder, in UTF-8: 255 units of UTF-16 take at most three bytes each.
pub(super) const LONGEST_NAME: usize = 255 * 3;

/// Endings of job files, lower case. Common practice of the whole desktop trade and of RS-274 machine tools, no
/// standard behind them.
const JOB_ENDINGS: [&str; 7] = ["gcode", "gco", "g", "gc", "nc", "ngc", "tap"];

/// Endings of models that a slicer must turn into jobs first, lower case. Common practice.
const MODEL_ENDINGS: [&str; 7] = ["stl", "3mf", "obj", "step", "stp", "amf", "ply"];

/// What a file is, by its name's ending.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum FileKind {
    /// A job.
    Job,
    /// A model, to be sliced first.
    Model,
    /// Anything else.
    Other,
}

/// What a file is, by its name's ending, in either case.
///
/// `characters` is the whole name; nothing of it is kept but the last few.
pub fn file_kind(characters: impl Iterator<Item = char>) -> FileKind {
    let mut ending: Option<String<8>> = None;
    for character in characters {
        if character == '.' {
            ending = Some(String::new());
            continue;
        }
        let overflow = ending.as_mut().is_some_and(|text| text.push(character.to_ascii_lowercase()).is_err());
        if overflow {
            ending = None;
        }
    }
    match ending {
        Some(ending) if JOB_ENDINGS.contains(&ending.as_str()) => FileKind::Job,
        Some(ending) if MODEL_ENDINGS.contains(&ending.as_str()) => FileKind::Model,
        _ => FileKind::Other,
    }
}

/// Keeps a name as it is shown: as many whole characters as fit, and whether any were left out.
pub fn cut_name(characters: impl Iterator<Item = char>) -> (String<NAME_BYTES>, bool) {
    let mut kept = String::new();
    for character in characters.map(visible) {
        if kept.push(character).is_err() {
            return (kept, true);
        }
    }
    (kept, false)
}

/// Keeps a folder's path as it is shown: whole if it fits, else its end behind `…`, since the end tells folders apart.
#[must_use]
pub fn cut_path(path: &str) -> String<FOLDER_BYTES> {
    let bytes = |characters: core::str::Chars<'_>| {
        characters.fold(0_usize, |bytes, character| bytes.saturating_add(visible(character).len_utf8()))
    };
    let mut kept = String::new();
    let mut end = path.chars();
    let cut = bytes(end.clone()) > FOLDER_BYTES;
    if cut {
        let room = FOLDER_BYTES.saturating_sub('…'.len_utf8());
        while bytes(end.clone()) > room && end.next().is_some() {}
    }
    let mut fits = !cut || kept.push('…').is_ok();
    for character in end {
        fits &= kept.push(visible(character)).is_ok();
    }
    debug_assert!(fits, "the cut end fits by its reckoning");
    kept
}

/// The characters of a name in UTF-16; half a pair shows as U+FFFD.
pub(super) fn utf16(units: &[u16]) -> impl Iterator<Item = char> + Clone + '_ {
    char::decode_utf16(units.iter().copied()).map(|unit| unit.unwrap_or(char::REPLACEMENT_CHARACTER))
}

/// Whether these characters are those of `name`, letters A to Z in either case.
pub(super) fn same_name(characters: impl Iterator<Item = char>, name: &str) -> bool {
    characters.map(|character| character.to_ascii_uppercase()).eq(name.chars())
}

/// An 8.3 name as machines show it, such as `BRACKE~2.GCO`, from its eleven bytes on the card.
///
/// A byte above 0x7F belongs to a code page that the card does not name: it shows as `?`.
pub(super) fn short_name(stored: &[u8; 11]) -> String<12> {
    let mut shown = String::new();
    let shown_as = |byte: u8| if byte.is_ascii_graphic() || byte == b' ' { char::from(byte) } else { '?' };
    let (base, ending) = stored.split_at(8);
    let used =
        |bytes: &[u8]| bytes.iter().rposition(|byte| *byte != b' ').map_or(0, |at| at.saturating_add(1));
    let mut fits = true;
    for byte in base.iter().take(used(base)) {
        fits &= shown.push(shown_as(*byte)).is_ok();
    }
    if used(ending) > 0 {
        fits &= shown.push('.').is_ok();
    }
    for byte in ending.iter().take(used(ending)) {
        fits &= shown.push(shown_as(*byte)).is_ok();
    }
    debug_assert!(fits, "8 + 1 + 3 characters of one byte fit twelve bytes");
    shown
}

#[cfg(test)]
mod tests {
    use std::string::String as Text;

    use super::*;

    #[test]
    fn endings_tell_jobs_from_models_in_either_case() {
        for name in ["a.gcode", "A.GCO", "x.y.g", "b.Gc", "c.nc", "d.NGC", "e.tap", ".gcode"] {
            assert_eq!(file_kind(name.chars()), FileKind::Job, "{name}");
        }
        for name in ["a.stl", "b.3MF", "c.obj", "d.step", "e.STP", "f.amf", "g.ply"] {
            assert_eq!(file_kind(name.chars()), FileKind::Model, "{name}");
        }
        for name in ["gcode", "a.gcode.txt", "a.", "", "a.gcodegcode", "a.gcodé", "a.g "] {
            assert_eq!(file_kind(name.chars()), FileKind::Other, "{name}");
        }
    }

    #[test]
    fn a_name_is_cut_at_a_character() {
        let name: Text = core::iter::repeat_n('ß', 40).collect();
        let (kept, cut) = cut_name(name.chars());
        assert_eq!(kept.chars().count(), 32, "32 characters of two bytes fill 64");
        assert!(cut);
        let (kept, cut) = cut_name(core::iter::once('a').chain(name.chars()));
        assert_eq!((kept.len(), cut), (63, true), "the 32nd ß would need a 65th byte");
        let (kept, cut) = cut_name("Halter größer.gcode".chars());
        assert_eq!((kept.as_str(), cut), ("Halter größer.gcode", false));
    }

    #[test]
    fn a_path_keeps_its_end() {
        assert_eq!(cut_path("a/b").as_str(), "a/b");
        let long: Text = core::iter::repeat_n("é/", 30).collect();
        let kept = cut_path(&long);
        assert!(kept.len() <= FOLDER_BYTES && kept.starts_with('…'), "{kept}");
        assert!(long.ends_with(kept.trim_start_matches('…')), "{kept}");
    }

    #[test]
    fn a_name_that_would_forge_a_line_shows_as_one() {
        let (kept, cut) = cut_name("a\nCLEAR \u{202e}b\u{9b}2J.gcode".chars());
        assert_eq!((kept.as_str(), cut), ("a\u{fffd}CLEAR \u{fffd}b\u{fffd}2J.gcode", false));
        assert_eq!(cut_path("a\u{1b}/b\u{feff}").as_str(), "a\u{fffd}/b\u{fffd}");
        let long: Text = core::iter::repeat_n("\n/", 30).collect();
        assert!(cut_path(&long).starts_with("…") && !cut_path(&long).contains('\n'));
    }

    #[test]
    fn short_names_show_as_machines_show_them() {
        assert_eq!(short_name(b"BRACKE~2GCO").as_str(), "BRACKE~2.GCO");
        assert_eq!(short_name(b"PART01  G  ").as_str(), "PART01.G");
        assert_eq!(short_name(b"README     ").as_str(), "README");
        assert_eq!(short_name(b"GR\x99\xE1E   GCO").as_str(), "GR??E.GCO");
    }
}
