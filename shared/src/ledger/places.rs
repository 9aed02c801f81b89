//! Where each value stands.

use heapless::Vec;

use crate::limits::{
    LEARNED_VALUES, LEDGER_EVENTS, LEDGER_SPOOLS, LEDGER_VALUE_BYTES, PICTURE_BYTES, RECORD_BYTES,
    RUN_STATE_BYTES,
};

use super::layout::WAITING_KEYS;

/// Keys that the ledger can have: what stands in one row, the heads of the longer values, and two places for each of
/// their pieces.
const PLACES: usize = LEDGER_SPOOLS as usize
    + LEDGER_EVENTS as usize
    + LEARNED_VALUES as usize
    + WAITING_KEYS
    + 16
    + 2 * (RUN_STATE_BYTES.div_ceil(LEDGER_VALUE_BYTES)
        + 3 * RECORD_BYTES.div_ceil(LEDGER_VALUE_BYTES)
        + PICTURE_BYTES.div_ceil(LEDGER_VALUE_BYTES));

/// Of a value whose only row was lost.
pub(super) const NOWHERE: u16 = u16::MAX;

/// Where a value stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct ValuePlace {
    pub(super) key: u16,
    /// In words from the flash's beginning; [`NOWHERE`] = a row was lost and there is no older one.
    pub(super) at: u16,
    pub(super) length: u8,
    /// A newer row was lost, or may have been.
    pub(super) doubtful: bool,
}

/// Every value's place, by rising keys.
#[derive(Debug, Default)]
pub(super) struct Places(Vec<ValuePlace, PLACES>);

impl Places {
    fn find(&self, key: u16) -> Result<usize, usize> {
        self.0.binary_search_by_key(&key, |place| place.key)
    }

    /// The place of a value that can be read.
    pub(super) fn get(&self, key: u16) -> Option<ValuePlace> {
        let place = self.0.get(self.find(key).ok()?)?;
        (place.at != NOWHERE).then_some(*place)
    }

    pub(super) fn is_doubtful(&self, key: u16) -> bool {
        self.find(key).is_ok_and(|at| self.0.get(at).is_some_and(|place| place.doubtful))
    }

    /// `false` when there are more keys than the ledger has: rows that no version of it wrote.
    pub(super) fn set(&mut self, new: ValuePlace) -> bool {
        match self.find(new.key) {
            Ok(at) => {
                if let Some(place) = self.0.get_mut(at) {
                    *place = new;
                }
                true
            }
            Err(at) => self.0.insert(at, new).is_ok(),
        }
    }

    pub(super) fn remove(&mut self, key: u16) {
        if let Ok(at) = self.find(key) {
            self.0.remove(at);
        }
    }

    /// A row of this key was lost.
    pub(super) fn doubt(&mut self, key: u16) {
        let older = self.get(key);
        let (at, length) = older.map_or((NOWHERE, 0), |place| (place.at, place.length));
        self.set(ValuePlace { key, at, length, doubtful: true });
    }

    /// A row was lost of which nobody knows the key.
    pub(super) fn doubt_all(&mut self) {
        self.0.iter_mut().for_each(|place| place.doubtful = true);
    }

    /// What was lost so far is known.
    pub(super) fn believe_all(&mut self) {
        self.0.retain(|place| place.at != NOWHERE);
        self.0.iter_mut().for_each(|place| place.doubtful = false);
    }

    /// The same, of the keys that `is` picks.
    pub(super) fn believe(&mut self, is: impl Fn(u16) -> bool) {
        self.0.retain(|place| place.at != NOWHERE || !is(place.key));
        self.0.iter_mut().filter(|place| is(place.key)).for_each(|place| place.doubtful = false);
    }

    /// The next place from a key on.
    pub(super) fn from(&self, key: u16) -> Option<ValuePlace> {
        let at = self.find(key).unwrap_or_else(|at| at);
        self.0.get(at).copied()
    }
}
