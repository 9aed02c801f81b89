//! Opening a ledger, or beginning one.

use embedded_storage::nor_flash::NorFlash;

use crate::limits::LEDGER_SPOOLS;

use super::book::{KEPT_FREE, Ledger, WITH_ROWS};
use super::event::EventRing;
use super::kind::Kind;
use super::store::Store;
use super::{LedgerError, Refused};

impl<F: NorFlash> Ledger<F> {
    /// Opens the ledger that takes all of `flash`. What a power cut interrupted is finished first, a single flipped bit
    /// is turned back, and what is damaged beyond that is named by [`Ledger::losses`]; all else is as it was.
    ///
    /// # Errors
    /// [`LedgerError::Blank`] asks for [`Ledger::format`]: no byte of data is in the flash. [`LedgerError::Foreign`]
    /// leaves the flash as it is, for somebody to decide.
    pub fn open(flash: F) -> Result<Self, Refused<F>> {
        let (store, finished) = Store::open(flash).map_err(|(error, flash)| Refused { error, flash })?;
        Self::opened(store, finished)
    }

    /// Begins an empty ledger; everything in the flash is lost.
    ///
    /// # Errors
    /// [`LedgerError::Unfit`] for flash of a wrong shape; the flash failed.
    pub fn format(flash: F) -> Result<Self, Refused<F>> {
        let store = Store::format(flash).map_err(|(error, flash)| Refused { error, flash })?;
        Self::opened(store, false)
    }

    #[inline(never)]
    fn opened(store: Store<F>, finished: bool) -> Result<Self, Refused<F>> {
        let room = store.room_bytes();
        let (ring, rows) = (EventRing::new(room >= KEPT_FREE), room >= WITH_ROWS);
        let mut ledger = Self { store, run: 0, next_event: 0, ring, rows, finished };
        match ledger.count() {
            Ok(()) => Ok(ledger),
            Err(error) => Err(Refused { error, flash: ledger.close() }),
        }
    }

    fn count(&mut self) -> Result<(), LedgerError> {
        self.run = self.word(Kind::RunNumber)?.unwrap_or_default();
        let lost = core::mem::take(&mut self.store.lost_runs);
        if lost > 0 {
            // A number is never given twice: beyond every one that is known, and those that the lost rows may have had.
            for slot in 0..LEDGER_SPOOLS {
                self.run = self.run.max(self.spool_in(slot)?.map_or(0, |(_, balance)| balance.run));
            }
            self.run = self.run.max(self.machine()?.run).saturating_add(lost.into());
            // Without room for it the number is made out anew at the next opening.
            let _ = self.store.put(Kind::RunNumber.key(0), &self.run.to_le_bytes());
        }
        self.next_event = self.store.next_event(self.ring)?;
        Ok(())
    }
}
