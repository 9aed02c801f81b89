//! The last events, in a ring: each has a count, and its slot is the count's remainder.

use embedded_storage::nor_flash::NorFlash;

use crate::limits::LEDGER_EVENTS;

use super::error::LedgerError;
use super::kind::Kind;
use super::row::RowReader;
use super::store::Store;

const _: () = assert!(LEDGER_EVENTS.is_power_of_two(), "a slot is some bits of the count");

/// Something that happened, for who looks into it later.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LoggedEvent {
    /// What; the caller's numbers.
    pub code: u16,
    /// Its two numbers.
    pub numbers: [i32; 2],
    /// When, in seconds since 2000-01-01 00:00 of the room's local time; 0 when the clock was not set.
    pub time_s: u32,
}

/// Events kept where there is no room for all that the ledger may hold: RAM in the place of flash.
const EVENTS_IN_LITTLE: u8 = 8;

/// Events kept, a power of two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct EventRing(pub(super) u8);

impl EventRing {
    pub(super) const fn new(room: bool) -> Self {
        Self(if room { LEDGER_EVENTS } else { EVENTS_IN_LITTLE })
    }

    pub(super) fn key(self, count: u32) -> u16 {
        let [low, ..] = count.to_le_bytes();
        Kind::Event.key(low & self.0.saturating_sub(1))
    }
}

impl<F: NorFlash> Store<F> {
    pub(super) fn event_at(
        &mut self,
        ring: EventRing,
        count: u32,
    ) -> Result<Option<(u32, LoggedEvent)>, LedgerError> {
        let Some(bytes) = self.get(ring.key(count))? else { return Ok(None) };
        let mut row = RowReader(bytes);
        let mut read = || {
            let count = row.word()?;
            let code = row.half()?;
            let numbers = [row.word()?.cast_signed(), row.word()?.cast_signed()];
            Some((count, LoggedEvent { code, numbers, time_s: row.word()? }))
        };
        Ok(read())
    }

    /// The next event's count.
    pub(super) fn next_event(&mut self, ring: EventRing) -> Result<u32, LedgerError> {
        let mut next = 0;
        for slot in 0..ring.0 {
            match self.event_at(ring, slot.into()) {
                Ok(Some((count, _))) => next = next.max(count.saturating_add(1)),
                Ok(None) | Err(LedgerError::Damaged) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(next)
    }
}
