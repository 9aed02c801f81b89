//! Words kept by name.

use core::fmt::Write;

use heapless::{String, Vec};

use crate::limits::{UNKNOWN_NAMES, WORD_NAME_BYTES};

use super::values::{NameTally, Reading, Tally};

impl Reading {
    /// A word that is unknown or changes the machine's memory.
    #[cold]
    pub(super) fn word(&mut self, letter: u8, tenths: u32, memory: bool, line: u32) {
        let mut name = String::<WORD_NAME_BYTES>::new();
        // A letter and ten digits with a point: it fits.
        let _ = write!(name, "{}{}", char::from(letter), tenths / 10);
        if !tenths.is_multiple_of(10) {
            let _ = write!(name, ".{}", tenths % 10);
        }
        if memory {
            self.memory.add(line);
            tally(&mut self.memory_names, name, line);
        } else {
            self.unknown.add(line);
            tally(&mut self.unknown_names, name, line);
        }
    }

    /// A name in place of a word at a line's start.
    #[cold]
    pub(super) fn identifier(&mut self, bytes: &[u8], line: u32) {
        let mut name = String::<WORD_NAME_BYTES>::new();
        for byte in bytes {
            if name.push(char::from(*byte)).is_err() {
                break;
            }
        }
        self.unknown.add(line);
        tally(&mut self.unknown_names, name, line);
    }
}

fn tally(list: &mut Vec<NameTally, UNKNOWN_NAMES>, name: String<WORD_NAME_BYTES>, line: u32) {
    if let Some(known) = list.iter_mut().find(|known| known.name == name) {
        known.met.add(line);
        return;
    }
    let mut met = Tally::default();
    met.add(line);
    // Full: counted in the total only.
    let _ = list.push(NameTally { name, met });
}
