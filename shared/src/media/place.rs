//! Where an entry lies, packed into the two words of an [`EntryPlace`]: the library keeps cluster numbers to
//! itself, so the way to a folder is written down as its slot in each folder above it.

use crate::limits::FOLDER_DEPTH;
use crate::media::EntryPlace;

/// Bits of one folder's slot, plus one so that 0 means "no more folders".
const SLOT_BITS: u32 = 16;
/// Folders whose slots stand in the first word.
const IN_FIRST_WORD: usize = 4;
/// Bits of the entry's own slot in the second word, below the last two folders.
const ENTRY_BITS: u32 = 32;

// The packing holds four and two folders: a deeper search needs another one.
const _: () = assert!(FOLDER_DEPTH == 6);

/// The way to a folder: its slot in each folder above it, from the root on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Way {
    slots: [u16; FOLDER_DEPTH],
}

impl Way {
    /// The way one folder further, or `None` when that is too deep or its slot cannot be written down.
    pub(super) fn into_folder(mut self, slot: u64) -> Option<Self> {
        let stored = u16::try_from(slot.checked_add(1)?).ok()?;
        *self.slots.iter_mut().find(|slot| **slot == 0)? = stored;
        Some(self)
    }

    /// The folders' slots from the root on.
    pub(super) fn slots(&self) -> impl Iterator<Item = u64> + '_ {
        self.slots.iter().take_while(|slot| **slot != 0).map(|slot| u64::from(slot.saturating_sub(1)))
    }

    /// The place of the entry at `slot` of this folder.
    pub(super) fn entry(&self, slot: u32) -> EntryPlace {
        let mut words = [0_u64, 0];
        for (word, slots) in
            words.iter_mut().zip([self.slots.get(..IN_FIRST_WORD), self.slots.get(IN_FIRST_WORD..)])
        {
            for stored in slots.unwrap_or_default().iter().rev() {
                *word = word.wrapping_shl(SLOT_BITS) | u64::from(*stored);
            }
        }
        let [folder, deep] = words;
        EntryPlace { folder, entry: deep.wrapping_shl(ENTRY_BITS) | u64::from(slot) }
    }

    /// The way and the slot that a place was packed from.
    pub(super) fn unpack(place: EntryPlace) -> (Self, u64) {
        let words = [place.folder, place.entry.wrapping_shr(ENTRY_BITS)];
        let mut slots = [0_u16; FOLDER_DEPTH];
        for (index, stored) in slots.iter_mut().enumerate() {
            let (word, at) = match index.checked_sub(IN_FIRST_WORD) {
                None => (words[0], index),
                Some(at) => (words[1], at),
            };
            let shift = SLOT_BITS.saturating_mul(u32::try_from(at).unwrap_or_default());
            *stored = u16::try_from(word.wrapping_shr(shift) & u64::from(u16::MAX)).unwrap_or_default();
        }
        (Self { slots }, place.entry & u64::from(u32::MAX))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_place_leads_back(folders in proptest::collection::vec(0_u64..=65_534, 0..=FOLDER_DEPTH), slot: u32) {
            let mut way = Way::default();
            for folder in &folders {
                way = way.into_folder(*folder).unwrap();
            }
            let (back, back_slot) = Way::unpack(way.entry(slot));
            prop_assert_eq!(back.slots().collect::<std::vec::Vec<_>>(), folders);
            prop_assert_eq!(back_slot, u64::from(slot));
        }
    }

    #[test]
    fn too_deep_or_too_far_cannot_be_written_down() {
        let mut way = Way::default();
        assert_eq!(way.into_folder(65_535), None);
        for _ in 0..FOLDER_DEPTH {
            way = way.into_folder(3).unwrap();
        }
        assert_eq!(way.into_folder(3), None);
    }
}
