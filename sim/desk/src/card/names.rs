//! Names in a FAT folder: as they are where eleven capitals are enough, else in long entries with a short alias.

use std::collections::{HashMap, HashSet};

use super::tree::ENTRY;

/// Signs of a short name besides letters and digits (Microsoft's FAT overview 1.03).
const SIGNS: &[u8] = b"$%'-_@~`!(){}^#&";
/// Where the thirteen characters of a long entry stand.
const PLACES: [usize; 13] = [1, 3, 5, 7, 9, 14, 16, 18, 20, 22, 24, 28, 30];

const fn parts(name: &str) -> (&str, &str) {
    match split(name) {
        Some(at) => {
            let (base, rest) = name.split_at(at);
            (base, rest.split_at(1).1)
        }
        None => (name, ""),
    }
}

/// Where the last dot is.
const fn split(name: &str) -> Option<usize> {
    let bytes = name.as_bytes();
    let mut at = bytes.len();
    while at > 0 {
        at -= 1;
        if bytes[at] == b'.' {
            return Some(at);
        }
    }
    None
}

/// Whether a name is more than the eleven characters of a short one can say.
pub(super) fn needs_long(name: &str) -> bool {
    let fits = |part: &str, most: usize| {
        part.len() <= most
            && part
                .bytes()
                .all(|sign| sign.is_ascii_uppercase() || sign.is_ascii_digit() || SIGNS.contains(&sign))
    };
    let (base, extension) = parts(name);
    base.is_empty() || !fits(base, 8) || !fits(extension, 3) || name.ends_with('.')
}

fn padded(base: &[u8], extension: &[u8]) -> [u8; 11] {
    let mut name = [b' '; 11];
    name.iter_mut().zip(base.iter().take(8)).for_each(|(to, from)| *to = *from);
    name[8..].iter_mut().zip(extension).for_each(|(to, from)| *to = *from);
    name
}

/// A short name as an entry holds it.
pub(super) fn plain(name: &str) -> [u8; 11] {
    let (base, extension) = parts(name);
    padded(base.as_bytes(), extension.as_bytes())
}

/// The aliases of one folder, none twice.
pub(super) struct ShortNames {
    taken: HashSet<[u8; 11]>,
    /// The next number behind a base with so many digits.
    next: HashMap<(Vec<u8>, Vec<u8>, u32), u32>,
}

impl ShortNames {
    pub(super) fn beside(taken: HashSet<[u8; 11]>) -> Self {
        Self { taken, next: HashMap::new() }
    }

    /// An alias for a long name: `BASE~1.EXT`, and so on.
    pub(super) fn alias(&mut self, name: &str) -> [u8; 11] {
        let short = |text: &str, most: usize| -> Vec<u8> {
            let signs = text.chars().filter(|sign| !matches!(sign, ' ' | '.'));
            let sign = |sign: char| match u8::try_from(sign.to_ascii_uppercase()) {
                Ok(sign) if sign.is_ascii_alphanumeric() || SIGNS.contains(&sign) => sign,
                _ => b'_',
            };
            signs.map(sign).take(most).collect()
        };
        let (base, extension) = parts(name.trim_start_matches(['.', ' ']));
        let (base, extension) = (short(base, 6), short(extension, 3));
        // A folder holds fewer names than there are numbers of six digits.
        for digits in 1..=6 {
            let base = &base[..base.len().min(7 - digits as usize)];
            let next =
                self.next.entry((base.to_vec(), extension.clone(), digits)).or_insert(10_u32.pow(digits - 1));
            while *next < 10_u32.pow(digits) {
                let alias = padded(&[base, format!("~{next}").as_bytes()].concat(), &extension);
                *next += 1;
                if self.taken.insert(alias) {
                    return alias;
                }
            }
        }
        padded(&base, &extension)
    }
}

/// The long entries that stand before an alias, the last part of the name first.
pub(super) fn long_entries(name: &str, alias: &[u8; 11]) -> Vec<u8> {
    let sum = alias.iter().fold(0_u8, |sum, byte| sum.rotate_right(1).wrapping_add(*byte));
    let units: Vec<u16> = name.encode_utf16().collect();
    let mut entries = Vec::new();
    for (number, part) in units.chunks(13).enumerate().rev() {
        let last = (number + 1) * 13 >= units.len();
        let mut entry = [0; ENTRY];
        entry[0] = u8::try_from(number + 1).unwrap_or(u8::MAX) | if last { 0x40 } else { 0 };
        entry[11] = 0x0F;
        entry[13] = sum;
        // A zero behind the name, and what is left is all ones.
        let units = part.iter().copied().chain([0]).chain(std::iter::repeat(0xFFFF));
        for (at, unit) in PLACES.into_iter().zip(units) {
            entry[at..at + 2].copy_from_slice(&u16::to_le_bytes(unit));
        }
        entries.extend(entry);
    }
    entries
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_names_are_told_from_long_ones() {
        for name in ["A.GCO", "HOLDPT", "12345678.123", "A~1.B", "X"] {
            assert!(!needs_long(name), "{name}");
        }
        for name in ["a.gco", "A.GCODE", "123456789", "A B", ".A", "Ä", "A.B.C", "A+B"] {
            assert!(needs_long(name), "{name}");
        }
        assert_eq!(&plain("HOLDPT"), b"HOLDPT     ");
        assert_eq!(&plain("A.GCO"), b"A       GCO");
    }

    #[test]
    fn aliases_never_repeat_and_keep_clear_of_short_names() {
        let mut names = ShortNames::beside(HashSet::from([plain("PART~1.GCO")]));
        assert_eq!(&names.alias("part one.gcode"), b"PARTON~1GCO");
        assert_eq!(&names.alias("Part.gcode"), b"PART~2  GCO");
        assert_eq!(&names.alias("\u{1F600}.g"), b"_~1     G  ");
        let aliases: HashSet<_> = (0..20_000).map(|_| names.alias("part one.gcode")).collect();
        assert_eq!(aliases.len(), 20_000);
    }
}
