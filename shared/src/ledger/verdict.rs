//! Verdicts under their seals, so that a file that did not change is not surveyed again.

use embedded_storage::nor_flash::NorFlash;

use crate::limits::{LEDGER_VALUE_BYTES, SEALED_VERDICTS};

use super::row::{RowReader, RowWriter};
use super::store::{Kind, Store};
use super::{Ledger, LedgerError};

/// What tells one job from another: its length and checksum, and those of the records it was checked against.
pub type Fingerprint = [u8; 16];

/// Bytes of a verdict's summary.
pub const SUMMARY_BYTES: usize = LEDGER_VALUE_BYTES - 20;

impl<F: NorFlash> Store<F> {
    /// A slot's count (0 when it is vacant) and whether it has this fingerprint.
    fn seal_in(&mut self, slot: u8, fingerprint: &Fingerprint) -> Result<(u32, bool), LedgerError> {
        let Some(bytes) = self.get(Kind::Verdict.key(slot))? else { return Ok((0, false)) };
        let mut row = RowReader(bytes);
        let count = row.word().unwrap_or_default();
        Ok((count, row.bytes(fingerprint.len()) == Some(fingerprint)))
    }
}

impl<F: NorFlash> Ledger<F> {
    /// Keeps a verdict's summary under a job's fingerprint; the verdict kept longest ago makes room.
    ///
    /// # Errors
    /// [`LedgerError::TooLong`] beyond [`SUMMARY_BYTES`]; the flash failed, is damaged or full.
    pub fn seal(&mut self, fingerprint: &Fingerprint, summary: &[u8]) -> Result<(), LedgerError> {
        if summary.len() > SUMMARY_BYTES {
            return Err(LedgerError::TooLong);
        }
        let (mut newest, mut oldest, mut into) = (0, u32::MAX, 0);
        for slot in 0..SEALED_VERDICTS {
            let (count, same) = self.store.seal_in(slot, fingerprint)?;
            newest = newest.max(count);
            // The same job's seal is the one to replace, before every older one.
            if same || count < oldest {
                (oldest, into) = (if same { 0 } else { count }, slot);
            }
        }
        let mut row = RowWriter::default();
        row.word(newest.saturating_add(1)).bytes(fingerprint).bytes(summary);
        self.store.put(Kind::Verdict.key(into), row.row())
    }

    /// The summary kept under a job's fingerprint.
    ///
    /// # Errors
    /// The flash failed or is damaged.
    pub fn sealed(&mut self, fingerprint: &Fingerprint) -> Result<Option<&[u8]>, LedgerError> {
        for slot in 0..SEALED_VERDICTS {
            if self.store.seal_in(slot, fingerprint)?.1 {
                return Ok(self.store.get(Kind::Verdict.key(slot))?.and_then(|bytes| bytes.get(20..)));
            }
        }
        Ok(None)
    }
}
