//! Words kept by name.

use core::fmt::Write;

use heapless::{String, Vec};

use crate::limits::{UNKNOWN_NAMES, WORD_NAME_BYTES};
use crate::motion::WordClass;

use super::values::{NameTally, Reading, Tally};

impl Reading {
    /// A word that only its class is known of, or not even that.
    #[cold]
    pub(super) fn word(&mut self, letter: u8, tenths: u32, class: WordClass, line: u32) {
        let mut name = String::<WORD_NAME_BYTES>::new();
        // A letter and ten digits with a point: it fits.
        let _ = write!(name, "{}{}", char::from(letter), tenths / 10);
        if !tenths.is_multiple_of(10) {
            let _ = write!(name, ".{}", tenths % 10);
        }
        let first = match class {
            WordClass::Stores => &mut self.stores,
            WordClass::Reaches => &mut self.reaches,
            WordClass::Shifts => &mut self.shifts,
            _ => return self.listable(name, class, line),
        };
        if !first.met.any() {
            (first.name, first.class) = (name, class);
        }
        first.met.add(line);
    }

    /// A name in place of a word at a line's start.
    #[cold]
    pub(super) fn identifier(&mut self, bytes: &[u8], line: u32) {
        let mut name = String::<WORD_NAME_BYTES>::new();
        for byte in bytes {
            if name.push(char::from(byte.to_ascii_uppercase())).is_err() {
                break;
            }
        }
        self.listable(name, WordClass::Unknown, line);
    }

    /// One that a machine sheet may list.
    fn listable(&mut self, name: String<WORD_NAME_BYTES>, class: WordClass, line: u32) {
        self.unknown.add(line);
        tally(&mut self.unknown_names, name, class, line);
    }
}

fn tally(
    list: &mut Vec<NameTally, UNKNOWN_NAMES>,
    name: String<WORD_NAME_BYTES>,
    class: WordClass,
    line: u32,
) {
    if let Some(known) = list.iter_mut().find(|known| known.name == name && known.class == class) {
        known.met.add(line);
        return;
    }
    let mut met = Tally::default();
    met.add(line);
    if let Err(new) = list.push(NameTally { name, met, class }) {
        // Full. A word that is not followed weighs most: it takes the place of one that is only looked at.
        let lighter = list.iter_mut().rev().find(|known| known.class != WordClass::Unfollowed);
        if let Some(lighter) = lighter.filter(|_| class == WordClass::Unfollowed) {
            *lighter = new;
        }
    }
}
