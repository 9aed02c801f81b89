//! The ledger's events: writing one, reading them back.

use embedded_storage::nor_flash::NorFlash;

use super::book::Ledger;
use super::error::LedgerError;
use super::event::LoggedEvent;
use super::row::RowWriter;

impl<F: NorFlash> Ledger<F> {
    /// Logs an event; the oldest makes room.
    ///
    /// # Errors
    /// The flash failed, is damaged or full.
    pub fn log(&mut self, event: LoggedEvent) -> Result<(), LedgerError> {
        let count = self.next_event;
        let LoggedEvent { code, numbers: [a, b], time_s } = event;
        let mut row = RowWriter::default();
        row.word(count).half(code).word(a.cast_unsigned()).word(b.cast_unsigned()).word(time_s);
        self.store.put(self.ring.key(count), row.row())?;
        self.next_event = count.saturating_add(1);
        Ok(())
    }

    /// An event, the newest with `ago` 0; `None` beyond the oldest, or when its row was lost.
    ///
    /// # Errors
    /// The flash failed or is damaged.
    pub fn event(&mut self, ago: u8) -> Result<Option<LoggedEvent>, LedgerError> {
        if ago >= self.ring.0 {
            return Ok(None);
        }
        let Some(count) = self.next_event.checked_sub(u32::from(ago).saturating_add(1)) else {
            return Ok(None);
        };
        Ok(self
            .store
            .event_at(self.ring, count)?
            .filter(|(stored, _)| *stored == count)
            .map(|(_, event)| event))
    }
}
