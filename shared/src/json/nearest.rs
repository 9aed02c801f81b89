//! The known key that a mistyped one may have been meant for.

use super::Key;

/// Letters of a name that are compared; no known one is longer.
const LETTERS: usize = 24;

/// A step costs so much; a slip of the shift key costs nothing.
const STEP: u8 = 2;

/// What standing in another object costs: half a step, so that the same object's key wins.
const ELSEWHERE: u8 = 1;

/// The nearest known key to `name` in the object whose full name is `above`.
///
/// Near is: at most two letters more, less, other or swapped, and at most a third of the name; or a name that is the other's
/// beginning, from three letters on (`monday`); or the same name in another object. Judgement.
pub(super) fn nearest(name: &str, above: &str, keys: &'static [&'static Key]) -> Option<&'static str> {
    let near = keys.iter().filter_map(|key| {
        let (parent, leaf) = key.name.rsplit_once('.').unwrap_or(("", key.name));
        let cost = cost(name, leaf)?.saturating_add(if parent == above { 0 } else { ELSEWHERE });
        Some((cost, key.name))
    });
    near.min_by_key(|(cost, _)| *cost).map(|(_, name)| name)
}

/// What makes one name of the other; `None` = they are not near.
fn cost(name: &str, known: &str) -> Option<u8> {
    let (short, long) = if name.len() < known.len() { (name, known) } else { (known, name) };
    let begins = long.get(..short.len()).is_some_and(|begin| begin.eq_ignore_ascii_case(short));
    let steps = steps(name.as_bytes(), known.as_bytes());
    let allowed = usize::min(2, long.len() / 3);
    match steps {
        Some(steps) if usize::from(steps) <= allowed => Some(steps.saturating_mul(STEP)),
        _ if begins && short.len() >= 3 => Some(2 * STEP + ELSEWHERE),
        _ => None,
    }
}

/// Letters that are more, less, other or swapped with their neighbour (Damerau and Levenshtein's distance, each pair
/// swapped once); `None` for names that are too long to be meant for a known one.
fn steps(one: &[u8], other: &[u8]) -> Option<u8> {
    if one.len() > LETTERS || other.len() > LETTERS {
        return None;
    }
    let plain = |byte: &u8| if *byte == b'-' { b'_' } else { byte.to_ascii_lowercase() };
    // Rows of the usual table: two letters back, the one before, and this one.
    let mut rows = [[0_u8; LETTERS + 1]; 3];
    let [before_last, last, row] = &mut rows;
    for (at, place) in (0_u8..).zip(last.iter_mut()) {
        *place = at;
    }
    let (mut row, mut last, mut before_last) = (row, last, before_last);
    let mut previous = None;
    for (letter, begin) in one.iter().map(plain).zip(1_u8..) {
        if let Some(first) = row.first_mut() {
            *first = begin;
        }
        let mut left_letter = None;
        for (at, other_letter) in other.iter().map(plain).enumerate() {
            let get = |row: &[u8; LETTERS + 1], at: usize| row.get(at).copied().unwrap_or(u8::MAX);
            let other_one = u8::from(letter != other_letter);
            let mut least = get(last, at).saturating_add(other_one);
            least = least.min(get(last, at + 1).saturating_add(1)).min(get(row, at).saturating_add(1));
            if previous == Some(other_letter) && left_letter == Some(letter) {
                least = least.min(get(before_last, at - 1).saturating_add(1));
            }
            if let Some(place) = row.get_mut(at + 1) {
                *place = least;
            }
            left_letter = Some(other_letter);
        }
        previous = Some(letter);
        (before_last, last, row) = (last, row, before_last);
    }
    last.get(other.len()).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    static KEYS: &[&Key] = &[
        &Key::text("bore_um", 4),
        &Key::text("left_mg", 4),
        &Key::text("bed_mm", 4),
        &Key::text("bed_max_c", 4),
        &Key::text("opens.mon", 4),
        &Key::text("closes.mon", 4),
        &Key::text("motion.print_accel", 4),
        &Key::text("id", 4),
    ];

    #[test]
    fn slips_of_the_hand_find_their_key() {
        for (typed, above, meant) in [
            ("bore_mm", "", "bore_um"),
            ("bore", "", "bore_um"),
            ("left_g", "", "left_mg"),
            ("Bore_UM", "", "bore_um"),
            ("bore-um", "", "bore_um"),
            ("broe_um", "", "bore_um"),
            ("bed_mn", "", "bed_mm"),
            ("bed_maxc", "", "bed_max_c"),
            ("monday", "opens", "opens.mon"),
            ("monday", "closes", "closes.mon"),
            ("print_accel", "", "motion.print_accel"),
            ("print_acel", "motion", "motion.print_accel"),
        ] {
            assert_eq!(nearest(typed, above, KEYS), Some(meant), "{typed}");
        }
    }

    #[test]
    fn another_word_finds_none() {
        for typed in ["colour", "xy", "i", "x", "nozzle_diameter", "", "bed_size_of_the_machine_in_mm"] {
            assert_eq!(nearest(typed, "", KEYS), None, "{typed}");
        }
    }

    #[test]
    fn steps_are_those_of_worked_examples() {
        // Levenshtein's own example and Damerau's swap.
        for (one, other, expected) in
            [("kitten", "sitting", 3), ("ab", "ba", 1), ("", "abc", 3), ("abc", "", 3), ("flaw", "lawn", 2)]
        {
            assert_eq!(steps(one.as_bytes(), other.as_bytes()), Some(expected), "{one} {other}");
        }
    }
}
